#pragma once
// A straight line between two points.

#include <Eigen/Core>

namespace lieflat {

/// From a point to the nearest one of the line from a to b, its ends included; a and b may be the
/// same.
double DistanceToSegment(const Eigen::Vector2d& a,
                         const Eigen::Vector2d& b,
                         const Eigen::Vector2d& point);

}  // namespace lieflat
