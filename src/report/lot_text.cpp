#include <algorithm>

#include <fmt/format.h>

#include "lieflat/report/text.h"

#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

std::string VerdictWords(const std::string& name) {
  for (const Verdict verdict :
       {Verdict::kWithin, Verdict::kOver, Verdict::kUndecided, Verdict::kNotMeasured}) {
    if (name == Name(verdict)) return Plain(verdict);
  }
  return name;
}

/// "1.14 (1.10 to 1.18) over", "not measured yet"
std::string FigureWords(const std::optional<double>& percent,
                        const std::optional<Interval>& percent95,
                        const std::string& verdict) {
  const std::string words = VerdictWords(verdict);
  if (!percent || !percent95) return words;
  const report::Printed printed = report::Print(*percent, *percent95);
  return printed.WithoutUnit() + " " +
         (words == Plain(Verdict::kNotMeasured) ? report::kNotAllEdges : words);
}

std::optional<double> Low(const std::optional<Interval>& interval) {
  return interval ? std::optional(interval->low) : std::nullopt;
}

std::optional<double> High(const std::optional<Interval>& interval) {
  return interval ? std::optional(interval->high) : std::nullopt;
}

/// One cell of a sheet, quoted where it must be (RFC 4180, 2).
std::string Cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

std::string Number(const std::optional<double>& value) {
  return value ? fmt::format("{:.4f}", *value) : "";
}

}  // namespace

std::string LotText(const Lot& lot) {
  std::vector<std::vector<std::string>> rows;
  for (const LotRow& row : lot.rows) {
    const std::string label = report::Printable(row.label.empty() ? row.folder : row.label);
    if (row.problem) {
      rows.push_back({label, "", "", "", "cannot be read", report::Printable(row.problem->Text())});
      continue;
    }
    rows.push_back({label,
                    report::WorksWords(row.works),
                    FigureWords(row.bow_percent, row.bow_percent95, row.bow_verdict),
                    FigureWords(row.twist_percent, row.twist_percent95, row.twist_verdict),
                    report::OptionWords(row.recommended),
                    row.due.empty()
                        ? row.next_action
                        : fmt::format("{}: {}", row.due.substr(0, 10), row.next_action)});
  }
  std::string out =
      Wrap(fmt::format("{}: {} {}, most urgent first; bow and twist in percent (95 % interval)",
                       lot.name,
                       lot.rows.size(),
                       lot.rows.size() == 1 ? "board" : "boards"),
           report::kTerminalWidth,
           0,
           2);
  return out + "\n\n" +
         report::TextTable({{"Board"}, {"Works"}, {"Bow"}, {"Twist"}, {"Do"}, {"Next"}}, rows, 0);
}

std::string LotCsv(const Lot& lot) {
  std::string out =
      "folder,label,works,need,bow_percent,bow_low95_percent,bow_high95_percent,bow_limit_percent,"
      "bow_verdict,twist_percent,twist_low95_percent,twist_high95_percent,twist_verdict,"
      "recommended,"
      "next_action,due,problem\n";
  for (const LotRow& row : lot.rows) {
    const std::vector<std::string> cells = {row.folder,
                                            row.label,
                                            row.works,
                                            row.need,
                                            Number(row.bow_percent),
                                            Number(Low(row.bow_percent95)),
                                            Number(High(row.bow_percent95)),
                                            Number(row.bow_limit_percent),
                                            row.bow_verdict,
                                            Number(row.twist_percent),
                                            Number(Low(row.twist_percent95)),
                                            Number(High(row.twist_percent95)),
                                            row.twist_verdict,
                                            row.recommended,
                                            row.next_action,
                                            row.due,
                                            row.problem ? row.problem->Text() : ""};
    for (std::size_t i = 0; i < cells.size(); ++i) out += (i == 0 ? "" : ",") + Cell(cells[i]);
    out += "\n";
  }
  return out;
}

}  // namespace lieflat
