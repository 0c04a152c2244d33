#pragma once
// Which three of many points a rigid body rests on from above, or the board from below.

#include <array>
#include <optional>
#include <vector>

#include <Eigen/Core>

namespace lieflat {

/// Three points of the lower hull of `heights` whose triangle holds `centre`; nothing when it lies
/// outside all.
std::optional<std::array<int, 3>> LowerFacet(const std::vector<Eigen::Vector2d>& at,
                                             const std::vector<double>& heights,
                                             const Eigen::Vector2d& centre);

}  // namespace lieflat
