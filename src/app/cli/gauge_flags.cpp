#include "app/cli/gauge_flags.h"

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

const std::vector<std::string> kRestWords = {"upright", "points", "table", "free"};

/// Another member of the same form is given without its head: "--tip-difference without --strips".
Error Missing(const std::string& flag, const std::string& with) {
  return {ErrorCode::kBadUse, flag, "is missing: " + with, "see lieflat gauge --help"};
}

Result<std::vector<Support>> Supports(const GaugeFlags& flags, Side down, const Board& board) {
  std::vector<Support> supports;
  for (const auto& word : SplitWords(flags.at)) {
    const auto colon = word.find(':');
    if (colon == std::string::npos) {
      const auto place = StationPlace(word, board);
      if (!place) {
        return Error{ErrorCode::kBadUse,
                     "--at",
                     fmt::format("no place is named \"{}\"", word),
                     "letters such as A,B,CD or X:Y in mm such as 61:49,244:49,152:195"};
      }
      supports.push_back({word, *place});
      continue;
    }
    LIEFLAT_TAKE(x, LengthFlag("--at", word.substr(0, colon)));
    LIEFLAT_TAKE(y, LengthFlag("--at", word.substr(colon + 1)));
    if (!x || !y) {
      return Error{ErrorCode::kBadUse,
                   "--at",
                   fmt::format("\"{}\" lacks a number", word),
                   "X:Y in mm, such as 61:49"};
    }
    const bool mirrored = flags.as_seen && down == Side::kComponent;
    supports.push_back({"", {mirrored ? board.EdgeLength(Edge::kAB) - *x : *x, *y}});
  }
  return supports;
}

Result<void> CheckHeldWords(const GaugeFlags& flags) {
  LIEFLAT_TRY(CheckWord("--rest", flags.rest, kRestWords));
  LIEFLAT_TRY(CheckWord("--down", flags.down, kSideWords));
  return CheckWord("--reading", flags.face, {"under", "over"});
}

Result<StripReading> Strips(const GaugeFlags& flags) {
  const auto edges = SplitWords(flags.strips);
  if (edges.size() != 2) {
    return Error{ErrorCode::kBadUse,
                 "--strips",
                 fmt::format("\"{}\" does not name two edges", flags.strips),
                 "DA,BC or AB,CD"};
  }
  StripReading strips;
  LIEFLAT_TAKE(first, EdgeFlag("--strips", edges[0]));
  LIEFLAT_TAKE(second, EdgeFlag("--strips", edges[1]));
  strips.first = *first;
  strips.second = *second;
  LIEFLAT_TAKE(length, LengthFlag("--strip-length", flags.strip_length));
  if (!length) return Missing("--strip-length", "how long the strips are, in mm");
  LIEFLAT_TAKE(difference, LengthFlag("--tip-difference", flags.tip_difference));
  if (!difference) return Missing("--tip-difference", "how far the tips stand apart, in mm");
  LIEFLAT_TAKE(u, LengthFlag("--tip-u", flags.tip_u));
  strips.strip_length_mm = *length;
  strips.tip_difference_mm = *difference;
  strips.tip_u_mm = u.value_or(strips.tip_u_mm);
  return strips;
}

Result<RefereeReading> Referee(const GaugeFlags& flags) {
  LIEFLAT_TRY(CheckWord("--referee", flags.referee, {"AC", "BD"}));
  LIEFLAT_TAKE(highest, LengthFlag("--highest", flags.highest));
  LIEFLAT_TAKE(lowest, LengthFlag("--lowest", flags.lowest));
  if (!highest) return Missing("--highest", "the largest height read");
  if (!lowest) return Missing("--lowest", "the smallest height read");
  LIEFLAT_TAKE(u, LengthFlag("--gap-u", flags.gap_u));
  RefereeReading referee;
  referee.raised = flags.referee;
  referee.highest_mm = *highest;
  referee.lowest_mm = *lowest;
  referee.u_mm = u.value_or(referee.u_mm);
  return referee;
}

