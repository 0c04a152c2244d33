#pragma once
// Where a board of a known outline lies on the sheet.

#include "lieflat/base/calib.h"
#include "lieflat/photo/board_picture.h"

#include "photo/paint.h"

namespace lieflat::internal {

struct SolvedPhoto {
  const BoardPhoto* photo = nullptr;
  Camera camera;
};

/// A first place, to within a few millimetres: where the sheet's white is hidden.
/// @param turned_rad  AB against the sheet's x, to within 45 degrees.
std::optional<BoardPlace> SeekBoard(const SolvedPhoto& from,
                                    const Board& board,
                                    const BoardFace& face,
                                    const BoardPlace& start,
                                    const Printed& printed,
                                    const MatLayout& mat);

struct FittedPlace {
  BoardPlace place;
  int profiles = 0;
  double rms_mm = 0.0;      ///< of the outline found about the described one
  double place_u_mm = 0.0;  ///< what the fit leaves open of a place on the board, standard
};

/// @param blur_mm  standard deviation.
/// @error kNoFigure when too little of the outline is told from the sheet.
Result<FittedPlace> FitPlace(const std::vector<SolvedPhoto>& photos,
                             const Board& board,
                             const BoardFace& face,
                             const BoardPlace& start,
                             double blur_mm,
                             const Calib& calib);

}  // namespace lieflat::internal
