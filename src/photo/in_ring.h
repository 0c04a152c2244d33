#pragma once
// Is a point inside a closed line?

#include <cstddef>
#include <vector>

#include <Eigen/Core>

namespace lieflat::internal {

/// By the parity of crossings; on the line itself either answer. For many points: nothing is
/// checked, and nothing tolerated, as lieflat::Inside does.
inline bool InRing(const std::vector<Eigen::Vector2d>& ring, const Eigen::Vector2d& p) {
  bool in = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const auto &a = ring[i], &b = ring[j];
    if ((a.y() > p.y()) != (b.y() > p.y()) &&
        p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
      in = !in;
  }
  return in;
}

}  // namespace lieflat::internal
