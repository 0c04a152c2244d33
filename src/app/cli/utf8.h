#pragma once
// Whether bytes are well-formed UTF-8: no overlong form, no surrogate, nothing above U+10FFFF.
// Source: The Unicode Standard, 3.9, table 3-7 (from memory).

#include <string_view>

namespace lieflat::cli {

inline bool IsUtf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    const std::size_t more = lead < 0x80   ? 0
                             : lead < 0xC2 ? 9
                             : lead < 0xE0 ? 1
                             : lead < 0xF0 ? 2
                             : lead < 0xF5 ? 3
                                           : 9;
    if (more == 9 || i + more >= text.size()) return false;
    for (std::size_t k = 1; k <= more; ++k) {
      const auto next = static_cast<unsigned char>(text[i + k]);
      const unsigned low = k > 1 ? 0x80U : lead == 0xE0 ? 0xA0U : lead == 0xF0 ? 0x90U : 0x80U;
      const unsigned high = k > 1 ? 0xBFU : lead == 0xED ? 0x9FU : lead == 0xF4 ? 0x8FU : 0xBFU;
      if (next < low || next > high) return false;
    }
    i += more + 1;
  }
  return true;
}

}  // namespace lieflat::cli
