#pragma once
// Points in time as ISO 8601 with an offset, and the clock, which is passed in.

#include <cstdint>
#include <string>
#include <string_view>

#include "lieflat/base/result.h"

namespace lieflat {

struct Instant {
  std::int64_t unix_seconds = 0;
  int offset_minutes = 0;  ///< of the place where it was written down

  /// "2026-03-02T20:00:00+01:00"
  [[nodiscard]] std::string Iso() const;
  /// "2026-03-02 20:00"
  [[nodiscard]] std::string Short() const;
  friend bool operator==(const Instant&, const Instant&) = default;
};

/// ISO 8601 date, time and offset (Z or +hh:mm). @error kRefused.
Result<Instant> ParseInstant(std::string_view text, const std::string& where);

class Clock {
 public:
  virtual ~Clock() = default;
  [[nodiscard]] virtual Instant Now() const = 0;
};

/// The machine's time and zone; SOURCE_DATE_EPOCH in the environment fixes it, at offset 0.
const Clock& RealClock();

}  // namespace lieflat
