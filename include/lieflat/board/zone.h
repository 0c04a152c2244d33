#pragma once
// The narrowest space between two parallel planes that holds a set of points.

#include <array>

#include <Eigen/Core>

namespace lieflat {

struct Zone {
  Eigen::Vector3d plane;   ///< lower plane: z = plane(0) + plane(1) x + plane(2) y
  double height_mm = 0.0;  ///< between the planes, along z (slopes are small)
  struct Touching {
    Eigen::Index point = 0;
    bool above = false;  ///< on the upper plane
  };
  /// Points that fix it: those above and those below have a place over one another in common.
  std::array<Touching, 4> touching;
};

/// @param points_mm  N x 3, N >= 4.
Zone MinimumZone(const Eigen::MatrixX3d& points_mm);

}  // namespace lieflat
