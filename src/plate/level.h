#pragma once
// A board without weight between two parallel plates, and nothing else: no weight says how it lies,
// so it turns until both plates touch it in balance. It is put there before it is pressed.

#include "lieflat/board/zone.h"

#include "plate/parts.h"

namespace lieflat {

/// True for a hold in which only plate and table can push.
bool FloatsBetweenPlates(const Hold& hold);

/// The narrowest space that holds the board's points, its heights along `up`.
/// @param shape  stress-free heights by node.
Zone NarrowestSpace(const Mesh& mesh, const Eigen::VectorXd& shape, Side up);

/// The shape turned so that it lies in its narrowest space with its lowest points at height 0; any
/// other hold's as it is.
HeightField AsItLies(const Plate::Parts& parts, const HeightField& shape, const Hold& hold);

}  // namespace lieflat
