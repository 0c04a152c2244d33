#pragma once
// Which figures the readings themselves show, whatever the surface between them.

#include <array>
#include <string>

#include "lieflat/readings/sample.h"

namespace lieflat {

struct Known {
  std::array<bool, 4> edges{};  ///< read near the middle, chord ends included
  bool twist = false;           ///< all four corners, or a form of its own
  std::string twist_procedure = "corners";
  bool surface = false;  ///< heights at enough places to fix plane, two bows and twist
  double coverage_share =
      0.0;  ///< how close the surface must be to count as a reading, as a share of the limit
};

Known WhatIsRead(const Board& board, const SampleSet& samples);

}  // namespace lieflat
