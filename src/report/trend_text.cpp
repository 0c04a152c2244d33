// A board over days, for a terminal.

#include <fmt/format.h>

#include "lieflat/report/shares.h"
#include "lieflat/report/text.h"

#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::kTerminalWidth;
using report::Rounded;

std::string Line(const std::string& text, int first = 0, int next = 2) {
  return Wrap(report::Printable(text), kTerminalWidth, first, next) + "\n";
}

std::string StateWords(const FollowedReading& reading) {
  if (reading.state == "first") return "before any hold";
  if (reading.state == "just-freed") return "just freed";
  if (reading.state == "rested") return "next day";
  return "in between";
}

std::string FigureWords(const Following& following) {
  return following.figure.starts_with("bow ") ? "gap along " + following.figure.substr(4)
                                              : following.figure;
}

std::string Headline(const FollowedBoard& board) {
  const Following& f = board.following;
  const std::string rule = f.stop.rule;
  std::string words = rule == "go-on"     ? "Nothing says stop"
                      : rule == "target"  ? "Stop: it is flat enough"
                      : rule == "plateau" ? "Stop: it has given what it gives"
                      : rule == "nothing" ? "Stop: it does nothing that can be told"
                      : rule == "worse"   ? "Stop: it gets worse"
                      : rule == "step"    ? "Ask first: it changed at one go"
                                          : "Stop: the risk is used up";
  return words + ": " + f.stop.why + ".";
}

std::string ReadingsTable(const Following& f) {
  std::vector<std::vector<std::string>> rows;
  for (const FollowedReading& reading : f.readings) {
    rows.push_back({reading.id,
                    reading.at.Short(),
                    std::to_string(reading.holds),
                    StateWords(reading),
                    Rounded(reading.value_mm, 2)});
  }
  return report::TextTable(
      {{"Entry"}, {"Read"}, {"After holds", true}, {"State"}, {"mm", true}}, rows, 2);
}

/// Just freed it looks like success: said wherever it does.
std::string TrapLine(const Following::Change& change) {
  if (!change.freed_mm || !change.mm || *change.freed_mm >= *change.mm) return "";
  return fmt::format(
      "Do not be misled: just freed it read {:.2f} mm flatter than at first, but {:.2f} mm of that "
      "came back by the next day.",
      -*change.freed_mm,
      *change.mm - *change.freed_mm);
}

std::string ForecastLines(const Following& f) {
  if (f.forecast.empty()) return "";
  std::string out = "\nAhead, rested, with more holds like these\n";
  std::vector<std::vector<std::string>> rows;
  for (const Following::Ahead& ahead : f.forecast) {
    rows.push_back({fmt::format("+{}", ahead.holds),
                    Rounded(ahead.p50, 2),
                    fmt::format("{} to {}", Rounded(ahead.p25, 2), Rounded(ahead.p75, 2)),
                    fmt::format("{} to {}", Rounded(ahead.p5, 2), Rounded(ahead.p95, 2))});
  }
  out += report::TextTable(
      {{"Holds"}, {"mm", true}, {"half of the time", true}, {"nine times of ten", true}}, rows, 2);
  if (f.target_mm) {
    out += Line(
        f.holds_to_target
            ? fmt::format("The middle of this reaches the limit, {} mm, after about {} more.",
                          Rounded(*f.target_mm, 2),
                          *f.holds_to_target)
            : fmt::format("The middle of this does not reach the limit, {} mm, within 100 holds.",
                          Rounded(*f.target_mm, 2)),
        2,
        2);
  }
  return out;
}

}  // namespace

std::string TrendText(const FollowedBoard& board) {
  const Following& f = board.following;
  std::string out = fmt::format("{}   {}   {} {}\n\n",
                                report::Printable(board.label.empty() ? "Board" : board.label),
                                FigureWords(f),
                                f.holds.size(),
                                f.holds.size() == 1 ? "hold" : "holds");
  out += Line(Headline(board));
  if (!f.change.why.empty()) out += Line(report::Upper(f.change.why) + ".");
  if (const std::string trap = TrapLine(f.change); !trap.empty()) out += Line(trap);
  if (f.kept) {
    out +=
        Line(fmt::format("Holds like these were expected to keep {} of the bend; with its own "
                         "readings {}, and the next one adds {}.",
                         PercentWords(f.kept->foreseen),
                         PercentWords(f.kept->with_readings),
                         PercentWords(f.kept->next_hold)));
  }
  if (board.budget.left) {
    out += Line(fmt::format("Presses left: {} ({}; {:.0f} % of its median life is the most).",
                            *board.budget.left,
                            board.budget.part,
                            100.0 * board.budget.most));
  }
  out += Line(fmt::format("Not warmer than {:.0f} C: {}.", board.cap.cap_c, board.cap.why));
  out += fmt::format("\nReadings, {}\n", f.like) + ReadingsTable(f) + ForecastLines(f);
  for (const std::string& step : f.steps) out += "\n" + Line("A step: " + step);
  if (!f.passed_over.empty()) {
    out += "\nPassed over\n";
    for (const std::string& line : f.passed_over) out += Line("- " + line, 2, 4);
  }
  return out;
}

}  // namespace lieflat
