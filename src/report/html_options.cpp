// The options side by side, as a table of the page.

#include <fmt/format.h>

#include "lieflat/joints/share_words.h"

#include "report/html_parts.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {

namespace {

/// "1.10 (1.05 to 1.14)", broken before the bracket at most; an option that bends nothing leaves
/// it.
std::string AfterHtml(const Option& option, const std::optional<Triple>& after, bool first) {
  if (!option.presses() && !first) return "unchanged";
  std::string words = TripleWords(after);
  if (const auto bracket = words.find('('); bracket != std::string::npos)
    words = words.substr(0, bracket) + "<span class=\"whole\">" + words.substr(bracket) + "</span>";
  return words;
}

}  // namespace

std::string OptionsTableHtml(const Assessment& assessment) {
  if (assessment.options.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const Option& option : assessment.options) {
    const bool presses = option.presses();
    const bool rated = presses && option.rated;
    const std::string name = Escape(Upper(OptionWords(option.name)));
    rows.push_back(
        {(option.name == assessment.recommended.name ? "<b>" + name + "</b>, recommended" : name) +
             fmt::format("<br/><span class=\"soft\">{}</span>", Escape(option.how)),
         AfterHtml(option, option.bow_after_percent, rows.empty()),
         AfterHtml(option, option.twist_after_percent, rows.empty()),
         presses ? KeptWords(option.lasting_fraction) : "",
         rated ? ShareInWords(option.worst_share) : "",
         rated     ? ProbabilityInWords(option.damage_probability)
         : presses ? "not rated"
                   : "",
         Escape(option.against)});
  }
  return "<p class=\"small\">After pressing the board has rested. In brackets 5 to 95 %. Bend: "
         "worst "
         "share of the allowed bend; chance: that at least one part is damaged, a rule of "
         "thumb.</p>\n" +
         HtmlTable(TableKind::kStack,
                   "",
                   {{"Option", false, 25},
                    {"Bow after, %", false, 13},
                    {"Twist after, %", false, 13},
                    {"What stays", false, 12},
                    {"Bend", true, 6},
                    {"Chance", false, 8},
                    {"Against it", false, 23}},
                   rows);
}

}  // namespace lieflat::report
