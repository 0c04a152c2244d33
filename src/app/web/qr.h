#pragma once
// A QR code (ISO/IEC 18004, by libqrencode) of a short text, for a terminal and as a picture.

#include <string>

namespace lieflat::web {

/// Two modules a character, dark on light whatever the terminal's colours.
std::string QrForTerminal(const std::string& text);
/// One <svg> element with its quiet zone.
std::string QrSvg(const std::string& text);

}  // namespace lieflat::web
