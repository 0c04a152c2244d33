#pragma once
// What stands on the paper right before a board's edge: legs, connectors, bodies of parts. Told
// from the paper by its light, along the edge at a tenth of a millimetre, where the band in which
// the edge itself is looked for is smoothed by 1 mm.

#include <functional>
#include <optional>
#include <vector>

namespace lieflat::internal {

/// Light of one photo beside its edge: mm along the chord from its left end, mm before the edge.
using LightBefore = std::function<std::optional<double>(double along, double before)>;

struct EdgeBody {
  double from_mm = 0.0, to_mm = 0.0;  ///< along the chord
  double out_mm = 0.0;                ///< how far it reaches over the paper before the edge
};

/// Stretches in which less than `light_share` of the paper's light beside them comes from right
/// before the edge, in most photos; in order, each at least `narrowest_mm` wide.
std::vector<EdgeBody> FindEdgeBodies(const std::vector<LightBefore>& photos,
                                     double length_mm,
                                     double light_share,
                                     double narrowest_mm);

}  // namespace lieflat::internal
