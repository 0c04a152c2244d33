#include "lieflat/base/statistics.h"

#include <algorithm>
#include <cmath>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

#include "lieflat/base/check.h"

namespace lieflat {

double NormalCdf(double z) { return boost::math::cdf(boost::math::normal(), z); }

double NormalQuantile(double probability) {
  LIEFLAT_CHECK(probability > 0.0 && probability < 1.0, "a probability lies between 0 and 1");
  return boost::math::quantile(boost::math::normal(), probability);
}

double StudentCdf(double t, double degrees_of_freedom) {
  LIEFLAT_CHECK(degrees_of_freedom > 0.0, "degrees of freedom are positive");
  return boost::math::cdf(boost::math::students_t(degrees_of_freedom), t);
}

double StudentQuantile(double probability, double degrees_of_freedom) {
  LIEFLAT_CHECK(probability > 0.0 && probability < 1.0, "a probability lies between 0 and 1");
  LIEFLAT_CHECK(degrees_of_freedom > 0.0, "degrees of freedom are positive");
  return boost::math::quantile(boost::math::students_t(degrees_of_freedom), probability);
}

double ChiSquaredTail(double value, double degrees_of_freedom) {
  LIEFLAT_CHECK(value >= 0.0 && degrees_of_freedom > 0.0, "chi-squared takes no negative values");
  return boost::math::cdf(
      boost::math::complement(boost::math::chi_squared(degrees_of_freedom), value));
}

double Quantile(Eigen::VectorXd draws, double probability) {
  LIEFLAT_CHECK(draws.size() > 0, "no draws");
  LIEFLAT_CHECK(probability >= 0.0 && probability <= 1.0, "a probability lies between 0 and 1");
  const double place = probability * static_cast<double>(draws.size() - 1);
  const auto below = static_cast<Eigen::Index>(std::floor(place));
  const double share = place - static_cast<double>(below);
  double* const middle = draws.data() + below;
  double* const end = draws.data() + draws.size();
  std::nth_element(draws.data(), middle, end);
  if (share == 0.0) return *middle;
  // What follows is not smaller than *middle: its least is the next order statistic.
  const double next = *std::min_element(middle + 1, end);
  return *middle + share * (next - *middle);
}

Interval ShortestInterval(Eigen::VectorXd draws, double probability) {
  constexpr Eigen::Index kFewest = 20;
  LIEFLAT_CHECK(draws.size() >= kFewest, "too few draws for an interval");
  LIEFLAT_CHECK(probability > 0.0 && probability < 1.0, "a probability lies between 0 and 1");
  std::sort(draws.begin(), draws.end());
  const Eigen::Index count = draws.size();
  const auto wanted =
      static_cast<Eigen::Index>(std::floor(probability * static_cast<double>(count) + 0.5));
  const Eigen::Index span = std::clamp<Eigen::Index>(wanted, 1, count - 1);
  Eigen::Index best = 0;
  for (Eigen::Index first = 1; first + span < count; ++first) {
    if (draws[first + span] - draws[first] < draws[best + span] - draws[best]) best = first;
  }
  return {draws[best], draws[best + span]};
}

}  // namespace lieflat
