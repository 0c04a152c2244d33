// What to do next with a board, and when: a hold that goes on or a rest that is not over come
// before what is recommended.

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/assess/assessment.h"

namespace lieflat {
namespace {

Instant Later(const Instant& at, double hours) {
  constexpr double kSecondsPerHour = 3600.0;
  return {at.unix_seconds + static_cast<std::int64_t>(hours * kSecondsPerHour), at.offset_minutes};
}

bool ReadSince(const Log& log, const Instant& from) {
  return std::any_of(log.entries.begin(), log.entries.end(), [&](const Entry& entry) {
    return !entry.voided && entry.held() != nullptr && entry.at.unix_seconds >= from.unix_seconds;
  });
}

}  // namespace

NextStep NextStepOf(const Log& log,
                    const Flatness& flatness,
                    const Recommendation& recommended,
                    const Calib& calib) {
  const std::vector<LoggedHold> holds = HoldsOf(log);
  if (!holds.empty()) {
    const LoggedHold& last = holds.back();
    if (!last.to && last.from) {
      return {fmt::format("held flat since {}: take it out, test that it runs, read it at once",
                          last.from->Short()),
              Later(*last.from, calib.Number("choice", "/options/press_cold/hours").value)};
    }
    if (last.to) {
      const Instant rested = Later(*last.to, calib.Number("trend", "/reading/rested_hours").value);
      if (!ReadSince(log, rested))
        return {
            "read it again at the same points now that it has rested: just freed it looks flatter "
            "than it is",
            rested};
    }
  }
  if (recommended.name == "measure-further" && !flatness.next_reading.empty())
    return {flatness.next_reading, std::nullopt};
  return {recommended.because.empty() ? "" : recommended.because.front(), std::nullopt};
}

}  // namespace lieflat
