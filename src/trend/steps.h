#pragma once
// Changes that are not creep: a heat sink or a stand-off taken off, a knock.

#include <string>
#include <vector>

#include "lieflat/trend/follow.h"

namespace lieflat::trend {

/// In plain words, in the order of time: a change with no hold between that is larger than the
/// noise; or one over a hold that, the noise taken off, creep as assumed would exceed less often
/// than calib "stop/step_probability" and that is no small share of the bend.
std::vector<std::string> StepsIn(const Following& following,
                                 const LaminateState& laminate,
                                 double sd_mm,
                                 const Calib& calib);

}  // namespace lieflat::trend
