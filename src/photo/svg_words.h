#pragma once
// What every picture of what was seen begins with.

#include <string>

namespace lieflat::internal {

/// Text as XML has it; "board" where there is none.
std::string SvgText(const std::string& text);

/// The root element of a drawing in mm on white, with what its marks mean as
/// <desc>: whoever shows it puts that beneath.
std::string SvgHead(double width_mm, double height_mm, const std::string& meaning);

}  // namespace lieflat::internal
