#pragma once
// Random boards, warped, with parts, laid down and pressed in every way there is.

#include <string>

#include "lieflat/base/random.h"
#include "lieflat/plate/solve.h"

namespace lieflat::testing {

struct RandomPlate {
  PlateModel model;
  HeightField shape;
  Hold hold;
  std::string text;  ///< for the trace of a failure
};

/// Outline with notches and slanted corners, cut-outs, parts at edges and slots that overlap, warp
/// to 12 mm of bow, twist, dome and cubic terms, 0.8 to 3.2 mm thick.
RandomPlate MakeRandomPlate(Random& random);

/// The same with cells of this share of the size.
PlateModel Refined(PlateModel model, double share);

}  // namespace lieflat::testing
