#pragma once
// A press as a drawing, and what must be said beside it.

#include <string>
#include <vector>

#include "lieflat/board/board.h"
#include "lieflat/board/polygon.h"
#include "lieflat/joints/rating.h"
#include "lieflat/plate/bend_field.h"

namespace lieflat::report {

/// What presses, where it is drawn over the board.
struct PressedLoad {
  Ring outline_mm;
  std::string words;  ///< "1 kg"
};

struct PressedDrawing {
  std::string svg;
  double width_px = 0.0, height_px = 0.0;
  double step_ue = 0.0;     ///< between two lines
  double largest_ue = 0.0;  ///< anywhere on the grid
  double grid_mm = 0.0;
  bool presses = false, carries = false;  ///< such marks are there
};

/// @param ratings  of the board's parts, for hatching and names; may be empty.
/// @param how    ends the title: "pressed flat".
/// @param alone  no other drawing of the board stands on the page: brings the hatchings along.
PressedDrawing DrawPressed(const Board& board,
                           const std::vector<PartRating>& ratings,
                           const BendField& field,
                           bool alone,
                           const std::string& how = "pressed flat",
                           const std::vector<PressedLoad>& loads = {});

}  // namespace lieflat::report
