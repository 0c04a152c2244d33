#include "lieflat/report/text.h"

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/joints/share_words.h"

#include "report/damage.h"
#include "report/table.h"
#include "report/words.h"

namespace lieflat {
namespace {

using report::kTerminalWidth;

constexpr int kAnswerIndent = 16;  // the answers stand in a column of their own
constexpr int kFigureIndent = 7;   // under "Twist  "

std::string Line(const std::string& text, int first = 0, int next = 0) {
  return Wrap(text, kTerminalWidth, first, next) + "\n";
}

std::string List(const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = "\n" + title + "\n";
  for (const std::string& item : items) out += Line("- " + item, 2, 4);
  return out;
}

/// Pieces side by side, three spaces apart; on lines of their own where that is too wide.
std::string Pieces(const std::vector<std::string>& pieces, int first, int next) {
  std::string out(static_cast<std::size_t>(first), ' ');
  int column = first;
  int indent = first;
  for (const std::string& raw : pieces) {
    const std::string piece = report::Printable(raw);
    if (piece.empty()) continue;
    const int gap = column > indent ? 3 : 0;
    if (column + gap + report::Columns(piece) <= kTerminalWidth) {
      out += std::string(static_cast<std::size_t>(gap), ' ') + piece;
      column += gap + report::Columns(piece);
      continue;
    }
    if (column > indent) {
      out += "\n" + std::string(static_cast<std::size_t>(next), ' ');
      column = indent = next;
    }
    const std::string wrapped = Wrap(piece, kTerminalWidth, column, next);
    out += wrapped.substr(static_cast<std::size_t>(column));
    column = kTerminalWidth;
  }
  return out + "\n";
}

std::string Header(const Assessment& assessment) {
  const Board& board = assessment.board;
  return Pieces({board.label.empty() ? "board without a label" : board.label,
                 fmt::format("{}, {}", report::SizeWords(board), report::MountingWords(board)),
                 report::WorksWords(assessment.works_now)},
                0,
                4);
}

/// "Bow    1.14 % (1.10 to 1.18)   AB, towards the components   limit 0.75   over"; the limit and
/// the verdict go below when one of the two lines would be too wide.
struct FigureLine {
  std::string name, figure, where, limit, verdict;
};

std::string FigureLines(const std::vector<FigureLine>& lines) {
  std::size_t figure = 0;
  std::size_t where = 0;
  std::size_t all = 0;
  for (const auto& line : lines) {
    figure = std::max(figure, line.figure.size());
    where = std::max(where, line.where.size());
  }
  for (const auto& line : lines) {
    if (line.where.empty()) continue;
    all = std::max(
        all, kFigureIndent + figure + 3 + where + 3 + line.limit.size() + 3 + line.verdict.size());
  }
  std::string out;
  for (const auto& line : lines) {
    if (line.where.empty()) {
      out += fmt::format("{:<6} {}\n", line.name, line.figure);
    } else if (all <= kTerminalWidth) {
      out += fmt::format("{:<6} {:<{}}   {:<{}}   {}   {}\n",
                         line.name,
                         line.figure,
                         figure,
                         line.where,
                         where,
                         line.limit,
                         line.verdict);
    } else {
      out += fmt::format("{:<6} {:<{}}   {}\n", line.name, line.figure, figure, line.where);
      out += fmt::format("{:{}}{}: {}\n", "", kFigureIndent, line.limit, line.verdict);
    }
  }
  return out;
}

std::string Figures(const Assessment& assessment) {
  const Flatness& f = assessment.flatness;
  const std::string limit = fmt::format("limit {}", report::Plainly(f.limit.percent));
  const char* bow_verdict = f.bow_measured && f.bow_verdict == Verdict::kNotMeasured
                                ? report::kNotAllEdges
                                : Plain(f.bow_verdict);
  FigureLine bow{"Bow", "not measured yet", "", limit, bow_verdict};
  if (f.bow_measured) {
    bow.figure = report::Print(f.bow_percent, f.bow_percent95, f.limit.percent).WithUnit("%");
    bow.where = fmt::format("{}, {}", Name(f.bow_edge), report::TowardsWords(f.bow_towards));
  }
  FigureLine twist{"Twist", "not measured yet", "", limit, Plain(f.twist_verdict)};
  if (f.twist_measured) {
    twist.figure = report::Print(f.twist_percent, f.twist_percent95, f.limit.percent).WithUnit("%");
    twist.where = report::HighCorners(f);
  }
  return FigureLines({bow, twist});
}

/// How it was held, the weight, what the limit is for: the small print under the two figures.
std::string SmallPrint(const Assessment& assessment) {
  const Flatness& f = assessment.flatness;
  std::string out;
  const auto add = [&](const std::string& text) {
    out += Line(text, kFigureIndent, kFigureIndent);
  };
  if (!assessment.held.empty()) add(report::HowWords(assessment));
  if (const std::string lay = report::AsItLayWords(assessment); !lay.empty()) add(lay);
  if (f.twist_measured && !f.twist_procedure.empty()) {
    add("twist " + report::ProcedureWords(f.twist_procedure));
  }
  if (f.flatness_measured) {
    add(fmt::format(
        "whole board: {} over the best plane, {} between two planes (flatness, ISO 1101)",
        report::Print(f.ls_mm, f.ls95_mm).WithUnit("mm"),
        report::Print(f.zone_mm, f.zone95_mm).WithUnit("mm")));
  }
  add("limit: " + f.limit.source);
  if (!f.limit.meaning.empty()) add(f.limit.meaning);
  if (!assessment.board.corners_are_outline) {
    add("the outline is no rectangle: bow and twist are between the corners you named, by "
        "agreement");
  }
  return out;
}

std::string EdgesTable(const Assessment& assessment) {
  const Flatness& f = assessment.flatness;
  if (std::none_of(f.edges.begin(), f.edges.end(), [](const EdgeBow& edge) { return edge.known; }))
    return "";
  std::vector<std::vector<std::string>> rows;
  for (const EdgeBow& edge : f.edges) {
    const std::string length = report::Plainly(edge.length_mm) + " mm";
    if (!edge.known) {
      rows.push_back({Name(edge.edge), length, "not read", "", Plain(Verdict::kNotMeasured)});
      continue;
    }
    rows.push_back({Name(edge.edge),
                    length,
                    report::PrintGap(edge, f.limit).WithoutUnit(),
                    report::Print(edge.percent, edge.percent95).WithoutUnit(),
                    Plain(edge.verdict)});
  }
  return "\n" +
         report::TextTable({{"Edge"},
                            {"Length", true},
                            {"Gap, mm (95 % interval)"},
                            {"Bow, % (95 % interval)"},
                            {"Against the limit"}},
                           rows,
                           0) +
         Line("Bow is + where the middle stands towards the components.", 2, 2);
}

std::vector<std::string> PartRow(const PartRating& part) {
  if (!part.measured) return {part.ref, part.part_class, "", "", "", "not measured yet"};
  return {part.ref,
          part.part_class,
          report::PrintShare(part.found_share, {part.found_share, part.found_share}).value + " %",
          report::PrintShare(part.share, part.share95).WithUnit("%"),
          ProbabilityInWords(part.damage_probability),
          Name(part.rating)};
}

/// "Rating set by share: U3, U1; by share, chance: U9": a column of its own would not fit.
std::string SetByLine(const std::vector<const PartRating*>& parts) {
  std::vector<std::pair<std::string, std::string>> groups;
  for (const PartRating* part : parts) {
    if (!part->measured) continue;
    const std::string words = report::SetByWords(part->set_by);
    const auto same = std::find_if(
        groups.begin(), groups.end(), [&](const auto& group) { return group.first == words; });
    if (same == groups.end())
      groups.emplace_back(words, part->ref);
    else
      same->second += ", " + part->ref;
  }
  std::string out;
  for (const auto& [words, refs] : groups)
    out += fmt::format("{}by {}: {}", out.empty() ? "Rating set " : "; ", words, refs);
  return out.empty() ? "" : out + ".";
}

std::string PartsTable(const Assessment& assessment, const Calib& calib) {
  if (assessment.parts.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> classes;
  std::vector<std::string> places;
  const std::vector<const PartRating*> parts = report::WorstFirst(assessment.parts);
  for (const PartRating* part : parts) {
    rows.push_back(PartRow(*part));
    const std::string words =
        fmt::format("{}: {}", part->part_class, report::PartWords(assessment, *part, calib));
    if (std::find(classes.begin(), classes.end(), words) == classes.end()) classes.push_back(words);
    if (part->measured && part->where_taken != "at its place" && !part->where_taken.empty()) {
      places.push_back(fmt::format("{} taken as the {}", part->ref, part->where_taken));
    }
  }
  std::string out =
      "\nParts: share of the allowed bend, at the part now and added if pressed flat\n";
  out += report::TextTable({{"Part"},
                            {"Class"},
                            {"Now", true},
                            {"Added (95 %)", true},
                            {"Chance of damage"},
                            {"Rating"}},
                           rows,
                           2);
  if (const std::string set_by = SetByLine(parts); !set_by.empty()) out += Line(set_by, 2, 2);
  out += Line("Chance: of damage if pressed flat, a rule of thumb.", 2, 2);
  out += Line(fmt::format("{}.", fmt::join(classes, "; ")), 2, 2);
  if (!places.empty())
    out += Line(fmt::format("Place not known: {}.", fmt::join(places, "; ")), 2, 2);
  return out;
}

/// The options side by side; what stands against one goes under its row.
std::string OptionsTable(const Assessment& assessment) {
  if (assessment.options.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (const Option& option : assessment.options) {
    const bool presses = option.presses();
    const bool rated = presses && option.rated;
    rows.push_back({report::OptionWords(option.name),
                    report::TripleWords(option.bow_after_percent),
                    presses ? report::KeptWords(option.lasting_fraction) : "",
                    rated ? ShareInWords(option.worst_share) : "",
                    rated     ? ProbabilityInWords(option.damage_probability)
                    : presses ? "not rated"
                              : "",
                    option.against});
  }
  return "\nWhat can be done, rested afterwards: bow in % and what stays with 5 to 95 %\n" +
         report::TextTable({{"Option"},
                            {"Bow after"},
                            {"What stays"},
                            {"Bend", true},
                            {"Chance"},
                            {"Against it"}},
                           rows,
                           2) +
         Line(
             "Bend: worst share of the allowed bend. Chance: that at least one part is damaged, a "
             "rule of thumb.",
             2,
             2);
}

/// What is open, what stands out, what was passed over.
std::string Open(const Assessment& assessment) {
  std::string out = List("Not measured yet", assessment.flatness.not_measured);
  if (!assessment.flatness.next_reading.empty()) {
    out += "\n" + Line("Next reading: " + assessment.flatness.next_reading, 0, 2);
  }
  std::vector<std::string> outliers;
  if (assessment.surface) {
    for (const Outlier& outlier : assessment.surface->outliers)
      outliers.push_back(report::OutlierSentence(outlier));
  }
  return out + List("Readings that stand out", outliers) +
         List("Readings passed over", assessment.passed_over);
}

/// The reasons after the first, which stands in "Do now" already, unless that line gives the next
/// reading instead.
std::vector<std::string> Reasons(const Assessment& assessment) {
  const Recommendation& recommended = assessment.recommended;
  const bool all =
      recommended.name == "measure-further" && !assessment.flatness.next_reading.empty();
  const auto first = recommended.because.begin() + (all || recommended.because.empty() ? 0 : 1);
  return {first, recommended.because.end()};
}

}  // namespace

std::string AssessmentText(const Assessment& assessment, const Calib& calib) {
  std::string out = Header(assessment) + "\n";
  for (const auto& [question, answer] : report::FiveAnswers(assessment, calib)) {
    const std::string wrapped = Wrap(answer, kTerminalWidth, kAnswerIndent, kAnswerIndent);
    out += fmt::format("{:<{}}{}\n", question, kAnswerIndent, wrapped.substr(kAnswerIndent));
  }
  out += "\n" + Figures(assessment) + SmallPrint(assessment);
  if (!assessment.read && assessment.first_look)
    out += "\nFirst look\n" + FirstLookText(*assessment.first_look);
  out += EdgesTable(assessment) + PartsTable(assessment, calib) + OptionsTable(assessment);
  out += List("Damage on record", report::DamageLines(assessment, calib)) + Open(assessment);
  out += List("Why", Reasons(assessment)) + List("Notes", assessment.notes);
  out += List("Take care", assessment.recommended.cautions);
  if (!assessment.calib_origin.empty() && assessment.calib_origin != "embedded") {
    out += "\n" + Line("Numbers relied on: " + assessment.calib_origin, 0, 2);
  }
  return out;
}

std::string FirstLookText(const FirstLookAnswer& answer) {
  std::string out;
  switch (answer.sorted) {
    case Sorted::kLeave:
      out = "Leave it as it is.\n";
      break;
    case Sorted::kMeasure:
      out = "Measure it properly.\n";
      break;
    case Sorted::kDoNotTouch:
      out = "Do not touch it.\n";
      break;
  }
  std::string side;
  if (answer.limit_side == "under") side = "looks within";
  if (answer.limit_side == "over") side = "looks over";
  if (answer.limit_side == "too-close") side = "too close to call";
  const auto figure = [&](const char* name,
                          const std::optional<double>& value,
                          const std::optional<Interval>& interval) {
    if (!value) return fmt::format("{:<6} not read\n", name);
    const std::string text =
        interval ? report::Print(*value, *interval, answer.limit_percent).WithUnit("%")
                 : report::Rounded(*value, 1) + " %";
    return fmt::format("{:<6} {}\n", name, text);
  };
  out += "\n" + figure("Bow", answer.bow_percent, answer.bow_percent95);
  out += figure("Twist", answer.twist_percent, answer.twist_percent95);
  if (!side.empty())
    out += fmt::format("Limit  {} %: {}\n", report::Plainly(answer.limit_percent), side);
  if (!answer.because.empty()) out += "\n";
  for (const std::string& reason : answer.because) out += Line(reason, 0, 2);
  return out;
}

}  // namespace lieflat
