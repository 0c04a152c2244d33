#include "report/svg.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "lieflat/base/check.h"

#include "report/words.h"

namespace lieflat::report {

std::string Escape(const std::string& text) {
  std::string out;
  for (const char c : Printable(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string Px(double value) {
  LIEFLAT_CHECK(std::isfinite(value), "a coordinate of a drawing is not finite");
  std::string text = fmt::format("{:.2f}", value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string Typographic(std::string text) {
  for (std::size_t at = 0; at < text.size(); ++at) {
    const bool sign = text[at] == '-' && at + 1 < text.size() && text[at + 1] >= '0' &&
                      text[at + 1] <= '9' &&
                      (at == 0 || text[at - 1] == ' ' || text[at - 1] == '(');
    if (sign) text.replace(at, 1, "\xE2\x88\x92");
  }
  return text;
}

bool PxBox::Overlaps(const PxBox& other) const {
  return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
}

bool PxBox::Holds(const PxBox& other) const {
  return left <= other.left && other.right <= right && top <= other.top && other.bottom <= bottom;
}

bool PxBox::Holds(const Eigen::Vector2d& point) const {
  return left <= point.x() && point.x() <= right && top <= point.y() && point.y() <= bottom;
}

PxBox PxBox::Grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }

// Widths in em, rounded up from DejaVu Serif, the widest face of the page's list.
double TextWidth(const std::string& text, double size, bool bold) {
  double em = 0.0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if ((byte & 0xC0) == 0x80) continue;
    if (byte >= 0x80)
      em += 0.9;
    else if (std::string_view("ijl.,;:'|!()[] -").find(c) != std::string_view::npos)
      em += 0.40;
    else if (std::string_view("mwMW%@&").find(c) != std::string_view::npos)
      em += 1.08;
    else if (c >= 'A' && c <= 'Z')
      em += 0.80;
    else
      em += 0.65;
  }
  return em * size * (bold ? 1.09 : 1.0);
}

PxBox Label::Box() const {
  const double width = TextWidth(text, size, bold);
  const double ascent = 0.95 * size;  // the line box of the face, not the letters alone
  const double descent = 0.25 * size;
  double before = 0.0;
  if (anchor == Anchor::kMiddle) before = 0.5 * width;
  if (anchor == Anchor::kEnd) before = width;
  if (!upright)
    return {at.x() - before, at.y() - ascent, at.x() - before + width, at.y() + descent};
  return {at.x() - ascent, at.y() + before - width, at.x() + descent, at.y() + before};
}

std::string Label::Svg() const {
  static constexpr const char* kAnchors[] = {"start", "middle", "end"};
  const std::string turn =
      upright ? fmt::format(" transform=\"rotate(-90 {} {})\"", Px(at.x()), Px(at.y())) : "";
  const std::string classes = (bold ? "b " : "") + css;
  return fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{}\"{}{}>{}</text>\n",
                     Px(at.x()),
                     Px(at.y()),
                     Px(size),
                     kAnchors[static_cast<std::size_t>(anchor)],
                     classes.empty() ? "" : fmt::format(" class=\"{}\"", classes),
                     turn,
                     Escape(text));
}

std::string Path(const std::vector<Eigen::Vector2d>& points, bool closed) {
  std::string out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    out += fmt::format("{}{},{}", i == 0 ? "M" : "L", Px(points[i].x()), Px(points[i].y()));
  }
  return closed ? out + "Z" : out;
}

}  // namespace lieflat::report
