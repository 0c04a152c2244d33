#include "lieflat/trend/forecast.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "lieflat/base/check.h"

namespace lieflat {
namespace {

constexpr double kScaleHours = 96.0;

double Raw(const TrendShape& shape, double hours) {
  switch (shape.law) {
    case TrendShape::Law::kPower:
      return std::pow(hours, shape.first);
    case TrendShape::Law::kLogarithm:
      return std::log1p(hours / shape.first);
    case TrendShape::Law::kStretched:
      return -std::expm1(-std::pow(hours / shape.first, shape.second));
  }
  LIEFLAT_CHECK(false, "a law is one of three");
}

/// The conjugate update of one shape; the weight holds the logarithm of its evidence.
TrendModel::Fit FitShape(const TrendShape& shape,
                         const std::vector<TrendPoint>& points,
                         const TrendPrior& prior,
                         const TrendSettings& settings) {
  const auto n = static_cast<Eigen::Index>(points.size());
  Eigen::MatrixX3d design(n, 3);
  Eigen::VectorXd values(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const TrendPoint& point = points[static_cast<std::size_t>(i)];
    design.row(i) << 1.0, -shape.At(point.hours), point.just_freed ? -1.0 : 0.0;
    values(i) = point.value_mm;
  }
  const double s2 = prior.repeat_sd_mm * prior.repeat_sd_mm;
  const double h = prior.height_mm;
  const Eigen::Vector3d mean(
      prior.first_mm, settings.gain_mean_share * h, settings.back_mean_share * h);
  const Eigen::Vector3d sd(
      settings.first_sd_mm, settings.gain_sd_share * h, settings.back_sd_share * h);
  const Eigen::Vector3d precision = s2 * sd.array().square().inverse().matrix();

  TrendModel::Fit fit;
  fit.shape = shape;
  Eigen::Matrix3d posterior = design.transpose() * design;
  posterior.diagonal() += precision;
  const Eigen::LLT<Eigen::Matrix3d> solver(posterior);
  const Eigen::Vector3d right = precision.cwiseProduct(mean) + design.transpose() * values;
  fit.mean = solver.solve(right);
  fit.covariance = solver.solve(Eigen::Matrix3d::Identity());
  const double a0 = 0.5 * prior.repeat_dof, b0 = a0 * s2;
  fit.a = a0 + 0.5 * static_cast<double>(n);
  // Half the squares left, written so that no large numbers cancel.
  const Eigen::VectorXd residual = values - design * fit.mean;
  const Eigen::Vector3d moved = fit.mean - mean;
  fit.b = b0 + 0.5 * (residual.squaredNorm() + moved.dot(precision.cwiseProduct(moved)));
  const double log_determinant =
      2.0 * Eigen::Matrix3d(solver.matrixL()).diagonal().array().log().sum();
  fit.weight = 0.5 * (precision.array().log().sum() - log_determinant) - fit.a * std::log(fit.b);
  return fit;
}

}  // namespace

double TrendShape::At(double hours) const {
  return hours > 0.0 ? Raw(*this, hours) / Raw(*this, kScaleHours) : 0.0;
}

TrendSettings ReadTrendSettings(const Calib& calib) {
  const auto values = [&](const char* key) {
    return calib.Document("trend").at("shapes").at(key).at("value").get<std::vector<double>>();
  };
  const auto number = [&](const char* key) {
    return calib.Number("trend", std::string("/prior/") + key).value;
  };
  TrendSettings settings;
  for (const double n : values("power"))
    settings.shapes.push_back({TrendShape::Law::kPower, n, 0.0});
  for (const double t0 : values("logarithm_hours"))
    settings.shapes.push_back({TrendShape::Law::kLogarithm, t0, 0.0});
  for (const double tau : values("stretched_hours")) {
    for (const double b : values("stretched_exponent"))
      settings.shapes.push_back({TrendShape::Law::kStretched, tau, b});
  }
  settings.first_sd_mm = number("first_sd_mm");
  settings.gain_mean_share = number("gain_mean_share");
  settings.gain_sd_share = number("gain_sd_share");
  settings.back_mean_share = number("back_mean_share");
  settings.back_sd_share = number("back_sd_share");
  settings.extrapolation_share = number("extrapolation_share");
  return settings;
}

TrendModel::TrendModel(const std::vector<TrendPoint>& points,
                       const TrendPrior& prior,
                       const TrendSettings& settings)
    : extrapolation_share_(settings.extrapolation_share) {
  LIEFLAT_CHECK(!points.empty() && !settings.shapes.empty(), "a trend needs a reading and a shape");
  for (const TrendPoint& point : points) last_hours_ = std::max(last_hours_, point.hours);
  double largest = -INFINITY;
  for (const TrendShape& shape : settings.shapes) {
    fits_.push_back(FitShape(shape, points, prior, settings));
    largest = std::max(largest, fits_.back().weight);
  }
  double sum = 0.0;
  for (Fit& fit : fits_) sum += fit.weight = std::exp(fit.weight - largest);
  for (Fit& fit : fits_) fit.weight /= sum;
}

StudentMixture TrendModel::Combine(const std::vector<Eigen::Vector3d>& rows, double noise) const {
  std::vector<StudentTerm> terms;
  for (std::size_t i = 0; i < fits_.size(); ++i) {
    const Fit& fit = fits_[i];
    const double spread = rows[i].dot(fit.covariance * rows[i]) + noise;
    terms.push_back(
        {fit.weight, rows[i].dot(fit.mean), std::sqrt(fit.scale2() * spread), 2.0 * fit.a});
  }
  return StudentMixture(std::move(terms));
}

double TrendModel::Discrepancy(double hours) const {
  if (hours <= last_hours_) return 0.0;
  std::vector<Eigen::Vector3d> rows;
  for (const Fit& fit : fits_)
    rows.emplace_back(0.0, fit.shape.At(hours) - fit.shape.At(last_hours_), 0.0);
  // The further past what was seen, the less a shape of the list can be trusted.
  const double reach = last_hours_ > 0.0 ? std::sqrt((hours - last_hours_) / last_hours_) : 1.0;
  return extrapolation_share_ * reach * std::abs(Combine(rows, 0.0).Quantile(0.5));
}

StudentMixture TrendModel::State(double hours) const {
  std::vector<Eigen::Vector3d> rows;
  for (const Fit& fit : fits_) rows.emplace_back(1.0, -fit.shape.At(hours), 0.0);
  return Combine(rows, 0.0).Widened(Discrepancy(hours));
}

StudentMixture TrendModel::Reading(double hours, bool just_freed) const {
  std::vector<Eigen::Vector3d> rows;
  for (const Fit& fit : fits_)
    rows.emplace_back(1.0, -fit.shape.At(hours), just_freed ? -1.0 : 0.0);
  return Combine(rows, 1.0).Widened(Discrepancy(hours));
}

StudentMixture TrendModel::Gain(double from_hours, double to_hours) const {
  std::vector<Eigen::Vector3d> rows;
  for (const Fit& fit : fits_)
    rows.emplace_back(0.0, fit.shape.At(to_hours) - fit.shape.At(from_hours), 0.0);
  return Combine(rows, 0.0).Widened(Discrepancy(to_hours));
}

StudentMixture TrendModel::Amplitude() const {
  return Combine(std::vector<Eigen::Vector3d>(fits_.size(), {0.0, 1.0, 0.0}), 0.0);
}

StudentMixture TrendModel::ComesBack() const {
  return Combine(std::vector<Eigen::Vector3d>(fits_.size(), {0.0, 0.0, 1.0}), 0.0);
}

}  // namespace lieflat
