#include "lieflat/lasting/outlook.h"

#include <algorithm>

namespace lieflat {
namespace {

/// Past this nothing can be said but "out of reach".
constexpr double kFarthest = 1000.0;

BendingOutlook OutlookOn(KeptTriple kept) {
  BendingOutlook outlook;
  const Eigen::ArrayXd release = kept.release_draws.array(), rested = kept.rested_draws.array();
  outlook.spring_back = TripleOf((1.0 - release).matrix());
  outlook.comes_back = TripleOf((release - rested).matrix());
  outlook.overbend_needed = TripleOf(rested.max(1.0 / kFarthest).inverse().matrix());
  outlook.kept = std::move(kept);
  return outlook;
}

}  // namespace

Outlook OutlookOf(const LaminateState& laminate,
                  const HoldTime& hold,
                  double rest_hours,
                  std::optional<double> worst_share,
                  const Calib& calib,
                  std::uint64_t seed) {
  Outlook outlook;
  outlook.bow = OutlookOn(PredictKept(laminate, Bending::kBow, hold, rest_hours, calib, seed));
  outlook.twist = OutlookOn(PredictKept(laminate, Bending::kTwist, hold, rest_hours, calib, seed));
  if (worst_share && *worst_share > 1.0 / kFarthest) outlook.overbend_allowed = 1.0 / *worst_share;
  const double times = outlook.overbend_allowed.value_or(1.0);
  outlook.reachable = TripleOf((times * outlook.bow.kept.rested_draws.array()).min(1.0).matrix());
  return outlook;
}

}  // namespace lieflat
