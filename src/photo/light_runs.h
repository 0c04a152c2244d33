#pragma once
// Conductors under a coating along a line: runs of lighter places.

#include <vector>

#include "lieflat/photo/picture_measures.h"

namespace lieflat::internal {

struct LightRuns {
  int runs = 0;
  Told told = Told::kNotResolved;  ///< kNo: one level of light only; not resolved: no clear levels
};

/// @param light  logarithm of the light, every 0.1 mm along the line.
LightRuns CountLighterRuns(std::vector<double> light);

}  // namespace lieflat::internal
