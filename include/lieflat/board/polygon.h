#pragma once
// Plane polygons as a board needs them: closed rings of points, the last joined to the first. mm.

#include <optional>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "lieflat/board/board.h"

namespace lieflat {

using Ring = std::vector<Eigen::Vector2d>;

/// Area, positive when the ring runs counter-clockwise. mm2.
double SignedArea(const Ring& ring);
/// Centre of area. The ring has one.
Eigen::Vector2d Centroid(const Ring& ring);
/// On the boundary counts as inside.
bool Inside(const Ring& ring, const Eigen::Vector2d& point);
/// Distance from a point to the nearest point of the boundary.
double DistanceToBoundary(const Ring& ring, const Eigen::Vector2d& point);
/// The numbers of two edges that cross or touch though they are not neighbours (edge i runs from
/// point i to the next).
std::optional<std::pair<std::size_t, std::size_t>> SelfCrossing(const Ring& ring);
/// Whether any edge of one ring meets any edge of the other.
bool RingsMeet(const Ring& a, const Ring& b);

/// Inside the outline and outside every cut-out.
bool OnBoard(const Board& board, const Eigen::Vector2d& point);
/// Centre of area of the board without its cut-outs.
Eigen::Vector2d AreaCentre(const Board& board);

}  // namespace lieflat
