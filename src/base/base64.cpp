#include "lieflat/base/base64.h"

namespace lieflat {

std::string Base64(std::string_view bytes) {
  constexpr char kLetters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t at = 0; at < bytes.size(); at += 3) {
    unsigned group = 0;
    for (std::size_t k = 0; k < 3; ++k)
      group =
          group << 8U | (at + k < bytes.size() ? static_cast<unsigned char>(bytes[at + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k)
      out.push_back(at + k <= bytes.size() ? kLetters[group >> (18U - 6U * k) & 63U] : '=');
  }
  return out;
}

}  // namespace lieflat
