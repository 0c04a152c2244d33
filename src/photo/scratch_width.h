#pragma once
// How wide a line is that is no wider than the blur of its picture.

#include <vector>

namespace lieflat::internal {

/// Mean light across a line, ground taken off.
struct AcrossLine {
  std::vector<double> off_mm;  ///< from its course
  std::vector<double> light;
};

/// Least squares of ground, slope and a blurred box whose width and middle are sought.
/// @param sigma_mm  of the blur, a Gauss; > 0.
/// @return mm, 0.01 to 2 and a little over.
double FitWidth(const AcrossLine& profile, double sigma_mm);

}  // namespace lieflat::internal
