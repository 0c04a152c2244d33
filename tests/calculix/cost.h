#pragma once
// What an answer costs, by the plate and by solids, in the same run on the same machine.

#include "calculix/ccx_run.h"
#include "calculix/compare.h"

namespace lieflat::testing {

struct Costs {
  ChildCost plate;  ///< mesh, solution and contacts, from nothing, in a process of its own
  ChildCost idle;   ///< a process of the same program that does nothing
  ChildCost solid;  ///< the last pass, its contacts given
  int plate_unknowns = 0, solid_nodes = 0, passes = 0;
  bool verified = false;
};

/// @error as Compare.
Result<Costs> CostOf(const SolidCase& which);

}  // namespace lieflat::testing
