// The sheet from above with what the photos of a lying board showed.

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/photo/document.h"

#include "photo/svg_words.h"

namespace lieflat {
namespace {

constexpr double kMarginMm = 12.0;
/// Residuals are drawn so much longer than they are: 0.1 px becomes 4 mm.
constexpr double kMmPerPx = 40.0, kLongestMm = 12.0;
/// Letters, as shares of the drawing's width: legible where it is 350 px wide.
constexpr double kHeightsShare = 1.0 / 42.0, kWordsShare = 1.0 / 50.0;

/// From the sheet's plane to the drawing: y down.
class Drawing {
 public:
  explicit Drawing(const std::vector<Eigen::Vector3d>& points) {
    for (const auto& p : points) {
      low_ = low_.cwiseMin(p.head<2>());
      high_ = high_.cwiseMax(p.head<2>());
    }
  }
  [[nodiscard]] double width() const { return high_.x() - low_.x() + 2.0 * kMarginMm; }
  [[nodiscard]] double words_from() const { return high_.y() - low_.y() + 2.0 * kMarginMm; }
  [[nodiscard]] std::string At(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d q = On(p);
    return fmt::format("{:.1f} {:.1f}", q.x(), q.y());
  }
  [[nodiscard]] Eigen::Vector2d On(const Eigen::Vector2d& p) const {
    return {p.x() - low_.x() + kMarginMm, high_.y() - p.y() + kMarginMm};
  }

 private:
  Eigen::Vector2d low_ = Eigen::Vector2d::Constant(1e9), high_ = Eigen::Vector2d::Constant(-1e9);
};

template <typename Points>
std::string Ring(const Drawing& drawing, const Points& points) {
  std::string path;
  for (const Eigen::Vector2d& p : points) path += (path.empty() ? "M" : "L") + drawing.At(p);
  return path + "Z";
}

/// The board's outline on the sheet, by where its stations lie on both: least
/// squares, a face that is seen from behind included.
std::vector<Eigen::Vector2d> OutlineOnSheet(const LyingResult& result, const Board& board) {
  const auto n = static_cast<Eigen::Index>(result.stations.size());
  Eigen::MatrixX3d from(n, 3);
  Eigen::MatrixX2d to(n, 2);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto k = static_cast<std::size_t>(i);
    from.row(i) << 1.0, result.stations[k].at_mm.transpose();
    to.row(i) = result.station_on_sheet_mm[k].transpose();
  }
  const Eigen::Matrix<double, 3, 2> map = from.colPivHouseholderQr().solve(to);
  std::vector<Eigen::Vector2d> outline;
  for (const auto& p : board.outline_mm)
    outline.emplace_back((Eigen::RowVector3d(1.0, p.x(), p.y()) * map).transpose());
  return outline;
}

/// How many times longer than on the sheet itself a residual is drawn: by how
/// many pixels show a millimetre at the board, the photos' mean.
double Magnified(const LyingResult& result) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const auto& at : result.station_on_sheet_mm)
    middle.head<2>() += at / static_cast<double>(result.station_on_sheet_mm.size());
  double px_per_mm = 0.0;
  for (const Shot& shot : result.bundle.shots) {
    const double away = (shot.rotation * middle + shot.position).norm();
    px_per_mm += result.bundle.lens.f / away / static_cast<double>(result.bundle.shots.size());
  }
  return kMmPerPx * px_per_mm;
}

/// Residuals that counted, those left out, and a dot for every corner of the
/// sheet.
struct Marks {
  std::string kept, left_out, dots;
};
Marks MarksOf(const LyingResult& result, const Drawing& drawing, std::size_t sheet_points) {
  const auto& points = result.bundle.points_mm;
  Marks marks;
  for (std::size_t i = 0; i < result.bundle.residuals_px.size(); ++i) {
    const Eigen::Vector2d r = result.bundle.residuals_px[i];
    const auto point = static_cast<std::size_t>(result.sightings.at(i).point);
    const Eigen::Vector2d at = points[point].head<2>();
    const double length = std::min(kLongestMm, kMmPerPx * r.norm());
    const Eigen::Vector2d end = at + length * Eigen::Vector2d(r.x(), -r.y()).normalized();
    (result.bundle.used[i] ? marks.kept : marks.left_out) +=
        fmt::format("M{}L{}", drawing.At(at), drawing.At(end));
  }
  for (std::size_t i = 0; i < sheet_points; ++i)  // a line of no length with round ends
    marks.dots += fmt::format("M{}h0", drawing.At(points[i].head<2>()));
  return marks;
}

std::string Stickers(const LyingResult& result, const Drawing& drawing, std::size_t sheet_points) {
  std::string path;
  for (std::size_t first = sheet_points; first + 4 <= result.bundle.points_mm.size(); first += 4) {
    std::array<Eigen::Vector2d, 4> corners;
    for (std::size_t c = 0; c < 4; ++c) corners[c] = result.bundle.points_mm[first + c].head<2>();
    path += Ring(drawing, corners);
  }
  return path;
}

