#pragma once
// Figures as they are written to a document.

#include <cmath>

namespace lieflat {

/// The nearest whole number of steps; halves away from 0. The step's own rounding stays in it:
/// 3 steps of 0.1 are 0.30000000000000004.
inline double ToStep(double value, double step) { return std::round(value / step) * step; }

}  // namespace lieflat
