#pragma once
// A picture to scale as values on a grid over the board's box, and what is asked of two such grids.

#include <algorithm>
#include <vector>

#include <Eigen/Core>

#include "lieflat/photo/board_picture.h"

namespace lieflat::internal {

inline constexpr double kGridMm = 0.2;
inline constexpr int kKinds = 3;  // light, red against green, blue against green; logarithms

/// Values on a grid over the board's box.
struct Grid {
  int columns = 0, rows = 0;
  std::vector<float> values;
  Grid(int c, int r) : columns(c), rows(r), values(static_cast<std::size_t>(c * r), 0.0F) {}
  [[nodiscard]] float& At(int i, int j) {
    return values[static_cast<std::size_t>(j * columns + i)];
  }
  [[nodiscard]] float At(int i, int j) const {
    return values[static_cast<std::size_t>(j * columns + i)];
  }
  [[nodiscard]] bool Has(int i, int j) const { return i >= 0 && j >= 0 && i < columns && j < rows; }
  [[nodiscard]] float Between(double x, double y) const {
    const double cx = std::clamp(x, 0.0, columns - 1.001), cy = std::clamp(y, 0.0, rows - 1.001);
    const int i = static_cast<int>(cx), j = static_cast<int>(cy);
    const float u = static_cast<float>(cx - i), v = static_cast<float>(cy - j);
    return (1 - v) * ((1 - u) * At(i, j) + u * At(i + 1, j)) +
           v * ((1 - u) * At(i, j + 1) + u * At(i + 1, j + 1));
  }
};
using Layers = std::vector<Grid>;

/// Mean over a square window of 2 reach + 1 places a side, by running sums; shorter at the rims.
Grid BoxMean(const Grid& in, int reach);

/// Less its mean over a window of 2 reach_mm a side.
Grid HighPass(const Grid& in, double reach_mm);

/// The picture on the grid from `low` (mm) on, 2 x 2 pixels a place, as logarithms.
Layers OnGrid(const BoardPicture& p, const Eigen::Vector2d& low, int columns, int rows);

/// Normalised cross-correlation of the box i0 <= i < i1, j0 <= j < j1 of `a` with that of `b`
/// shifted; 0 where either has no contrast.
double Correlation(const Grid& a, const Grid& b, int i0, int j0, int i1, int j1, int di, int dj);

}  // namespace lieflat::internal
