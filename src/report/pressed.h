#pragma once
// A press as a drawing, and what must be said beside it.

#include <string>
#include <vector>

#include "lieflat/board/board.h"
#include "lieflat/joints/rating.h"
#include "lieflat/plate/bend_field.h"

namespace lieflat::report {

struct PressedDrawing {
  std::string svg;
  double step_ue = 0.0;     ///< between two lines
  double largest_ue = 0.0;  ///< anywhere on the grid
  double grid_mm = 0.0;
  bool presses = false, carries = false;  ///< such marks are there
};

/// @param ratings  of the board's parts, for hatching and names; may be empty.
/// @param alone  no other drawing of the board stands on the page: brings the hatchings along.
PressedDrawing DrawPressed(const Board& board,
                           const std::vector<PartRating>& ratings,
                           const BendField& field,
                           bool alone);

}  // namespace lieflat::report
