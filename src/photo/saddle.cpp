#include "photo/saddle.h"

#include <numbers>

#include <Eigen/Dense>

namespace lieflat::internal {
namespace {

/// Whether the light around the point changes between two dark and two bright sectors that lie
/// opposite each other.
bool FourSectors(const Light& light, const Eigen::Vector2d& at, double radius) {
  constexpr int kCount = 32;
  std::array<double, kCount> ring{};
  double low = 2.0, high = -1.0;
  for (int i = 0; i < kCount; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / kCount;
    ring[static_cast<std::size_t>(i)] =
        light(at + radius * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
    low = std::min(low, ring[static_cast<std::size_t>(i)]);
    high = std::max(high, ring[static_cast<std::size_t>(i)]);
  }
  if (high < 1.5 * low + 0.01) return false;
  const double middle = 0.5 * (low + high);
  int changes = 0, alike = 0;
  for (std::size_t i = 0; i < kCount; ++i) {
    const bool here = ring[i] > middle;
    changes += here != (ring[(i + 1) % kCount] > middle) ? 1 : 0;
    alike += here == (ring[(i + kCount / 2) % kCount] > middle) ? 1 : 0;
  }
  return changes == 4 && alike >= kCount - 6;
}

}  // namespace

std::optional<Eigen::Vector2d> RefineSaddle(const Light& light,
                                            const Eigen::Vector2d& start,
                                            double half) {
  const int reach = static_cast<int>(std::ceil(half));
  Eigen::Vector2d at = start;
  constexpr int kPasses = 12;
  constexpr double kEnoughPx = 0.002;
  for (int pass = 0; pass < kPasses; ++pass) {
    if (!light.Inside(at, reach + 3.0)) return std::nullopt;
    Eigen::Matrix2d sum = Eigen::Matrix2d::Zero();
    Eigen::Vector2d moment = Eigen::Vector2d::Zero();
    const double spread = -2.0 / (half * half);
    for (int dy = -reach; dy <= reach; ++dy) {
      for (int dx = -reach; dx <= reach; ++dx) {
        const double x = at.x() + dx, y = at.y() + dy;
        const Eigen::Vector2d slope(light(x + 1.0, y) - light(x - 1.0, y),
                                    light(x, y + 1.0) - light(x, y - 1.0));
        const double weight = std::exp(spread * (dx * dx + dy * dy));
        const Eigen::Matrix2d outer = weight * slope * slope.transpose();
        sum += outer;
        moment += outer * Eigen::Vector2d(dx, dy);
      }
    }
    if (sum.determinant() < 1e-3 * sum.trace() * sum.trace()) return std::nullopt;
    const Eigen::Vector2d step = sum.inverse() * moment;
    at += step;
    if ((at - start).norm() > 0.6 * half + 1.0) return std::nullopt;
    if (step.norm() < kEnoughPx) break;
  }
  if (!light.Inside(at, reach + 3.0) || !FourSectors(light, at, 0.8 * half)) return std::nullopt;
  return at;
}

}  // namespace lieflat::internal
