#pragma once
// The gentlest places for given weights, the gentlest washers for given stand-offs.
//
//   weights: among places that leave no more of the bend than those given do, the ones at which the
//            worst share of the allowed bend is least
//   shims:   of whole washers, the ones at which the worst share is least with all screws home
//
// Found by a pattern search on a coarse mesh: every weight (or shim) is moved by a step both ways,
// the best move is kept, the step shrinks where none helps. A local optimum: nothing says that no
// better one lies elsewhere. Source: Hooke & Jeeves, J. ACM 8 (1961) 212, one coordinate at a time.

#include "lieflat/press/press.h"

namespace lieflat {

struct Optimised {
  PressWay way;
  int searched = 0;     ///< holds that were solved
  double before = 0.0;  ///< worst share with what was given, on the search's mesh
  double after = 0.0;
  double finest_step_mm = 0.0;  ///< moves smaller than this were not tried
};

/// @param way      weights (mass, footprint and first place of each) or stand-offs (shims given are
///                 a first guess only).
/// @param options  limits are needed; draws, samples and points are passed over.
/// @error kBadUse for plates and bars, which have nothing to choose; as PressBoard.
Result<Optimised> OptimiseWay(const Board& board,
                              const Surface& surface,
                              const PressWay& way,
                              const Calib& calib,
                              const PressOptions& options);

}  // namespace lieflat
