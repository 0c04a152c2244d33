// The section of the page on pressing flat: where the bend would be, where the load is carried.

#include <fmt/format.h>

#include "report/html_parts.h"
#include "report/pressed.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {
namespace {

std::string Legend(const PressedDrawing& pressed) {
  std::string lines = LegendLine("<path class=\"contour bend\" d=\"M1,8H35\"/>",
                                 "a line of equal bend, in microstrain");
  if (pressed.presses)
    lines += LegendLine("<circle class=\"presses\" cx=\"18\" cy=\"8\" r=\"4\"/>",
                        "the plate over the component side presses here");
  if (pressed.carries)
    lines += LegendLine("<circle class=\"carries\" cx=\"18\" cy=\"8\" r=\"4\"/>",
                        "the plate under the solder side carries here");
  return "<ul class=\"legend\">\n" + lines + "</ul>\n";
}

}  // namespace

std::string LegendLine(const std::string& drawing, const std::string& words) {
  return fmt::format(
      "<li><svg class=\"drawing\" viewBox=\"0 0 36 16\" "
      "aria-hidden=\"true\">{}</svg><span>{}</span></li>\n",
      drawing,
      Escape(words));
}

std::string PressedHtml(const Assessment& a) {
  if (!a.flattening || a.flattening->field.strain.size() == 0) return "";
  const Flattening& press = *a.flattening;
  const PressedDrawing drawing = DrawPressed(a.board, a.parts, press.field, /*alone=*/!a.surface);
  std::string out = fmt::format(
      "<section>\n<h2>What pressing it flat would do</h2>\n<p class=\"small\">Computed, not tried: "
      "between two flat plates until {} mm of height are left, which takes {}. Lines join places "
      "of "
      "equal bend, the larger of both faces, every {:.0f} microstrain; dots show where the plates "
      "touch, their area how much they carry. On a grid of {} mm.</p>\n",
      Rounded(press.gap_mm, 1),
      Print(press.force_n.value, press.force_n.interval95).WithUnit("N"),
      drawing.step_ue,
      Plainly(drawing.grid_mm));
  return out + fmt::format(
                   "<figure class=\"sheet pressed\">\n{}<figcaption class=\"side\">\n{}"
                   "</figcaption>\n</figure>\n</section>\n",
                   drawing.svg,
                   Legend(drawing));
}

}  // namespace lieflat::report
