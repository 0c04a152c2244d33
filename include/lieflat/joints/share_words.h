#pragma once
// A share of the allowed bend as it is printed where its interval does not stand beside it.

#include <cmath>
#include <string>

namespace lieflat {

/// "90 %": whole tens from 20 % on, for the interval reaches from about half to one and a half
/// times the share; "8 %" below. On which side of the whole a share lies is kept: "just over 100
/// %".
inline std::string ShareInWords(double share) {
  constexpr double kTensFrom = 0.2;
  const double percent =
      share >= kTensFrom ? 10.0 * std::round(10.0 * share) : std::round(100.0 * share);
  const char* const side = percent != 100.0 || share == 1.0 ? ""
                           : share > 1.0                    ? "just over "
                                                            : "just under ";
  return side + std::to_string(static_cast<int>(percent)) + " %";
}

}  // namespace lieflat
