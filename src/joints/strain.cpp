#include "lieflat/joints/strain.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lieflat {

Eigen::Vector3d SurfaceStrain(const Curvature& curvature, double thickness_mm, Side face) {
  const double towards = face == Side::kComponent ? -1.0 : 1.0;
  return towards * 0.5 * thickness_mm * curvature;
}

std::array<double, 2> Principal(const Eigen::Vector3d& strain) {
  const double middle = 0.5 * (strain.x() + strain.y());
  const double half = 0.5 * (strain.x() - strain.y());
  const double radius =
      std::sqrt(half * half + strain.z() * strain.z());  // far from under- or overflow
  return {middle + radius, middle - radius};
}

double LargestPrincipal(const Eigen::Vector3d& strain) {
  const auto [first, second] = Principal(strain);
  return std::abs(second) > std::abs(first) ? second : first;
}

Eigen::Vector3d FromRosette45(double e0, double e45, double e90) {
  return {e0, e90, e45 - 0.5 * (e0 + e90)};
}

Eigen::Vector3d FromRosette60(double e0, double e60, double e120) {
  return {e0, (2.0 * (e60 + e120) - e0) / 3.0, (e60 - e120) / std::numbers::sqrt3};
}

double DiagonalStrain(double e1, double e2, double e3) {
  return std::max(std::abs(e2), std::abs(e1 + e3 - e2));
}

double DiagonalStrain(const Eigen::Vector3d& strain, double rotation_rad) {
  const double angle = rotation_rad + 0.25 * std::numbers::pi;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  const double along = strain.x() * c * c + strain.y() * s * s + 2.0 * strain.z() * s * c;
  return DiagonalStrain(strain.x(), along, strain.y());  // e1 + e3 is the same in every direction
}

}  // namespace lieflat
