#include "photo/sheet_pattern.h"

#include <cmath>
#include <numbers>

namespace lieflat::internal {

SheetPattern::SheetPattern(const MatLayout& mat, const MarkerFamily& family)
    : mat_(mat), family_(family), marker_(static_cast<std::size_t>(mat.columns * mat.rows), -1) {
  for (const MatMarker& m : mat.Markers())
    marker_[static_cast<std::size_t>(m.row * mat.columns + m.column)] = m.id;
}

bool SheetPattern::White(const Eigen::Vector2d& at) const {
  const int column = static_cast<int>(std::floor(at.x() / mat_.square_mm)),
            row = static_cast<int>(std::floor(at.y() / mat_.square_mm));
  if (column < 0 || row < 0 || column >= mat_.columns || row >= mat_.rows) return true;
  if (mat_.Black(column, row)) return false;
  const int id = marker_[static_cast<std::size_t>(row * mat_.columns + column)];
  if (id < 0) return true;
  const double half = 0.5 * mat_.marker_mm;
  const double dx = at.x() - (column + 0.5) * mat_.square_mm,
               dy = at.y() - (row + 0.5) * mat_.square_mm;
  if (std::abs(dx) >= half || std::abs(dy) >= half) return true;
  const int cells = family_.bits + 2;
  return family_.White(id,
                       static_cast<int>((half - dy) / mat_.marker_mm * cells),
                       static_cast<int>((dx + half) / mat_.marker_mm * cells));
}

bool SheetPattern::Plain(const Eigen::Vector2d& at, double reach_mm) const {
  const bool white = White(at);
  constexpr int kSpokes = 12;
  for (int k = 0; k < kSpokes; ++k) {
    const double turn = 2.0 * std::numbers::pi * k / kSpokes;
    const Eigen::Vector2d way(std::cos(turn), std::sin(turn));
    if (White(at + reach_mm * way) != white || White(at + 0.5 * reach_mm * way) != white)
      return false;
  }
  return true;
}

}  // namespace lieflat::internal
