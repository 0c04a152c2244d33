#include "app/cli/reading_prompt.h"

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"
#include "app/cli/gauge_flags.h"

namespace lieflat::cli {
namespace {

const char* const kHow = "one figure, or thickest that goes in and thinnest that does not";

/// Header and cells of the place, for a one-row sheet separated by semicolons (an answer may hold a
/// decimal comma).
std::pair<std::string, std::string> PlaceCells(const GaugeRow& place) {
  if (place.edge) {
    return {"edge;side;at_mm",
            fmt::format("{};{};{}",
                        Name(*place.edge),
                        place.side ? Name(*place.side) : "",
                        place.along_mm ? fmt::format("{}", *place.along_mm) : "")};
  }
  if (place.at_mm) return {"x_mm;y_mm", fmt::format("{};{}", place.at_mm->x(), place.at_mm->y())};
  return {"station", place.station};
}

std::vector<std::string> SplitBlanks(const std::string& text) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : text + " ") {
    if (c != ' ' && c != '\t') {
      word.push_back(c);
    } else if (!word.empty()) {
      words.push_back(std::exchange(word, ""));
    }
  }
  return words;
}

/// Asks for one place until it is read or passed over.
Result<void> AskRow(Prompt& prompt,
                    Gauge& gauge,
                    const GaugeRow& place,
                    const std::string& question,
                    const Board& board) {
  LIEFLAT_TAKE(row,
               prompt.Ask<std::optional<GaugeRow>>(
                   question, [&](const std::string& answer) -> Result<std::optional<GaugeRow>> {
                     if (answer.empty()) return std::optional<GaugeRow>();
                     LIEFLAT_TAKE(read, RowFromAnswer(place, answer, gauge, board));
                     return std::optional<GaugeRow>(read);
                   }));
  if (row) gauge.rows.push_back(*row);
  return {};
}

Result<void> AskEdges(Prompt& prompt, Gauge& gauge, const Board& board) {
  std::string usual = "solder";
  for (const auto edge : kEdges) {
    const auto question = fmt::format("{}: which face does the straightedge touch?", Name(edge));
    LIEFLAT_TAKE(side, prompt.Word(question, {"component", "solder", "skip"}, usual));
    if (side == "skip") continue;
    usual = side;
    GaugeRow place;
    place.edge = edge;
    place.side = side == "component" ? Side::kComponent : Side::kSolder;
    LIEFLAT_TRY(
        AskRow(prompt,
               gauge,
               place,
               fmt::format("{}: gap at mid-edge in mm ({}; Enter: not read)?", Name(edge), kHow),
               board));
  }
  return {};
}

Result<void> AskStations(Prompt& prompt, Gauge& gauge, const Board& board) {
  for (const auto* station : {"A", "B", "C", "D", "AB", "BC", "CD", "DA"}) {
    GaugeRow place;
    place.station = station;
    LIEFLAT_TRY(AskRow(
        prompt, gauge, place, fmt::format("{}: mm ({}; Enter: not read)?", station, kHow), board));
  }
  return {};
}

Result<void> AskTwist(Prompt& prompt, Gauge& gauge) {
  LIEFLAT_TAKE(
      difference,
      prompt.Length(
          "Twist by two strips along DA and BC: the far tips apart in mm, + when the one past C "
          "is nearer the component side (Enter: not read)?"));
  if (!difference) return {};
  StripReading strips;
  strips.tip_difference_mm = *difference;
  LIEFLAT_TAKE(
      length,
      prompt.Ask<double>(
          "Length of the strips in mm?", [](const std::string& answer) -> Result<double> {
            LIEFLAT_TAKE(value, LengthFlag("", answer));
            if (value) return *value;
            return Error{ErrorCode::kBadUse, "", "the length is needed", "for example 600"};
          }));
  strips.strip_length_mm = length;
  gauge.strips = strips;
  return {};
}

}  // namespace

std::string PlaceInWords(const GaugeRow& row) {
  if (row.edge) {
    const auto along = row.along_mm ? fmt::format(" at {:g} mm", *row.along_mm) : "";
    return fmt::format("{}{}{}",
                       Name(*row.edge),
                       along,
                       row.side ? fmt::format(", {} side", Name(*row.side)) : "");
  }
  if (row.at_mm) return fmt::format("x {:g} y {:g}", row.at_mm->x(), row.at_mm->y());
  return row.station;
}

