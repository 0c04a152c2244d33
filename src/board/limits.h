#pragma once
// What a description may say: ranges outside of which a value is a slip of the decimal mark or of
// the unit.

#include <array>
#include <string>
#include <vector>

namespace lieflat {

inline constexpr double kSmallestSideMm = 20.0;
inline constexpr double kLargestSideMm = 700.0;
inline constexpr double kThinnestMm = 0.2;
inline constexpr double kThickestMm = 6.0;
inline constexpr double kLightestG = 1.0;
inline constexpr double kHeaviestG = 20000.0;
/// A part may reach this far over the edge (connectors do).
inline constexpr double kOverhangMm = 5.0;
/// A named corner may lie this far from the outline (rounded and notched corners).
inline constexpr double kCornerOffOutlineMm = 10.0;
/// The frame is measured with a rule: A at the origin and B on the x axis within this.
inline constexpr double kFrameMm = 0.5;
/// Two corners of a rectangle meet at a right angle within this cosine (0.6 degrees).
inline constexpr double kRightAngleCosine = 0.01;
inline constexpr std::size_t kMostOutlinePoints = 500;
inline constexpr std::size_t kMostCutouts = 200;
/// Of all cut-outs together: each is held against each.
inline constexpr std::size_t kMostCutoutPoints = 2000;
inline constexpr std::size_t kMostParts = 2000;
inline constexpr std::size_t kMostHoles = 1000;
inline constexpr std::size_t kLongestText = 200;

inline const std::vector<std::string> kRegions = {"top-left",
                                                  "top-centre",
                                                  "top-right",
                                                  "middle-left",
                                                  "middle-centre",
                                                  "middle-right",
                                                  "bottom-left",
                                                  "bottom-centre",
                                                  "bottom-right"};

}  // namespace lieflat
