#pragma once
// A clock that stands still until a test moves it.

#include "lieflat/base/clock.h"

namespace lieflat::testing {

class FixedClock : public Clock {
 public:
  /// 2026-03-02T20:00:00+01:00
  Instant now{1772478000, 60};
  [[nodiscard]] Instant Now() const override { return now; }
};

}  // namespace lieflat::testing
