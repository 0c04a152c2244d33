#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/report/text.h"

#include "report/damage.h"
#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace report {

std::string OutcomeWords(const JudgedMark& mark) {
  std::string words = Plain(mark.judgement.outcome);
  if (mark.mark.state != MarkState::kOpen) words += fmt::format("; {}", Name(mark.mark.state));
  return words;
}

std::string SizeWordsOf(const Mark& mark) {
  std::vector<std::string> words;
  if (!mark.at_mm.empty()) {
    const auto& first = mark.at_mm.front();
    const auto& last = mark.at_mm.back();
    std::string place = fmt::format("{}, {}", Plainly(first.x()), Plainly(first.y()));
    if (mark.outline)
      place = "round " + place;
    else if (mark.at_mm.size() > 1)
      place += fmt::format(" to {}, {}", Plainly(last.x()), Plainly(last.y()));
    words.push_back(place + " mm");
  }
  const auto size = [&](const char* name, const char* word) {
    const auto found = mark.measures.find(name);
    if (found == mark.measures.end()) return;
    const Measured& measure = found->second;
    words.push_back(fmt::format("{}{} mm {}",
                                Plainly(measure.value),
                                measure.u95 > 0.0 ? " +- " + Plainly(measure.u95) : "",
                                word));
  };
  if (mark.measures.contains("length"))
    size("length", "long");
  else if (mark.DrawnLength() > 0.0)
    words.push_back(Rounded(mark.DrawnLength(), 1) + " mm long");
  size("width", "wide");
  if (!mark.depth.empty())
    words.push_back(mark.depth == "through" ? "through" : "into the " + mark.depth);
  if (mark.side) words.push_back(fmt::format("{} side", Name(*mark.side)));
  return Join(words, ", ");
}

std::vector<Eigen::Vector2d> DamagePlaces(const Mark& mark, const Board& board) {
  if (!mark.at_mm.empty()) return mark.at_mm;
  const Part* part = mark.near.empty() ? nullptr : board.FindPart(mark.near.front());
  if (part == nullptr || !part->centre_mm) return {};
  return {*part->centre_mm};
}

std::vector<std::string> DamageLines(const Assessment& assessment, const Calib& calib) {
  std::vector<std::string> lines;
  for (const JudgedMark& mark : assessment.marks) {
    std::string line =
        fmt::format("mark {}, {}: {}", mark.number, MarkWords(mark, calib), OutcomeWords(mark));
    if (!mark.blocks.empty()) line += "; blocks pressing";
    if (!mark.judgement.missing.empty())
      line += "; still to say: " + mark.judgement.missing.front();
    lines.push_back(line);
  }
  return lines;
}

std::string DamageForSale(const Assessment& assessment, const Calib& calib) {
  std::vector<std::string> words;
  for (const JudgedMark& mark : assessment.marks) {
    const bool repaired = mark.mark.state == MarkState::kRepaired;
    const bool defect = mark.judgement.outcome == Outcome::kDefect;
    words.push_back(MarkWords(mark, calib) + (repaired ? " (repaired)"
                                              : defect ? " (defect)"
                                                       : ""));
  }
  return Join(words, ", ");
}

namespace {

std::string Details(const JudgedMark& judged, const Calib& calib) {
  std::string out = Wrap(fmt::format("{}, mark {}: {}: {}",
                                     judged.mark.id,
                                     judged.number,
                                     Printable(MarkWords(judged, calib)),
                                     OutcomeWords(judged)),
                         kTerminalWidth,
                         0,
                         2) +
                    "\n";
  constexpr int kIndent = 12;
  const auto line = [&](const std::string& head, const std::string& text) {
    if (text.empty()) return;
    const std::string wrapped = Wrap(Printable(text), kTerminalWidth, kIndent, kIndent);
    out += fmt::format("  {:<{}}{}\n", head, kIndent - 2, wrapped.substr(kIndent));
  };
  line("Where", SizeWordsOf(judged.mark));
  line("Because", Join(judged.judgement.reasons, "; "));
  for (const std::string& missing : judged.judgement.missing) line("Asked", missing);
  for (const Block& block : judged.blocks)
    line("Blocks", fmt::format("{}: {}", Join(block.options, ", "), block.why));
  if (judged.limit_factor < 1.0 && !judged.beside.empty()) {
    line("Weakens",
         fmt::format("{}: taken to stand {:.0f} % of the bend",
                     Join(judged.beside, ", "),
                     100.0 * judged.limit_factor));
  }
  line("Repair", judged.procedure);
  line("Test", Join(judged.tests, "; "));
  line("Source", judged.judgement.source);
  line("Note", judged.mark.note);
  line("State", judged.mark.state_note);
  return out;
}

}  // namespace
}  // namespace report

std::string DamageText(const Assessment& assessment, const std::string& id, const Calib& calib) {
  if (assessment.marks.empty()) return "no damage on record\n";
  std::string out;
  if (id.empty()) {
    out = fmt::format(
        "{}: {} {} of damage, judged by class {}\n",
        report::Printable(assessment.board.label.empty() ? "Board" : assessment.board.label),
        assessment.marks.size(),
        assessment.marks.size() == 1 ? "mark" : "marks",
        assessment.board.acceptance_class);
  }
  for (const JudgedMark& mark : assessment.marks) {
    if (!id.empty() && mark.mark.id != id) continue;
    if (id.empty()) out += "\n";
    out += report::Details(mark, calib);
  }
  return out;
}

}  // namespace lieflat
