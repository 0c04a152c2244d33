#pragma once
// A reader's own repeatability, from a trial: the same few gaps on something flat, each read
// several times.

#include "lieflat/base/text.h"
#include "lieflat/readings/gauge.h"

namespace lieflat {

struct Repeatability {
  double sd_mm = 0.0;  ///< pooled within places
  int degrees_of_freedom = 0;
};

/// A sheet with columns station,height_mm (or gap_mm); each station at least twice, at least 4
/// degrees of freedom in all. Pooled variance: JCGM 100:2008, 4.2.4. @error kRefused, kNoFigure.
Result<Repeatability> RepeatabilityFromSheet(const Sheet& sheet);

}  // namespace lieflat
