#pragma once
// The forces on a pressed board, gathered by what exerts them.

#include <vector>

#include "lieflat/press/press.h"

namespace lieflat {

/// What presses, own weight left out: of the plate, the weights, the bars, or what screws pull.
double PressingLoad(const PressWay& way, const Hold& hold, const PlateSolution& solution);

/// Of table and stand-offs, upwards.
double GroundForce(const PlateSolution& solution);

/// Everything that acts on the board; sums to nothing. @error as DistributeMass.
Result<std::vector<PressForce>> ForcesOnBoard(const PressWay& way,
                                              const Board& board,
                                              const Hold& hold,
                                              const Plate& plate,
                                              const PlateSolution& solution,
                                              const Calib& calib);

}  // namespace lieflat
