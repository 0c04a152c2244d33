#include "photo/svg_words.h"

#include <fmt/format.h>

namespace lieflat::internal {

std::string SvgText(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '&')
      out += "&amp;";
    else
      out += c;
  }
  return out.empty() ? "board" : out;
}

std::string SvgHead(double width_mm, double height_mm, const std::string& meaning) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}mm\" height=\"{1:.0f}mm\" "
      "viewBox=\"0 0 {0:.1f} {1:.1f}\" font-family=\"sans-serif\">\n<desc>{2}</desc>\n"
      "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
      width_mm,
      height_mm,
      SvgText(meaning));
}

}  // namespace lieflat::internal
