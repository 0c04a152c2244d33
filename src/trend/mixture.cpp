#include "lieflat/trend/mixture.h"

#include <algorithm>
#include <cmath>

#include "lieflat/base/check.h"
#include "lieflat/base/statistics.h"

namespace lieflat {

StudentMixture::StudentMixture(std::vector<StudentTerm> terms) : terms_(std::move(terms)) {
  double sum = 0.0;
  for (const StudentTerm& term : terms_) sum += term.weight;
  LIEFLAT_CHECK(sum > 0.0, "a mixture has a weight");
  for (StudentTerm& term : terms_) term.weight /= sum;
}

double StudentMixture::Cdf(double x) const {
  double below = 0.0;
  for (const StudentTerm& term : terms_) {
    if (term.scale > 0.0)
      below += term.weight * StudentCdf((x - term.location) / term.scale, term.degrees_of_freedom);
    else if (x >= term.location)
      below += term.weight;
  }
  return below;
}

double StudentMixture::Quantile(double probability) const {
  LIEFLAT_CHECK(probability > 0.0 && probability < 1.0, "a quantile lies inside its law");
  // Between the quantiles of the terms lies that of the mixture.
  double low = INFINITY, high = -INFINITY;
  for (const StudentTerm& term : terms_) {
    const double own =
        term.location + term.scale * StudentQuantile(probability, term.degrees_of_freedom);
    low = std::min(low, own);
    high = std::max(high, own);
  }
  constexpr int kHalvings = 60;  // to the last digits of a double
  for (int i = 0; i < kHalvings && low < high; ++i) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) break;
    (Cdf(middle) < probability ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

StudentMixture StudentMixture::Widened(double sd) const {
  std::vector<StudentTerm> wider = terms_;
  for (StudentTerm& term : wider) term.scale = std::hypot(term.scale, sd);
  return StudentMixture(std::move(wider));
}

}  // namespace lieflat
