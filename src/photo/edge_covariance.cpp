#include "photo/edge_covariance.h"

#include <algorithm>

namespace lieflat::internal {

Eigen::MatrixXd ToDepartures(Eigen::Index nodes,
                             double length_mm,
                             const std::vector<double>& shares) {
  Eigen::MatrixXd d = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(shares.size()), nodes);
  const auto add = [&](Eigen::Index row, double share, double weight) {
    const double at = std::clamp(share * length_mm, 0.0, static_cast<double>(nodes) - 1.001);
    const auto k = static_cast<Eigen::Index>(at);
    d(row, k) += weight * (1.0 - (at - static_cast<double>(k)));
    d(row, k + 1) += weight * (at - static_cast<double>(k));
  };
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    add(row, shares[i], 1.0);
    add(row, 0.0, -(1.0 - shares[i]));
    add(row, 1.0, -shares[i]);
  }
  return d;
}

Eigen::MatrixXd ViewCovariance(const PaperHeight& paper,
                               const Eigen::Vector2d& start,
                               const Eigen::Vector2d& end,
                               Eigen::Index nodes,
                               const ViewErrors& errors) {
  constexpr Eigen::Index kStep = 12;
  const Eigen::Vector2d along = (end - start).normalized();
  std::vector<Eigen::Vector2d> at;
  for (Eigen::Index k = 0; k < nodes + kStep; k += kStep)
    at.push_back(start + static_cast<double>(k) * along);
  Eigen::MatrixXd spread = Eigen::MatrixXd::Zero(nodes, static_cast<Eigen::Index>(at.size()));
  Eigen::VectorXd bend(nodes);
  for (Eigen::Index i = 0; i < nodes; ++i) {
    const double share = static_cast<double>(i % kStep) / kStep;
    spread(i, i / kStep) += 1.0 - share;
    spread(i, i / kStep + 1) += share;
    const double t = static_cast<double>(i) / static_cast<double>(nodes - 1);
    bend(i) = 4.0 * t * (1.0 - t) * errors.bend_u_mm;
  }
  Eigen::MatrixXd covariance =
      errors.slope * errors.slope * spread * paper.Covariance(at) * spread.transpose() +
      bend * bend.transpose();
  // The ends, where the curve is held from one side only, carry the chord.
  for (const Eigen::Index k : {Eigen::Index{0}, nodes - 2, nodes - 1})
    covariance(k, k) += errors.end_u_mm * errors.end_u_mm;
  return covariance;
}

Eigen::MatrixXd Widened(const Eigen::MatrixXd& covariance,
                        const Eigen::MatrixXd& to_departures,
                        const std::vector<Eigen::VectorXd>& curves,
                        const Eigen::VectorXd& mean) {
  if (curves.size() < 2) return covariance;
  const double n = static_cast<double>(curves.size());
  double squares = 0.0;
  for (const auto& curve : curves) {
    squares +=
        (to_departures * (curve - mean)).squaredNorm() / static_cast<double>(to_departures.rows());
  }
  const double seen = squares / (n - 1.0) / n;  // variance of the mean
  const double stated = covariance.trace() / static_cast<double>(covariance.rows());
  return std::max(1.0, seen / stated) * covariance;
}

}  // namespace lieflat::internal
