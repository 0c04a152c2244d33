#include <algorithm>

#include <fmt/format.h>

#include "lieflat/report/html.h"
#include "lieflat/report/preview.h"

#include "report/pressed.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::Px;

constexpr double kLegendLine = 15.0;  // pixels

Ring Rectangle(const Eigen::Vector2d& low, const Eigen::Vector2d& high) {
  return {low, {high.x(), low.y()}, high, {low.x(), high.y()}};
}

/// A bar about as wide as it is taken to be, its middle line where it presses.
Ring BarOutline(const Hold::Bar& bar) {
  constexpr double kHalfMm = 5.0;
  const Eigen::Vector2d along = (bar.to_mm - bar.from_mm).normalized();
  const Eigen::Vector2d across = kHalfMm * Eigen::Vector2d(-along.y(), along.x());
  return {bar.from_mm - across, bar.to_mm - across, bar.to_mm + across, bar.from_mm + across};
}

std::vector<report::PressedLoad> LoadsOf(const Preview& preview) {
  std::vector<report::PressedLoad> loads;
  if (const auto* under = std::get_if<UnderWeights>(&preview.way)) {
    for (const UnderWeights::Weight& weight : under->weights) {
      loads.push_back(
          {Rectangle(weight.at_mm - 0.5 * weight.size_mm, weight.at_mm + 0.5 * weight.size_mm),
           report::Plainly(weight.mass_kg) + " kg"});
    }
  }
  for (const Hold::Bar& bar : preview.pressing.hold.bars)
    loads.push_back({BarOutline(bar), report::Rounded(bar.load_n, 0) + " N"});
  return loads;
}

/// Parts hatched and named by the share that this press takes.
std::vector<PartRating> AsPressed(const Preview& preview) {
  std::vector<PartRating> parts = preview.basis.parts;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const PressedPart& pressed = preview.pressing.parts[i];
    parts[i].share = pressed.share;
    parts[i].share95 = pressed.share95.value_or(Interval{pressed.share, pressed.share});
  }
  return parts;
}

std::string HowWords(const PressWay& way) {
  if (std::holds_alternative<BetweenPlates>(way)) return "between two plates";
  if (std::holds_alternative<UnderWeights>(way)) return "under weights";
  if (std::holds_alternative<UnderBars>(way)) return "under clamped bars";
  return "screwed to stand-offs";
}

class Legend {
 public:
  explicit Legend(double top) : y_(top) {}
  void Add(const std::string& mark, const std::string& words) {
    y_ += kLegendLine;
    out += fmt::format(
        "<g transform=\"translate(20,{})\">{}</g><text x=\"50\" y=\"{}\" font-size=\"10\">{}"
        "</text>\n",
        Px(y_ - 11.5),
        mark,
        Px(y_),
        report::Escape(words));
  }
  [[nodiscard]] double bottom() const { return y_ + kLegendLine; }
  std::string out;

 private:
  double y_;
};

}  // namespace

std::string PreviewSvg(const Preview& preview) {
  const std::vector<PartRating> parts = AsPressed(preview);
  const std::vector<report::PressedLoad> loads = LoadsOf(preview);
  const report::PressedDrawing drawing = report::DrawPressed(preview.basis.board,
                                                             parts,
                                                             preview.pressing.field,
                                                             /*alone=*/true,
                                                             HowWords(preview.way),
                                                             loads);
  Legend legend(drawing.height_px);
  legend.Add("<path class=\"contour bend\" d=\"M1,8H22\"/>",
             fmt::format("equal bend, every {:.0f} microstrain", drawing.step_ue));
  if (!loads.empty())
    legend.Add("<path class=\"load\" d=\"M2,4H21V13H2Z\"/>", "weight or bar, as it lies");
  if (drawing.presses)
    legend.Add("<circle class=\"presses\" cx=\"11\" cy=\"8\" r=\"4\"/>",
               "pressed or drawn down here; area as the force");
  if (drawing.carries)
    legend.Add("<circle class=\"carries\" cx=\"11\" cy=\"8\" r=\"4\"/>",
               "carried here; area as the force");
  legend.Add("<path class=\"part h2\" d=\"M2,3H21V13H2Z\"/>",
             "part, with its share of the allowed bend");
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" viewBox=\"0 0 {0} {1}\" "
      "width=\"{2}\" height=\"{3}\">\n<style>{4}</style>\n<rect class=\"paper\" width=\"{0}\" "
      "height=\"{1}\"/>\n<svg width=\"{0}\" height=\"{5}\">\n{6}</svg>\n{7}</svg>\n",
      Px(drawing.width_px),
      Px(legend.bottom()),
      Px(2.0 * drawing.width_px),
      Px(2.0 * legend.bottom()),
      DrawingStyle(),
      Px(drawing.height_px),
      drawing.svg,
      legend.out);
}

}  // namespace lieflat
