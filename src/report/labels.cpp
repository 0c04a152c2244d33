#include "report/labels.h"

#include <algorithm>

namespace lieflat::report {

bool LabelPlacer::IsFree(const PxBox& box) const {
  return page_.Holds(box) && std::none_of(taken_.begin(), taken_.end(), [&](const PxBox& other) {
           return box.Overlaps(other);
         });
}

bool LabelPlacer::Place(const std::vector<LabelGroup>& candidates,
                        const std::vector<PxBox>& also_avoid) {
  constexpr double kAirPx = 1.0;
  for (const LabelGroup& group : candidates) {
    const bool free = std::all_of(group.begin(), group.end(), [&](const Label& label) {
      const PxBox box = label.Box().Grown(kAirPx);
      return IsFree(box) && std::none_of(also_avoid.begin(),
                                         also_avoid.end(),
                                         [&](const PxBox& other) { return box.Overlaps(other); });
    });
    if (!free) continue;
    for (const Label& label : group) {
      placed_.push_back(label);
      taken_.push_back(label.Box());
    }
    return true;
  }
  return false;
}

}  // namespace lieflat::report
