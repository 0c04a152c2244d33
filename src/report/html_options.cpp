// The options side by side, as a table of the page.

#include "report/html_parts.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {

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
