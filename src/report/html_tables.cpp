// A table for every figure: a drawing never stands alone.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/html_parts.h"
#include "report/sheet_model.h"
#include "report/svg.h"
#include "report/words.h"

namespace lieflat::report {
namespace {

/// A word that may be broken anywhere, for it would make its column too wide.
bool HasLongWord(const std::string& cell) {
  constexpr std::ptrdiff_t kLong = 18;
  std::ptrdiff_t run = 0;
  for (const char c : cell) {
    run = c == ' ' || c == '-' ? 0 : run + 1;
    if (run > kLong) return true;
  }
  return false;
}

}  // namespace

std::string HtmlTable(TableKind kind,
                      const std::string& caption,
                      const std::vector<HtmlColumn>& columns,
                      const std::vector<std::vector<std::string>>& rows) {
  // So few stay together on one sheet of paper; the rows of a stack are higher.
  const std::size_t short_rows = kind == TableKind::kStack ? 6 : 12;
  std::string out = fmt::format("<table class=\"{}{}\">\n",
                                kind == TableKind::kStack ? "stack" : "narrow",
                                rows.size() <= short_rows ? " short" : "");
  if (!caption.empty()) out += fmt::format("<caption>{}</caption>\n", Escape(caption));
  out += "<thead><tr>";
  for (const HtmlColumn& column : columns) {
    out +=
        fmt::format("<th scope=\"col\"{}{}>{}</th>",
                    column.number ? " class=\"n\"" : "",
                    column.percent > 0 ? fmt::format(" style=\"width:{}%\"", column.percent) : "",
                    Escape(column.head));
  }
  out += "</tr></thead>\n<tbody>\n";
  for (const auto& row : rows) {
    out += "<tr>";
    for (std::size_t c = 0; c < columns.size(); ++c) {
      // One element a cell, so that head and content stand side by side at 390 px.
      const std::string cell = row[c].empty() ? "" : fmt::format("<span>{}</span>", row[c]);
      const char* kind_of_cell = columns[c].number     ? " class=\"n\""
                                 : HasLongWord(row[c]) ? " class=\"any\""
                                                       : "";
      out += fmt::format(
          "<td data-label=\"{}\"{}>{}</td>", Escape(columns[c].head), kind_of_cell, cell);
    }
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n";
}

std::string HtmlList(const std::vector<std::string>& items) {
  std::string out = "<ul class=\"plain\">\n";
  for (const std::string& item : items)
    out += fmt::format("<li>{}</li>\n", Escape(Typographic(item)));
  return out + "</ul>\n";
}

std::string VerdictHtml(Verdict verdict) {
  const char* kind = verdict == Verdict::kOver     ? " over"
                     : verdict == Verdict::kWithin ? " within"
                                                   : "";
  return fmt::format("<span class=\"verdict{}\">{}</span>", kind, Plain(verdict));
}

std::string EdgesTableHtml(const Assessment& assessment) {
  std::vector<std::vector<std::string>> rows;
  for (const EdgeBow& edge : assessment.flatness.edges) {
    const double limit_mm = assessment.flatness.limit.percent * edge.length_mm / 100.0;
    std::vector<std::string> row = {Name(edge.edge), Plainly(edge.length_mm) + " mm"};
    if (edge.known) {
      const Printed bow = Print(edge.percent, edge.percent95);
      row.push_back(PrintGap(edge, assessment.flatness.limit).WithUnit("mm"));
      row.push_back(Typographic(bow.value + " %"));
      row.push_back(Typographic(bow.low + " to " + bow.high));
    } else {
      row.insert(row.end(), {"not read", "", ""});
    }
    row.push_back(Rounded(limit_mm, 2) + " mm");
    row.push_back(VerdictHtml(edge.verdict));
    rows.push_back(std::move(row));
  }
  return HtmlTable(
      TableKind::kStack,
      "The four edges in figures; bow is + where the middle stands towards the components",
      {{"Edge"},
       {"Length", true},
       {"Gap", true},
       {"Bow", true},
       {"95 % interval", true},
       {"Limit", true},
       {"Verdict"}},
      rows);
}

std::string HeightsTableHtml(const Assessment& assessment) {
  if (!assessment.surface) return "";
  std::vector<std::vector<std::string>> rows;
  for (const Station& station : ModelSheet(assessment).stations) {
    const std::string name = station.name.empty() ? "" : station.name;
    const std::string place =
        fmt::format("{}, {}", Plainly(station.at_mm.x()), Plainly(station.at_mm.y()));
    rows.push_back({name.empty() ? "point" : name,
                    place,
                    station.shown ? Typographic(PlusMinus(station.height_mm, station.u95_mm, "±"))
                                  : "not known",
                    station.read ? "read" : "surface"});
  }
  return HtmlTable(TableKind::kNarrow,
                   "Spot heights over the best plane; x, y from corner A; all in mm",
                   {{"Place"}, {"x, y", true}, {"Height", true}, {"Taken"}},
                   rows);
}

std::string ReadingsTableHtml(const Assessment& assessment) {
  if (assessment.used.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const UsedReading& reading : assessment.used) {
    rows.push_back({Escape(reading.name),
                    Escape(reading.id),
                    Typographic(Rounded(reading.value_mm, 2)),
                    Rounded(reading.u_mm, 2),
                    Typographic(Rounded(reading.fitted_mm, 2))});
  }
  return HtmlTable(TableKind::kNarrow,
                   "Readings that count, with their standard uncertainty u, and what the surface "
                   "says there; in mm, + towards the components",
                   {{"Reading"}, {"Entry"}, {"Read", true}, {"u", true}, {"Surface", true}},
                   rows);
}

namespace {

/// Of the share of the allowed bend at the part as it is now: as its strain, whichever way it
/// bends.
Interval FoundShare95(const PartRating& part) {
  const Interval& strain = part.found_strain95;
  const double low = std::abs(strain.low), high = std::abs(strain.high);
  const double least = strain.low < 0.0 && strain.high > 0.0 ? 0.0 : std::min(low, high);
  return {least / part.allowed_strain, std::max(low, high) / part.allowed_strain};
}

}  // namespace

std::string PartsTableHtml(const Assessment& assessment, const Calib& calib) {
  if (assessment.parts.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const PartRating* part : WorstFirst(assessment.parts)) {
    std::string what = Escape(PartWords(assessment, *part, calib));
    if (part->where_taken != "at its place" && !part->where_taken.empty()) {
      what += fmt::format("; place not known, taken as the {}", Escape(part->where_taken));
    }
    if (!part->measured) {
      rows.push_back({Escape(part->ref), what, "", "", "", "", "not measured yet"});
      continue;
    }
    const Printed share = PrintShare(part->share, part->share95);
    const Printed now = PrintShare(part->found_share, FoundShare95(*part));
    const Printed strain = PrintStrain(part->flatten_strain, part->flatten_strain95);
    rows.push_back(
        {Escape(part->ref),
         what,
         fmt::format("{} % ({} to {})", now.value, now.low, now.high),
         fmt::format("{} % ({} to {})", share.value, share.low, share.high),
         Typographic(fmt::format("{} of {}", strain.value, Rounded(1e6 * part->allowed_strain, 0))),
         Escape(ProbabilityInWords(part->damage_probability)),
         fmt::format(
             "<b>{}</b>, set by {}", Name(part->rating), Escape(SetByWords(part->set_by)))});
  }
  return HtmlTable(TableKind::kStack,
                   "Share of the allowed bend at each part, the worst first",
                   {{"Part"},
                    {"What it is"},
                    {"Bend now", true},
                    {"Added if pressed", true},
                    {"Microstrain", true},
                    {"Chance of damage"},
                    {"Rating"}},
                   rows);
}

namespace {

std::string WithU(const Uncertain& value, double factor, const std::string& unit) {
  return fmt::format("{} {}", PlusMinus(factor * value.value, factor * 2.0 * value.u, "±"), unit);
}

}  // namespace

std::string SourcesTableHtml(const Assessment& assessment, const Calib& calib) {
  const Board& board = assessment.board;
  const Limit& limit = assessment.flatness.limit;
  std::vector<std::vector<std::string>> rows;
  rows.push_back({"Limit of bow and twist", Plainly(limit.percent) + " %", Escape(limit.source)});
  rows.push_back({fmt::format("Laminate: {}",
                              Escape(board.laminate.plain.empty() ? board.laminate_name
                                                                  : board.laminate.plain)),
                  WithU(board.laminate.modulus_x_mpa, 1e-3, "GPa"),
                  Escape(board.laminate.source)});
  rows.push_back(
      {"Thickness",
       fmt::format("{} mm", PlusMinus(board.thickness_mm.value, 2.0 * board.thickness_mm.u, "±")),
       "the board's description"});
  if (board.mass_g)
    rows.push_back({"Mass", WithU(*board.mass_g, 1.0, "g"), "the board's description"});
  else
    rows.push_back(
        {"Mass", "not weighed", "6 to 10 kg a square metre is assumed where it matters"});
  std::vector<std::string> seen;
  for (const PartRating& rating : assessment.parts) {
    const Part* part = board.FindPart(rating.ref);
    if (part == nullptr) continue;
    const PartClass part_class = ClassOf(*part, calib);
    const std::string key = fmt::format("{} {}", part_class.name, part_class.allowed_strain);
    if (std::find(seen.begin(), seen.end(), key) != seen.end()) continue;
    seen.push_back(key);
    rows.push_back({fmt::format("Allowed bend: {}", Escape(PartWords(assessment, rating, calib))),
                    fmt::format("{:.0f} microstrain", 1e6 * part_class.allowed_strain),
                    Escape(part_class.source)});
  }
  return "<p class=\"small\">In square brackets how well a source is known. read: it was read "
         "itself; secondary: as others quote it; memory: not looked up; practice: common practice; "
         "prior: chosen by judgement; derived, computed: worked out here.</p>\n" +
         HtmlTable(TableKind::kStack,
                   "",
                   {{"What"}, {"Value"}, {"Source and how well it is known"}},
                   rows);
}

std::string HistoryTableHtml(const std::vector<HistoryLine>& history) {
  if (history.empty()) return "<p>Nothing was logged yet.</p>\n";
  std::vector<std::vector<std::string>> rows;
  rows.reserve(history.size());
  for (const HistoryLine& line : history) {
    rows.push_back({Escape(line.id),
                    Escape(line.at),
                    line.voided ? fmt::format("out of use: <s>{}</s>", Escape(line.text))
                                : Escape(line.text)});
  }
  return HtmlTable(TableKind::kStack, "", {{"Entry"}, {"When"}, {"What"}}, rows);
}

}  // namespace lieflat::report
