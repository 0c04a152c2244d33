#pragma once
// Where the board's lower edge meets the paper, in one photo.

#include <functional>
#include <optional>
#include <vector>

#include <Eigen/Core>

namespace lieflat::internal {

/// Light of the sheet at a place of its frame, linear; nothing off the picture.
using SheetLight = std::function<std::optional<double>(double x, double y)>;

struct BandWindow {
  double from_x = 0.0, to_x = 0.0, from_y = 0.0, to_y = 0.0;  ///< mm, sheet's frame
};

struct ContactEdge {
  std::vector<Eigen::Vector2d> places_mm;  ///< by column, left to right; only those found
  Eigen::Vector2d first_mm, last_mm;       ///< the board's ends
  bool cut_off = false;                    ///< an end lies at the window's own end
  double strength = 0.0;                   ///< median drop of the logarithm of light at the edge
};

/// @param least_strength  drop of the logarithm of light that counts as an edge.
/// @return nothing when less than 20 mm of edge is found.
std::optional<ContactEdge> FindContactEdge(const SheetLight& light,
                                           const BandWindow& window,
                                           double least_strength);

}  // namespace lieflat::internal
