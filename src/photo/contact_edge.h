#pragma once
// Where the board's lower edge meets the paper, in one photo.

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "photo/edge_band.h"

namespace lieflat::internal {

struct ContactEdge {
  std::vector<Eigen::Vector2d> places_mm;  ///< by column, left to right; only those found
  Eigen::Vector2d first_mm, last_mm;       ///< the board's ends
  bool cut_off = false;                    ///< an end lies at the window's own end
  double strength = 0.0;                   ///< median drop of the logarithm of light at the edge
};

/// @param line_y  where the thin grey line is printed that the board is stood on;
/// @param least_strength  drop of the logarithm of light that counts as an edge.
/// @return nothing when less than 20 mm of edge is found.
std::optional<ContactEdge> FindContactEdge(const SheetLight& light,
                                           const BandWindow& window,
                                           double line_y,
                                           double least_strength);

}  // namespace lieflat::internal
