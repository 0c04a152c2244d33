#pragma once
// Points over their own mean plane.

#include <Eigen/Dense>

namespace lieflat::internal {

/// The plane through the points by least squares (distances along its own normal): its middle, its
/// axes as columns (x and y as near to the world's as can be, z up).
struct OwnPlane {
  Eigen::Vector3d middle;
  Eigen::Matrix3d axes;
};
inline OwnPlane FitPlane(const Eigen::MatrixX3d& points) {
  OwnPlane plane;
  plane.middle = points.colwise().mean();
  const Eigen::MatrixX3d centred = points.rowwise() - plane.middle.transpose();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen(centred.transpose() * centred);
  Eigen::Vector3d normal = eigen.eigenvectors().col(0);
  if (normal.z() < 0.0) normal = -normal;
  const Eigen::Vector3d x = (Eigen::Vector3d::UnitX() - normal.x() * normal).normalized();
  plane.axes << x, normal.cross(x), normal;
  return plane;
}

/// In the plane's own axes: columns x, y along it, z over it.
inline Eigen::MatrixX3d OnPlane(const Eigen::MatrixX3d& points, const OwnPlane& plane) {
  return (points.rowwise() - plane.middle.transpose()) * plane.axes;
}

/// Takes plane and height out of heights at places: I - A (A'A)^-1 A', A = [1 x y]. n x n.
inline Eigen::MatrixXd WithoutPlane(const Eigen::MatrixX2d& places) {
  const Eigen::Index n = places.rows();
  Eigen::MatrixXd a(n, 3);
  a << Eigen::VectorXd::Ones(n), places;
  const Eigen::Matrix3d normal = a.transpose() * a;
  return Eigen::MatrixXd::Identity(n, n) - a * normal.inverse() * a.transpose();
}

}  // namespace lieflat::internal
