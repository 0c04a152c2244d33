#include "calculix/cost.h"

namespace lieflat::testing {

Result<Costs> CostOf(const SolidCase& which) {
  Costs costs;
  const auto idle = RunForked([] { return true; });
  // Before the comparison: memory that this process holds would count for its child as well.
  const auto plate = RunForked([&which] {
    const auto made = Plate::Make(WithBodiesGiving(which.model));
    return made && made->Solve(which.shape, which.hold).has_value();
  });
  if (!idle || !plate) {
    return idle ? plate.error() : idle.error();
  }
  const auto both = Compare(which);
  if (!both) {
    return both.error();
  }
  costs.idle = *idle;
  costs.plate = *plate;
  costs.solid = {both->solid.cpu_s, both->solid.peak_mb};
  costs.plate_unknowns = both->plate.unknowns();
  costs.solid_nodes = both->solid.nodes;
  costs.passes = both->passes;
  costs.verified = both->verified;
  return costs;
}

}  // namespace lieflat::testing
