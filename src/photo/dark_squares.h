#pragma once
// Dark four-sided spots on bright ground: what may be a marker.

#include <array>
#include <vector>

#include <Eigen/Core>

#include "lieflat/photo/picture.h"

namespace lieflat::internal {

/// Corners in px, in the turning sense of the picture (x right, y down): clockwise as seen.
using Quad = std::array<Eigen::Vector2d, 4>;

/// Spots darker than their surroundings (a window of the picture's width / `windows`) whose outline
/// is a convex quadrangle. Found on the picture halved when it is large; corners good to about half
/// a pixel of that.
std::vector<Quad> DarkSquares(const Picture& grey, int windows);

}  // namespace lieflat::internal
