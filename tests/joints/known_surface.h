#pragma once
// Surfaces whose heights are known, as the fit would hand them on.

#include <functional>
#include <utility>
#include <vector>

#include <Eigen/QR>

#include "lieflat/joints/rating.h"

namespace lieflat::testing {

using Height = std::function<double(double x_mm, double y_mm)>;

/// The coefficients of a polynomial of at most the basis's degree; what is a plane drops out.
inline Eigen::VectorXd CoefficientsOf(const Board& board,
                                      const SurfaceBasis& basis,
                                      const Height& height) {
  constexpr int kGrid = 12;
  const auto [low, high] = board.Box();
  Eigen::MatrixXd design(kGrid * kGrid, basis.size() + 3);
  Eigen::VectorXd heights(kGrid * kGrid);
  for (int i = 0; i < kGrid * kGrid; ++i) {
    const Eigen::Vector2d share((i % kGrid) / (kGrid - 1.0), (i / kGrid) / (kGrid - 1.0));
    const Eigen::Vector2d at = low + share.cwiseProduct(high - low);
    design.row(i) << basis.Row(at), 1.0, share.x(), share.y();
    heights[i] = height(at.x(), at.y());
  }
  return design.colPivHouseholderQr().solve(heights).head(basis.size());
}

/// Draws are the given heights; without any, the mean itself 20 times over (the fewest that an
/// interval takes).
inline Surface SurfaceOf(const Board& board,
                         const Height& mean,
                         const std::vector<Height>& draws = {}) {
  Surface surface{SurfaceBasis(board)};
  surface.mean = CoefficientsOf(board, surface.basis, mean);
  if (draws.empty()) {
    surface.coefficient_draws = surface.mean.replicate(1, 20);
    return surface;
  }
  surface.coefficient_draws.resize(surface.basis.size(), static_cast<Eigen::Index>(draws.size()));
  for (std::size_t i = 0; i < draws.size(); ++i) {
    surface.coefficient_draws.col(static_cast<Eigen::Index>(i)) =
        CoefficientsOf(board, surface.basis, draws[i]);
  }
  return surface;
}

inline Part PartAt(const std::string& ref,
                   const std::string& part_class,
                   Eigen::Vector2d centre,
                   Eigen::Vector2d size) {
  Part part;
  part.ref = ref;
  part.part_class = part_class;
  part.centre_mm = std::move(centre);
  part.size_mm = std::move(size);
  return part;
}

/// 300 x 240 x 1.6 mm, thickness known exactly, of unknown year (so taken as old).
inline Board ReferenceBoard() {
  Board board = RectangularBoard(300, 240, Calib::Embedded()).value();
  board.thickness_mm = {1.6, 0.0};
  return board;
}

}  // namespace lieflat::testing
