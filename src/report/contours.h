#pragma once
// Contour lines of heights on a grid: marching squares, the pieces joined to lines.
// How wrong: along a grid line the crossing is found by straight interpolation, so a line lies
// within h^2 zxx / (8 |slope|) of the true one, h the grid's step (tests/report/contours_test.cpp
// holds this against circles and straight lines).

#include <vector>

#include <Eigen/Core>

namespace lieflat::report {

struct HeightGrid {
  Eigen::Vector2d origin_mm, step_mm;
  Eigen::MatrixXd z_mm;  ///< column = along x, row = along y
  [[nodiscard]] Eigen::Vector2d Place(Eigen::Index row, Eigen::Index column) const;
  /// Straight interpolation, held to the grid.
  [[nodiscard]] double At(const Eigen::Vector2d& at_mm) const;
};

struct ContourLine {
  double level_mm = 0.0;
  bool closed = false;
  std::vector<Eigen::Vector2d> points_mm;  ///< a closed line does not repeat its first point
  [[nodiscard]] double Length() const;
};

/// Lines at `level_mm`. A saddle between four grid points is settled by their mean. At least 2 x 2
/// grid points.
std::vector<ContourLine> Contours(const HeightGrid& grid, double level_mm);

/// 0.1, 0.2, 0.5, 1, 2 (5, 10 for what is no board any more): the smallest that draws at most nine
/// lines.
double ContourInterval(double lowest_mm, double highest_mm);

}  // namespace lieflat::report
