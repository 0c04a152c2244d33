#include "lieflat/readings/sample.h"

#include <cmath>
#include <map>
#include <numbers>

namespace lieflat {
namespace {

/// Standard deviation of a draw of size 1: 1 for a normal law and for one of two ends; 1 / sqrt(3)
/// for a rectangular one, half-width 1 (JCGM 100:2008, 4.3.7).
double UnitSd(ErrorPart::Law law) {
  return law == ErrorPart::Law::kRectangular ? std::numbers::inv_sqrt3 : 1.0;
}

double UnitDraw(ErrorPart::Law law, Random& random) {
  switch (law) {
    case ErrorPart::Law::kNormal:
      return random.Normal();
    case ErrorPart::Law::kRectangular:
      return random.Uniform(-1.0, 1.0);
    case ErrorPart::Law::kEnds:
      break;
  }
  return random.Uniform() < 0.5 ? -1.0 : 1.0;
}

/// Signed size of each shared error in one sample.
std::map<std::string, double> SharedSds(const Sample& sample) {
  std::map<std::string, double> shared;
  for (const auto& part : sample.errors) {
    if (!part.shared.empty()) {
      shared[part.shared] += part.size_mm * part.gain * UnitSd(part.law);
    }
  }
  return shared;
}

double OwnVariance(const Sample& sample) {
  double variance = 0.0;
  for (const auto& part : sample.errors) {
    if (part.shared.empty()) {
      variance += part.sd_mm() * part.sd_mm();
    }
  }
  return variance;
}

}  // namespace

double ErrorPart::sd_mm() const { return size_mm * std::abs(gain) * UnitSd(law); }

double Sample::sd_mm() const {
  double variance = OwnVariance(*this);
  for (const auto& [cause, sd] : SharedSds(*this)) {
    variance += sd * sd;
  }
  return std::sqrt(variance);
}

Eigen::MatrixXd SampleSet::Covariance() const {
  const auto n = static_cast<Eigen::Index>(samples.size());
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(n, n);
  std::map<std::string, Eigen::VectorXd> shared;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = samples[static_cast<std::size_t>(i)];
    covariance(i, i) = OwnVariance(sample);
    for (const auto& [name, sd] : SharedSds(sample)) {
      auto& gains = shared.try_emplace(name, Eigen::VectorXd::Zero(n)).first->second;
      gains(i) = sd;
    }
  }
  for (const auto& [name, gains] : shared) {
    covariance += gains * gains.transpose();
  }
  return covariance;
}

Eigen::MatrixXd SampleSet::DrawErrors(int count, Random& random) const {
  const auto n = static_cast<Eigen::Index>(samples.size());
  Eigen::MatrixXd errors = Eigen::MatrixXd::Zero(n, count);
  std::map<std::string, Eigen::RowVectorXd> shared;
  for (Eigen::Index i = 0; i < n; ++i) {
    for (const auto& part : samples[static_cast<std::size_t>(i)].errors) {
      Eigen::RowVectorXd own;
      Eigen::RowVectorXd* draws = part.shared.empty() ? &own : &shared[part.shared];
      if (draws->size() == 0) {
        draws->resize(count);
        for (double& draw : *draws) {
          draw = UnitDraw(part.law, random);
        }
      }
      errors.row(i) += part.size_mm * part.gain * *draws;
    }
  }
  return errors;
}

}  // namespace lieflat
