#pragma once
// What is printed where on a lay sheet.

#include <vector>

#include "lieflat/photo/seen.h"

namespace lieflat::internal {

class SheetPattern {
 public:
  SheetPattern(const MatLayout& mat, const MarkerFamily& family);

  /// White paper at a place in the mat frame, mm; what lies beyond the squares is.
  [[nodiscard]] bool White(const Eigen::Vector2d& at_mm) const;
  /// On one colour, and nothing of the other within `reach_mm`.
  [[nodiscard]] bool Plain(const Eigen::Vector2d& at_mm, double reach_mm) const;

 private:
  const MatLayout& mat_;
  const MarkerFamily& family_;
  std::vector<int> marker_;  ///< id by square, -1 where there is none
};

}  // namespace lieflat::internal