Result<GaugeRow> RowFromAnswer(const GaugeRow& place,
                               const std::string& answer,
                               const Gauge& held,
                               const Board& board) {
  const auto words = SplitBlanks(answer);
  if (words.empty() || words.size() > 2 || answer.find(';') != std::string::npos) {
    return Error{ErrorCode::kRefused,
                 PlaceInWords(place),
                 fmt::format("\"{}\" is not one figure or two", answer),
                 "3.42, or 3.40 3.45 for a pair of blades, or - 0.05 when none goes in"};
  }
  const auto [header, cells] = PlaceCells(place);
  const bool pair = words.size() == 2;
  const std::string value = held.rest == Rest::kUpright ? "gap_mm" : "height_mm";
  const auto text = pair ? fmt::format("{};go_mm;no_go_mm\n{};{};{}\n",
                                       header,
                                       cells,
                                       words[0] == "-" ? "" : words[0],
                                       words[1])
                         : fmt::format("{};{};u_mm\n{};{};{}\n",
                                       header,
                                       value,
                                       cells,
                                       words[0],
                                       place.u_mm ? fmt::format("{}", *place.u_mm) : "");
  LIEFLAT_TAKE(sheet, ParseSheet(text, PlaceInWords(place)));
  LIEFLAT_TAKE(rows, RowsFromSheet(sheet, held.rest, held.down, /*as_seen=*/false, board));
  LIEFLAT_CHECK(rows.size() == 1, "one line gives one row");
  rows.front().line = 0;
  return rows.front();
}

Result<void> AskReadings(Gauge& gauge, const Board& board) {
  Prompt prompt;
  const bool upright = gauge.rest == Rest::kUpright;
  Session::Tell(upright ? "The board stands on edge; a straightedge lies along each edge in turn."
                        : fmt::format("The board: {}.", Name(gauge.rest)));
  LIEFLAT_TRY(upright ? AskEdges(prompt, gauge, board) : AskStations(prompt, gauge, board));
  if (upright && !gauge.strips) LIEFLAT_TRY(AskTwist(prompt, gauge));
  if (!gauge.temperature_c) {
    LIEFLAT_TAKE(temperature, prompt.Number("Temperature of the room in C (Enter: not known)?"));
    gauge.temperature_c = temperature;
  }
  return {};
}

Result<void> AskAgain(Gauge& gauge, const Gauge& old, const Board& board) {
  Prompt prompt;
  for (const auto& row : old.rows) {
    const auto how =
        row.value_mm ? "one figure" : "thickest that goes in and thinnest that does not";
    GaugeRow place = row;
    LIEFLAT_TRY(AskRow(prompt,
                       gauge,
                       place,
                       fmt::format("{}: mm ({}; Enter: not read)?", PlaceInWords(row), how),
                       board));
  }
  if (old.strips) {
    LIEFLAT_TAKE(
        difference,
        prompt.Length(fmt::format("Strips along {} and {}, {:g} mm long: the far tips apart in mm "
                                  "(Enter: not read)?",
                                  Name(old.strips->first),
                                  Name(old.strips->second),
                                  old.strips->strip_length_mm)));
    if (difference) {
      gauge.strips = old.strips;
      gauge.strips->tip_difference_mm = *difference;
    }
  }
  if (old.corner) {
    LIEFLAT_TAKE(
        lift,
        prompt.Length(fmt::format("Corner {}: lift in mm (Enter: not read)?", old.corner->corner)));
    if (lift) {
      gauge.corner = CornerReading{old.corner->corner, {}, {}, lift, old.corner->u_mm};
    }
  }
  if (old.referee) {
    LIEFLAT_TAKE(highest, prompt.Length("Referee form, largest height in mm (Enter: not read)?"));
    LIEFLAT_TAKE(lowest, prompt.Length("Referee form, smallest height in mm (Enter: not read)?"));
    if (highest && lowest) {
      gauge.referee = old.referee;
      gauge.referee->highest_mm = *highest;
      gauge.referee->lowest_mm = *lowest;
    }
  }
  return {};
}

}  // namespace lieflat::cli
