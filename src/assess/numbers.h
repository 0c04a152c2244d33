#pragma once
// How the documents write numbers.

#include <cmath>

#include "lieflat/base/json.h"
#include "lieflat/base/statistics.h"
#include "lieflat/lasting/creep.h"

namespace lieflat {

inline constexpr double kMicrostrain = 1e6;

/// Figures are written to a ten-thousandth of their unit: below what any reading resolves, and the
/// same on every machine.
inline double Round(double value) {
  const double rounded = std::round(value * 1e4) / 1e4;
  return rounded == 0.0 ? 0.0 : rounded;  // no minus zero
}

inline Json ToJson(const Interval& interval, double scale = 1.0) {
  return Json::array({Round(interval.low * scale), Round(interval.high * scale)});
}

/// 5, 50 and 95 %.
inline Json ToJson(const Triple& triple) {
  return Json::array({Round(triple.p5), Round(triple.p50), Round(triple.p95)});
}

}  // namespace lieflat
