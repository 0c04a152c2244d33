#include "photo/paper_height.h"

#include <cmath>

namespace lieflat::internal {

PaperHeight::PaperHeight(const std::vector<Eigen::Vector3d>& points,
                         double u_mm,
                         double wave_mm,
                         double noise_mm)
    : u_mm_(u_mm), wave_mm_(wave_mm) {
  const auto n = static_cast<Eigen::Index>(points.size());
  Eigen::MatrixX3d a(n, 3);
  Eigen::VectorXd z(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Vector3d& point = points[static_cast<std::size_t>(i)];
    places_.push_back(point.head<2>());
    a.row(i) << 1.0, point.x(), point.y();
    z(i) = point.z();
  }
  plane_ = a.colPivHouseholderQr().solve(z);
  const Eigen::VectorXd over = z - a * plane_;
  rms_mm_ = std::sqrt(over.squaredNorm() / static_cast<double>(n));
  u_mm_ = std::max(u_mm_, rms_mm_);
  Eigen::MatrixXd k(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j)
      k(i, j) = Kernel(places_[static_cast<std::size_t>(i)], places_[static_cast<std::size_t>(j)]);
  }
  k.diagonal().array() += noise_mm * noise_mm;
  solver_.compute(k);
  weights_ = solver_.solve(over);
}

double PaperHeight::At(const Eigen::Vector2d& at) const {
  double height = plane_.dot(Eigen::Vector3d(1.0, at.x(), at.y()));
  for (std::size_t i = 0; i < places_.size(); ++i)
    height += weights_(static_cast<Eigen::Index>(i)) * Kernel(at, places_[i]);
  return height;
}

Eigen::MatrixXd PaperHeight::Covariance(const std::vector<Eigen::Vector2d>& at) const {
  const auto m = static_cast<Eigen::Index>(at.size());
  const auto n = static_cast<Eigen::Index>(places_.size());
  Eigen::MatrixXd own(m, m), cross(n, m);
  for (Eigen::Index j = 0; j < m; ++j) {
    const Eigen::Vector2d& place = at[static_cast<std::size_t>(j)];
    for (Eigen::Index i = 0; i < m; ++i) own(i, j) = Kernel(at[static_cast<std::size_t>(i)], place);
    for (Eigen::Index i = 0; i < n; ++i)
      cross(i, j) = Kernel(places_[static_cast<std::size_t>(i)], place);
  }
  return own - cross.transpose() * solver_.solve(cross);
}

}  // namespace lieflat::internal
