#pragma once
// What is printed where on a lay sheet.

#include <vector>

#include "lieflat/photo/seen.h"

namespace lieflat::internal {

/// The place on the sheet that a camera at `eye` sees behind a place over it.
inline Eigen::Vector2d SheetBehind(const Eigen::Vector3d& eye, const Eigen::Vector3d& at) {
  return eye.head<2>() + eye.z() / (eye.z() - at.z()) * (at - eye).head<2>();
}

/// How far from a rim that is blurred so the sheet's pattern must not change: a change nearer may
/// be taken for the rim.
inline double RimReach(double blur_mm) {
  constexpr double kClearMm = 0.15;
  return kClearMm + 1.5 * blur_mm;
}

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
