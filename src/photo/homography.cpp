#include "photo/homography.h"

#include <cmath>

#include <Eigen/Dense>

namespace lieflat::internal {
namespace {

/// Moves points to mean 0 and mean distance sqrt(2).
Eigen::Matrix3d Normalising(const std::vector<PointPair>& pairs,
                            Eigen::Vector2d PointPair::*which) {
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (const auto& pair : pairs) mean += pair.*which;
  mean /= static_cast<double>(pairs.size());
  double spread = 0.0;
  for (const auto& pair : pairs) spread += (pair.*which - mean).norm();
  spread /= static_cast<double>(pairs.size());
  const double scale = spread > 0.0 ? std::sqrt(2.0) / spread : 1.0;
  Eigen::Matrix3d t;
  t << scale, 0, -scale * mean.x(), 0, scale, -scale * mean.y(), 0, 0, 1;
  return t;
}

}  // namespace

Eigen::Matrix3d FitHomography(const std::vector<PointPair>& pairs) {
  if (pairs.size() < 4) return Eigen::Matrix3d::Zero();
  const Eigen::Matrix3d from = Normalising(pairs, &PointPair::from);
  const Eigen::Matrix3d to = Normalising(pairs, &PointPair::to);
  Eigen::Matrix<double, 9, 9> normal = Eigen::Matrix<double, 9, 9>::Zero();
  for (const auto& pair : pairs) {
    const Eigen::Vector3d a = from * pair.from.homogeneous();
    const Eigen::Vector3d b = to * pair.to.homogeneous();
    Eigen::Matrix<double, 2, 9> rows;
    rows << a.transpose(), Eigen::RowVector3d::Zero(), -b.x() * a.transpose(),
        Eigen::RowVector3d::Zero(), a.transpose(), -b.y() * a.transpose();
    normal += rows.transpose() * rows;
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, 9, 9>> eigen(normal);
  const Eigen::Matrix<double, 9, 1> least = eigen.eigenvectors().col(0);
  const Eigen::Matrix3d h = Eigen::Map<const Eigen::Matrix3d>(least.data()).transpose();
  const Eigen::Matrix3d whole = to.inverse() * h * from;
  return whole / whole.norm();
}

PlanePose PoseFromHomography(const Eigen::Matrix3d& h, double f) {
  const Eigen::Matrix3d k = Eigen::Vector3d(1.0 / f, 1.0 / f, 1.0).asDiagonal();
  Eigen::Matrix3d a = k * h;
  a *= 2.0 / (a.col(0).norm() + a.col(1).norm());
  if (a(2, 2) < 0.0) a = -a;
  Eigen::Matrix3d r;
  r << a.col(0), a.col(1), a.col(0).cross(a.col(1));
  const Eigen::JacobiSVD<Eigen::Matrix3d> svd(r, Eigen::ComputeFullU | Eigen::ComputeFullV);
  Eigen::Matrix3d rotation = svd.matrixU() * svd.matrixV().transpose();
  if (rotation.determinant() < 0.0) {
    rotation = svd.matrixU() * Eigen::Vector3d(1, 1, -1).asDiagonal() * svd.matrixV().transpose();
  }
  return {rotation, a.col(2)};
}

}  // namespace lieflat::internal
