#include "photo/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Dense>

#include "photo/order_statistics.h"

namespace lieflat::internal {
namespace {

constexpr double kHalfPowerMm = 50.0;
constexpr double kTukey = 4.0, kLeastSigmaMm = 0.015;
/// Neighbouring places share their light: 1 mm of smoothing along the edge lets one in about so
/// many of them count as independent.
constexpr double kSharedPlaces = 7.0;

double MedianMagnitude(const Eigen::VectorXd& r, const std::vector<double>& weights) {
  std::vector<double> off;
  for (Eigen::Index i = 0; i < r.size(); ++i) {
    if (weights[static_cast<std::size_t>(i)] > 0.0) off.push_back(std::abs(r(i)));
  }
  return Median(std::move(off));
}

double Tukey(double share) {
  if (std::abs(share) >= 1.0) return 0.0;
  const double t = 1.0 - share * share;
  return t * t;
}

/// Residuals of a quartic through the places by sums of magnitudes: where the search starts.
Eigen::VectorXd QuarticResiduals(const std::vector<Eigen::Vector2d>& places, double length) {
  const auto n = static_cast<Eigen::Index>(places.size());
  Eigen::MatrixXd a(n, 5);
  Eigen::VectorXd y(n), w = Eigen::VectorXd::Ones(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto& place = places[static_cast<std::size_t>(i)];
    const double t = 2.0 * place.x() / length - 1.0;
    a.row(i) << 1.0, t, t * t, t * t * t, t * t * t * t;
    y(i) = place.y();
  }
  Eigen::VectorXd r;
  for (int pass = 0; pass < 30; ++pass) {
    const Eigen::MatrixXd wa = w.asDiagonal() * a;
    r = y - a * (a.transpose() * wa).ldlt().solve(wa.transpose() * y);
    w = r.cwiseAbs().cwiseMax(0.02).cwiseInverse();
  }
  return r;
}

}  // namespace

SmoothCurve FitSmoothCurve(const std::vector<Eigen::Vector2d>& places, double length_mm) {
  const auto nodes = static_cast<Eigen::Index>(std::ceil(length_mm)) + 1;
  // Penalty on third differences, nodes a millimetre apart.
  Eigen::MatrixXd d = Eigen::MatrixXd::Zero(nodes - 3, nodes);
  for (Eigen::Index i = 0; i + 3 < nodes; ++i) d.row(i).segment<4>(i) << -1.0, 3.0, -3.0, 1.0;
  const double per_mm = static_cast<double>(places.size()) / length_mm;
  const double lambda = per_mm * std::pow(2.0 * std::sin(std::numbers::pi / kHalfPowerMm), -6.0);
  const Eigen::MatrixXd penalty = lambda * d.transpose() * d;

  const Eigen::VectorXd start = QuarticResiduals(places, length_mm);
  std::vector<double> weights(places.size(), 1.0);
  Eigen::VectorXd r = start;
  SmoothCurve out;
  Eigen::LDLT<Eigen::MatrixXd> solver;
  Eigen::MatrixXd squares;
  double sigma = 0.06;
  const auto weigh = [&](double floor) {
    sigma = std::max(floor, 1.4826 * MedianMagnitude(r, weights));
    for (std::size_t i = 0; i < places.size(); ++i)
      weights[i] = Tukey(r(static_cast<Eigen::Index>(i)) / (kTukey * sigma));
  };
  weigh(0.15);
  for (int pass = 0; pass < 12; ++pass) {
    Eigen::MatrixXd normal = penalty;
    squares = Eigen::MatrixXd::Zero(nodes, nodes);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(nodes);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double x = std::clamp(places[i].x(), 0.0, static_cast<double>(nodes - 1) - 1e-9);
      const auto k = static_cast<Eigen::Index>(x);
      const Eigen::Vector2d share(1.0 - (x - static_cast<double>(k)), x - static_cast<double>(k));
      squares.block<2, 2>(k, k) += weights[i] * share * share.transpose();
      right.segment<2>(k) += weights[i] * places[i].y() * share;
    }
    normal += squares;
    normal.diagonal().array() += 1e-9;
    solver.compute(normal);
    out.height_mm = solver.solve(right);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double x = std::clamp(places[i].x(), 0.0, static_cast<double>(nodes - 1) - 1e-9);
      const auto k = static_cast<Eigen::Index>(x);
      const double share = x - static_cast<double>(k);
      r(static_cast<Eigen::Index>(i)) =
          places[i].y() - (1.0 - share) * out.height_mm(k) - share * out.height_mm(k + 1);
    }
    if (pass < 11) weigh(pass < 4 ? 0.06 : kLeastSigmaMm);
  }
  for (const double weight : weights) out.inlier.push_back(weight > 0.0);
  out.scatter_mm = 1.4826 * MedianMagnitude(r, weights);
  const double variance = kSharedPlaces * std::pow(std::max(out.scatter_mm, 0.005), 2);
  const Eigen::MatrixXd gain = solver.solve(squares);
  // A^-1 W A^-1: solver gives A^-1 W, and once more on its transpose.
  out.covariance_mm2 = variance * solver.solve(gain.transpose());
  return out;
}

}  // namespace lieflat::internal
