// The table of damage beside the numbered marks on the sheet.

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "report/damage.h"
#include "report/html_parts.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {

std::string DamageTableHtml(const Assessment& assessment, const Calib& calib) {
  if (assessment.marks.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const JudgedMark& judged : assessment.marks) {
    std::string effect;
    for (const Block& block : judged.blocks)
      effect += fmt::format("<b>blocks pressing</b>: {}. ", Escape(block.why));
    if (judged.limit_factor < 1.0 && !judged.beside.empty()) {
      effect += fmt::format("{} taken to stand {:.0f} % of the bend.",
                            Escape(Join(judged.beside, ", ")),
                            100.0 * judged.limit_factor);
    }
    std::string todo = Escape(judged.procedure + "; test: " + Join(judged.tests, "; "));
    if (!judged.judgement.missing.empty())
      todo = "still to say: " + Escape(WithoutFlags(Join(judged.judgement.missing, "; "))) +
             "; then " + todo;
    std::string outcome = fmt::format("<b>{}</b>", OutcomeWords(judged));
    if (!judged.judgement.reasons.empty())
      outcome += ": " + Escape(Join(judged.judgement.reasons, "; "));
    std::string what = Escape(Printable(MarkWords(judged, calib)));
    if (const std::string size = SizeWordsOf(judged.mark); !size.empty())
      what += "; " + Escape(size);
    rows.push_back({std::to_string(judged.number),
                    what,
                    outcome + fmt::format(" ({})", Escape(judged.judgement.source)),
                    effect,
                    todo});
  }
  return HtmlTable(
      TableKind::kStack,
      fmt::format("Marks by their number in the drawings, judged by acceptance class {}",
                  assessment.board.acceptance_class),
      {{"No."}, {"What and where"}, {"Outcome"}, {"Effect on pressing"}, {"To do"}},
      rows);
}

}  // namespace lieflat::report
