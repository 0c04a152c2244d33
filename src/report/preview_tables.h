#pragma once
// The tables of a preview on a terminal.

#include <string>

#include "lieflat/assess/preview.h"

namespace lieflat::report {

/// A force with the digits that make sense of it: "9.8", "24".
std::string Newtons(double force_n);
/// "68 % (55 to 81)", or "68 %" without draws.
std::string PressedShareWords(const PressedPart& part);

/// Step by step.
std::string WayTable(const Preview& preview);
/// Each at its worst moment, worst first; empty without parts.
std::string PressedPartsTable(const Preview& preview);
/// What was asked for with --points; empty without.
std::string PointsTable(const Preview& preview);

}  // namespace lieflat::report
