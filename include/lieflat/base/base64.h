#pragma once
// Bytes as text, for a picture that stands inside a page.

#include <string>
#include <string_view>

namespace lieflat {

/// RFC 4648, section 4: with padding, without line breaks.
std::string Base64(std::string_view bytes);

}  // namespace lieflat
