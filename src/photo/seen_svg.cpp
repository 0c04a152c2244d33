#include <algorithm>

#include <fmt/format.h>

#include "lieflat/photo/document.h"

namespace lieflat {
namespace {

constexpr double kMarginMm = 12.0, kLettersMm = 4.0;
/// Residuals are drawn so much longer than they are: 0.1 px becomes 2 mm.
constexpr double kMmPerPx = 20.0, kLongestMm = 12.0;

std::string Escaped(const std::string& text) {
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

}  // namespace

std::string SeenSvg(const LyingResult& result, const Board& board) {
  const auto& points = result.bundle.points_mm;
  Eigen::Vector2d low(1e9, 1e9), high(-1e9, -1e9);
  for (const auto& p : points) {
    low = low.cwiseMin(p.head<2>());
    high = high.cwiseMax(p.head<2>());
  }
  const Eigen::Vector2d size =
      high - low + Eigen::Vector2d(2.0 * kMarginMm, 2.0 * kMarginMm + 10.0);
  const auto x = [&](const Eigen::Vector2d& p) { return p.x() - low.x() + kMarginMm; };
  const auto y = [&](const Eigen::Vector2d& p) { return high.y() - p.y() + kMarginMm; };
  std::string svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.0f}mm\" height=\"{:.0f}mm\" "
      "viewBox=\"0 0 {:.1f} {:.1f}\" "
      "font-family=\"sans-serif\" font-size=\"{:g}\">\n<rect width=\"100%\" height=\"100%\" "
      "fill=\"#fff\"/>\n",
      size.x(),
      size.y(),
      size.x(),
      size.y(),
      kLettersMm);
  std::vector<bool> placed(points.size(), false);
  std::string lines, dots;
  for (std::size_t i = 0; i < result.bundle.residuals_px.size(); ++i) {
    const Eigen::Vector2d r = result.bundle.residuals_px[i];
    const auto point = static_cast<std::size_t>(result.sightings.at(i).point);
    const Eigen::Vector2d at = points[point].head<2>();
    const bool used = result.bundle.used[i];
    const double length = std::min(kLongestMm, kMmPerPx * r.norm());
    const Eigen::Vector2d end = at + length * Eigen::Vector2d(r.x(), -r.y()).normalized();
    lines += fmt::format("<path d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\" stroke=\"{}\"{}/>\n",
                         x(at),
                         y(at),
                         x(end),
                         y(end),
                         used ? "#06c" : "#c40",
                         used ? "" : " stroke-dasharray=\"1 .6\"");
    if (!placed[point])
      dots += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\".6\"/>\n", x(at), y(at));
    placed[point] = true;
  }
  svg += "<g stroke-width=\".25\" fill=\"none\">\n" + lines + "</g>\n<g fill=\"#555\">\n" + dots +
         "</g>\n";
  for (std::size_t k = 0; k < result.stations.size(); ++k) {
    const Eigen::Vector2d at = result.station_on_sheet_mm.at(k);
    const Station& station = result.stations[k];
    svg += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">{} {:+.2f}</text>\n",
                       x(at) + 5.0,
                       y(at) + 1.5,
                       station.name,
                       station.height_mm);
  }
  svg += fmt::format(
      "<text x=\"{:g}\" y=\"{:.1f}\">{}: {} photos on {}; lines: what is left over, 0.1 px drawn "
      "as {:g} mm; dashed: left out</text>\n</svg>\n",
      kMarginMm,
      size.y() - 4.0,
      Escaped(board.label),
      result.reading.photos,
      result.sheet,
      0.1 * kMmPerPx);
  return svg;
}

}  // namespace lieflat
