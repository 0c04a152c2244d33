#pragma once
// What one way of holding would leave, before it is tried: for bow and for twist, which differ; how
// far it springs back, what comes back later, and how far past flat it would have to be held.

#include <optional>

#include "lieflat/lasting/creep.h"

namespace lieflat {

struct BendingOutlook {
  KeptTriple kept;
  Triple spring_back;  ///< share of the change that is lost at once, 1 - S0
  Triple comes_back;   ///< and until it has rested, S0 - S_r
  /// Change of curvature over that wanted, for it to be flat once rested: 1 / S_r.
  Triple overbend_needed;
};

struct Outlook {
  BendingOutlook bow, twist;
  /// The most that the parts allow: 1 / worst share of the allowed bend, pressed just flat. Absent
  /// when no part is rated.
  std::optional<double> overbend_allowed;
  /// What can be kept of the bow without over-bending a part, as a share of it: S_r times what is
  /// allowed, at most 1. Without rated parts pressing just flat is what is meant.
  Triple reachable;
};

/// @param worst_share  the largest share of the allowed bend when pressed just flat; absent: no
/// part is rated. Draws of bow and twist belong together.
Outlook OutlookOf(const LaminateState& laminate,
                  const HoldTime& hold,
                  double rest_hours,
                  std::optional<double> worst_share,
                  const Calib& calib,
                  std::uint64_t seed);

}  // namespace lieflat