/// A flag that only makes sense beside another one.
Result<void> CheckLonely(const GaugeFlags& flags) {
  struct Pair {
    const std::string& text;
    const char* flag;
    bool served;
    const char* needs;
  };
  const Pair pairs[] = {
      {flags.strip_length, "--strip-length", !flags.strips.empty(), "--strips"},
      {flags.tip_difference, "--tip-difference", !flags.strips.empty(), "--strips"},
      {flags.tip_u, "--tip-u", !flags.strips.empty(), "--strips"},
      {flags.highest, "--highest", !flags.referee.empty(), "--referee"},
      {flags.lowest, "--lowest", !flags.referee.empty(), "--referee"},
      {flags.gap_u,
       "--gap-u",
       !flags.fourth_corner.empty() || !flags.referee.empty(),
       "--fourth-corner or --referee"}};
  for (const auto& pair : pairs) {
    if (!pair.text.empty() && !pair.served) {
      return Error{ErrorCode::kBadUse,
                   pair.flag,
                   fmt::format("says nothing without {}", pair.needs),
                   "see lieflat gauge --help"};
    }
  }
  return {};
}

}  // namespace

std::string GaugeFlags::held_flag() const {
  const std::pair<const std::string*, const char*> flags[] = {{&rest, "--rest"},
                                                              {&down, "--down"},
                                                              {&face, "--reading"},
                                                              {&at, "--at"},
                                                              {&rest_height, "--rest-height"},
                                                              {&lead_tail, "--lead-tail-mm"},
                                                              {&temperature, "--temperature"},
                                                              {&fitted, "--fitted"},
                                                              {&instrument, "--instrument"},
                                                              {&surface, "--surface"}};
  for (const auto& [text, flag] : flags) {
    if (!text->empty()) return flag;
  }
  return as_seen ? "--as-seen" : "";
}

std::optional<Eigen::Vector2d> StationPlace(const std::string& station, const Board& board) {
  if (station == "M") {
    return (board.corners_mm[0] + board.corners_mm[1] + board.corners_mm[2] + board.corners_mm[3]) /
           4.0;
  }
  if (const auto edge = EdgeNamed(station))
    return (board.EdgeStart(*edge) + board.EdgeEnd(*edge)) / 2.0;
  if (station.size() != 1 || station[0] < 'A' || station[0] > 'D') return std::nullopt;
  return board.corners_mm[static_cast<std::size_t>(station[0] - 'A')];
}

Result<CornerReading> FourthCorner(const std::string& text, const std::string& gap_u) {
  LIEFLAT_TAKE(named,
               NamedValue("--fourth-corner", text, "C=2.2, or C=2.20..2.25 between two blades"));
  if (named.first.size() != 1 || named.first[0] < 'A' || named.first[0] > 'D') {
    return Error{ErrorCode::kBadUse,
                 "--fourth-corner",
                 fmt::format("no corner is named \"{}\"", named.first),
                 "A, B, C or D"};
  }
  CornerReading corner;
  corner.corner = named.first[0];
  LIEFLAT_TAKE(u, LengthFlag("--gap-u", gap_u));
  const auto dots = named.second.find("..");
  if (dots == std::string::npos) {
    LIEFLAT_TAKE(value, LengthFlag("--fourth-corner", named.second));
    corner.value_mm = value;
    corner.u_mm = u;
    return corner;
  }
  if (u) {
    return Error{ErrorCode::kBadUse,
                 "--gap-u",
                 "does not belong to a pair of blades",
                 "leave it out: the two blades say how sure the gap is"};
  }
  LIEFLAT_TAKE(go, LengthFlag("--fourth-corner", named.second.substr(0, dots)));
  LIEFLAT_TAKE(no_go, LengthFlag("--fourth-corner", named.second.substr(dots + 2)));
  corner.go_mm = go;
  corner.no_go_mm = no_go;
  return corner;
}

