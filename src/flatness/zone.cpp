// Whole-surface flatness: about the least-squares plane, and the minimum zone.

#include "lieflat/board/zone.h"

#include <vector>

#include <Eigen/QR>

#include "lieflat/base/check.h"
#include "lieflat/board/polygon.h"
#include "lieflat/flatness/flatness.h"

namespace lieflat {

double LeastSquaresFlatness(const Eigen::MatrixX3d& points_mm) {
  LIEFLAT_CHECK(points_mm.rows() >= 3, "a plane takes three points");
  Eigen::MatrixX3d design(points_mm.rows(), 3);
  design << Eigen::VectorXd::Ones(points_mm.rows()), points_mm.leftCols<2>();
  const Eigen::VectorXd z = points_mm.col(2);
  const Eigen::VectorXd residual = z - design * design.colPivHouseholderQr().solve(z);
  return residual.maxCoeff() - residual.minCoeff();
}

double Warp(const Board& board,
            const std::function<double(const Eigen::Vector2d& at_mm)>& height_mm) {
  constexpr int kGrid = 31;
  const auto [low, high] = board.Box();
  std::vector<Eigen::Vector3d> points;
  for (int k = 0; k < kGrid * kGrid; ++k) {
    const Eigen::Vector2d share((k % kGrid) / (kGrid - 1.0), (k / kGrid) / (kGrid - 1.0));
    const Eigen::Vector2d at = low + share.cwiseProduct(high - low);
    if (OnBoard(board, at)) points.emplace_back(at.x(), at.y(), height_mm(at));
  }
  Eigen::MatrixX3d heights(static_cast<Eigen::Index>(points.size()), 3);
  for (std::size_t i = 0; i < points.size(); ++i)
    heights.row(static_cast<Eigen::Index>(i)) = points[i].transpose();
  return LeastSquaresFlatness(heights);
}

double MinimumZoneFlatness(const Eigen::MatrixX3d& points_mm) {
  return MinimumZone(points_mm).height_mm;
}

}  // namespace lieflat