/// Towards the board's middle from each sticker; of numbered ones along its long edges outwards, so
/// that they keep clear of the corners' own.
std::string HeightLabels(const LyingResult& result, const Drawing& drawing) {
  Eigen::Vector2d low(1e9, 1e9), high(-1e9, -1e9);
  for (const Eigen::Vector2d& at : result.station_on_sheet_mm) {
    low = low.cwiseMin(at);
    high = high.cwiseMax(at);
  }
  const double letters = kHeightsShare * drawing.width();
  std::string out = fmt::format(
      "<g font-size=\"{:.1f}\" stroke=\"#fff\" stroke-width=\"1.5\" paint-order=\"stroke\">\n",
      letters);
  for (std::size_t k = 0; k < result.stations.size(); ++k) {
    const Station& station = result.stations[k];
    const Eigen::Vector2d on_sheet = result.station_on_sheet_mm.at(k);
    const Eigen::Vector2d share = (on_sheet - low).cwiseQuotient(high - low);
    const bool first = share.x() < 0.15;
    const bool last = share.x() > 0.85;
    const bool at_edge = std::abs(share.y() - 0.5) > 0.38;
    const bool outwards = at_edge && station.name.front() <= '9';  // a number
    const bool under = (share.y() > 0.5) != outwards;
    const double half = 0.5 * station.size_mm;
    const Eigen::Vector2d at = drawing.On(on_sheet);
    out += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{} {:+.2f}</text>\n",
                       at.x() + (first  ? -half
                                 : last ? half
                                        : 0.0),
                       under ? at.y() + 1.5 * half + 0.8 * letters : at.y() - 1.8 * half,
                       first  ? "start"
                       : last ? "end"
                              : "middle",
                       station.name,
                       station.height_mm);
  }
  return out + "</g>\n";
}

}  // namespace

std::string SeenSvg(const LyingResult& result, const Board& board) {
  const std::size_t sheet_points =
      result.bundle.points_mm.size() - 4 * result.station_on_sheet_mm.size();
  const Drawing drawing(result.bundle.points_mm);
  const Marks marks = MarksOf(result, drawing, sheet_points);
  const double letters = kWordsShare * drawing.width();
  const double height = drawing.words_from() + 3.2 * letters;
  const std::string meaning = fmt::format(
      "The sheet seen from above. Dots: its corners; squares: the stickers, each with its height "
      "in "
      "mm; thick line: the board's outline. The thin lines at corners are what is left over there "
      "in "
      "one photo (residuals), magnified: 0.1 px is drawn as {:g} mm of the sheet, some {:.0f} "
      "times "
      "its size; dashed: left out as false.",
      0.1 * kMmPerPx,
      10.0 * std::round(0.1 * Magnified(result)));
  std::string svg = internal::SvgHead(drawing.width(), height, meaning);
  svg += fmt::format("<path fill=\"none\" stroke=\"#000\" stroke-width=\".7\" d=\"{}\"/>\n",
                     Ring(drawing, OutlineOnSheet(result, board)));
  svg += fmt::format(
      "<path fill=\"#ddd\" stroke=\"#555\" stroke-width=\".25\" d=\"{}\"/>\n"
      "<path fill=\"none\" stroke=\"#555\" stroke-width=\"1.2\" stroke-linecap=\"round\" "
      "d=\"{}\"/>\n",
      Stickers(result, drawing, sheet_points),
      marks.dots);
  svg += fmt::format("<path fill=\"none\" stroke=\"#06c\" stroke-width=\".5\" d=\"{}\"/>\n",
                     marks.kept);
  if (!marks.left_out.empty()) {
    svg += fmt::format(
        "<path fill=\"none\" stroke=\"#c40\" stroke-width=\".7\" stroke-dasharray=\"1.4 .8\" "
        "d=\"{}\"/>\n",
        marks.left_out);
  }
  svg += HeightLabels(result, drawing);
  svg += fmt::format(
      "<g font-size=\"{0:.1f}\">\n<text x=\"{1:g}\" y=\"{2:.1f}\">{3}: {4} photos on {5}</text>\n"
      "<text x=\"{1:g}\" y=\"{6:.1f}\">thin lines: what is left over, 0.1 px as {7:g} mm; dashed: "
      "left out</text>\n</g>\n</svg>\n",
      letters,
      kMarginMm,
      drawing.words_from() + letters,
      internal::SvgText(board.label),
      result.reading.photos,
      result.sheet,
      drawing.words_from() + 2.4 * letters,
      0.1 * kMmPerPx);
  return svg;
}

}  // namespace lieflat
