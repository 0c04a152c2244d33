#pragma once
// A plane seen by a camera.

#include <vector>

#include <Eigen/Dense>

namespace lieflat::internal {

struct PointPair {
  Eigen::Vector2d from, to;
};

/// The homography that takes `from` to `to`, least squares on normalised points (Hartley, IEEE PAMI
/// 19 (1997) 580). At least 4 pairs, no three on a line; zero when they do not fix one.
Eigen::Matrix3d FitHomography(const std::vector<PointPair>& pairs);

inline Eigen::Vector2d Map(const Eigen::Matrix3d& h, const Eigen::Vector2d& at) {
  const Eigen::Vector3d q = h * at.homogeneous();
  return q.head<2>() / q.z();
}

/// Rotation and position of a camera of focal length f (px, centre at 0) that sees the plane z = 0
/// through `h`: x_camera = rotation * x + position. The plane lies before the camera.
struct PlanePose {
  Eigen::Matrix3d rotation;
  Eigen::Vector3d position;
};
PlanePose PoseFromHomography(const Eigen::Matrix3d& h, double f);

}  // namespace lieflat::internal
