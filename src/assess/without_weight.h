#pragma once
// Takes the weight out of the readings that count, or says why it stays in.

#include <string>
#include <vector>

#include "lieflat/assess/assessment.h"
#include "lieflat/shape/weight.h"

namespace lieflat {

struct WithoutWeight {
  SampleSet samples;
  double sag_bound_mm = 0.0;  ///< what may still be in them
  WeightShare share;
};

/// @param notes  gets what was assumed, what the table hides, and why the weight stays in where it
/// does.
Result<WithoutWeight> WithoutItsWeight(const Board& board,
                                       const SampleSet& samples,
                                       const Calib& calib,
                                       const WeightOptions& options,
                                       std::vector<std::string>& notes);

}  // namespace lieflat