Result<Gauge> HeldAs(const GaugeFlags& flags, const Board& board) {
  LIEFLAT_TRY(CheckHeldWords(flags));
  Gauge gauge;
  if (!flags.rest.empty()) gauge.rest = *RestNamed(flags.rest);
  gauge.down = flags.down == "component" ? Side::kComponent : Side::kSolder;
  gauge.face = flags.face == "over" ? Face::kOver : Face::kUnder;
  LIEFLAT_TAKE(supports, Supports(flags, gauge.down, board));
  gauge.supports = supports;
  LIEFLAT_TAKE(rest_height, LengthFlag("--rest-height", flags.rest_height));
  LIEFLAT_TAKE(lead_tail, LengthFlag("--lead-tail-mm", flags.lead_tail));
  LIEFLAT_TAKE(temperature, NumberFlag("--temperature", flags.temperature));
  gauge.rest_height_mm = rest_height;
  gauge.lead_tail_mm = lead_tail;
  gauge.temperature_c = temperature;
  gauge.instrument = flags.instrument;
  gauge.surface = flags.surface;
  gauge.fitted = SplitWords(flags.fitted);
  return gauge;
}

Result<void> PutForms(Gauge& gauge, const GaugeFlags& flags) {
  LIEFLAT_TRY(CheckLonely(flags));
  if (!flags.strips.empty()) {
    LIEFLAT_TAKE(strips, Strips(flags));
    gauge.strips = strips;
  }
  if (!flags.fourth_corner.empty()) {
    LIEFLAT_TAKE(corner, FourthCorner(flags.fourth_corner, flags.gap_u));
    gauge.corner = corner;
  }
  if (!flags.referee.empty()) {
    LIEFLAT_TAKE(referee, Referee(flags));
    gauge.referee = referee;
  }
  return {};
}

Result<Gauge> GaugeFrom(const GaugeFlags& flags,
                        const std::optional<Sheet>& sheet,
                        const Board& board) {
  LIEFLAT_TAKE(gauge, HeldAs(flags, board));
  LIEFLAT_TRY(PutForms(gauge, flags));
  if (sheet) {
    LIEFLAT_TAKE(rows, RowsFromSheet(*sheet, gauge.rest, gauge.down, flags.as_seen, board));
    gauge.rows = rows;
  }
  return gauge;
}

void AddHeldFlags(App& verb, GaugeFlags& flags) {
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb.add_option(name, text, help)->type_name(type);
  };
  add("--rest", flags.rest, "WORD", "how it was held: upright (usual), points, table or free");
  add("--down", flags.down, "WORD", "the face below: solder (usual) or component");
  add("--reading",
      flags.face,
      "WORD",
      "under: gap beneath the lower face (usual); over: height of the upper face");
  add("--at", flags.at, "PLACES", "rest points: A,B,CD or 61:49,244:49,152:195");
  add("--rest-height", flags.rest_height, "MM", "how high the rest points are");
  add("--lead-tail-mm", flags.lead_tail, "MM", "how far cut leads stand out below");
  add("--temperature", flags.temperature, "C", "of the room");
  add("--fitted", flags.fitted, "WORDS", "what was mounted: cooler,cards,clip");
  add("--instrument",
      flags.instrument,
      "NAME",
      "blades, steel-rule, drill-shanks, caliper-rod, cards, ...");
  add("--surface", flags.surface, "NAME", "glass, worktop, straightedge, steel-rule-edge, ...");
  verb.add_flag("--as-seen", flags.as_seen, "x,y were taken looking at the face that is up");
}

void AddFormFlags(App& verb, GaugeFlags& flags) {
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb.add_option(name, text, help)->type_name(type);
  };
  add("--strips", flags.strips, "E,E", "twist: two straight strips along opposite edges: DA,BC");
  add("--strip-length", flags.strip_length, "MM", "their length");
  add("--tip-difference",
      flags.tip_difference,
      "MM",
      "the far tips apart; + when the one past C stands nearer the component side");
  add("--tip-u", flags.tip_u, "MM", "its standard uncertainty (1)");
  add("--fourth-corner",
      flags.fourth_corner,
      "C=MM",
      "twist: three corners touching, lift of the fourth; C=2.20..2.25 by blades");
  add("--gap-u", flags.gap_u, "MM", "standard uncertainty of a gap given as one figure");
  add("--referee",
      flags.referee,
      "AC|BD",
      "twist, referee form: the diagonal whose corners stand high");
  add("--highest", flags.highest, "MM", "largest height read");
  add("--lowest", flags.lowest, "MM", "smallest height read");
}

}  // namespace lieflat::cli
