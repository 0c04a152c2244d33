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
                   "<figure class=\"sheet\">\n{}<figcaption class=\"side\">\n{}"
                   "</figcaption>\n</figure>\n</section>\n",
                   drawing.svg,
                   Legend(drawing));
}

std::string OptionsTableHtml(const Assessment& assessment, const Calib& calib) {
  if (assessment.options.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const Option& option : assessment.options) {
    const bool presses = option.presses();
    const bool rated = presses && option.rated;
    const std::string against = AgainstWords(option, assessment, calib);
    const std::string name = Escape(Upper(OptionWords(option.name)));
    rows.push_back(
        {option.name == assessment.recommended.name ? "<b>" + name + "</b>, recommended" : name,
         Escape(option.how),
         TripleWords(option.bow_after_percent),
         TripleWords(option.twist_after_percent),
         presses ? KeptWords(option.lasting_fraction) : "",
         rated ? Rounded(100.0 * option.worst_share, 0) + " %" : "",
         rated     ? ProbabilityInWords(option.damage_probability)
         : presses ? "not rated"
                   : "",
         Escape(against)});
  }
  return "<p class=\"small\">After pressing the board has rested. In brackets 5 to 95 %. Bend: "
         "worst "
         "share of the allowed bend; chance: of damage to a part, a rule of thumb.</p>\n" +
         HtmlTable(TableKind::kStack,
                   "",
                   {{"Option"},
                    {"How"},
                    {"Bow after, %"},
                    {"Twist after, %"},
                    {"What stays"},
                    {"Bend", true},
                    {"Chance"},
                    {"Against it"}},
                   rows);
}

}  // namespace lieflat::report
