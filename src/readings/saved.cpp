#include <fmt/format.h>

#include "lieflat/readings/gauge.h"

#include "readings/rows.h"

namespace lieflat {
namespace {

constexpr double kFarMm = 1000.0;  // beyond any board; the board's own size is held by CheckGauge

void Put(Json& json, const char* key, const std::optional<double>& value) {
  if (value) {
    json[key] = *value;
  }
}

const char* Name(Face face) { return face == Face::kUnder ? "under" : "over"; }

Json RowToJson(const GaugeRow& row, Rest rest) {
  Json json = Json::object();
  if (!row.station.empty()) {
    json["station"] = row.station;
  } else if (row.at_mm) {
    json["x_mm"] = row.at_mm->x();
    json["y_mm"] = row.at_mm->y();
  }
  if (row.edge) {
    json["edge"] = Name(*row.edge);
  }
  if (row.side) {
    json["side"] = Name(*row.side);
  }
  Put(json, "at_mm", row.along_mm);
  Put(json, "go_mm", row.go_mm);
  Put(json, "no_go_mm", row.no_go_mm);
  if (row.blades != 1) {
    json["blades"] = row.blades;
  }
  Put(json, internal::ValueField(rest), row.value_mm);
  Put(json, "u_mm", row.u_mm);
  return json;
}

Json CornerToJson(const CornerReading& corner) {
  Json json = {{"corner", std::string(1, corner.corner)}};
  Put(json, "go_mm", corner.go_mm);
  Put(json, "no_go_mm", corner.no_go_mm);
  Put(json, "gap_mm", corner.value_mm);
  Put(json, "u_mm", corner.u_mm);
  return json;
}

Side ReadSide(FieldReader& read, const std::string& key) {
  return read.Word(key, {"component", "solder"}) == "component" ? Side::kComponent : Side::kSolder;
}

FieldReader::Range ReadingRange(double low = 0.0) {
  return {low, internal::kLargestReadingMm, false, "check the decimal mark, or the unit"};
}

Edge ReadEdge(FieldReader& read, const std::string& key) {
  return EdgeNamed(read.Word(key, {"AB", "BC", "CD", "DA"})).value_or(Edge::kAB);
}

/// Shared by a row and a corner.
template <typename Values>
void ReadValues(FieldReader& read, const char* value_key, double low, Values& values) {
  values.go_mm = read.OptionalNumber("go_mm", ReadingRange());
  values.no_go_mm = read.OptionalNumber("no_go_mm", ReadingRange());
  values.value_mm = read.OptionalNumber(value_key, ReadingRange(low));
  values.u_mm = read.OptionalNumber("u_mm", {0.0, internal::kLargestUMm, true});
}

Result<GaugeRow> ParseRow(const Json& json, Rest rest, const std::string& where) {
  FieldReader read(json, where);
  GaugeRow row;
  if (rest == Rest::kUpright) {
    row.edge = ReadEdge(read, "edge");
    row.side = ReadSide(read, "side");
    row.along_mm = read.OptionalNumber("at_mm", {0.0, kFarMm});
  } else if (read.Has("station")) {
    row.station = read.Word("station", {"A", "B", "C", "D", "AB", "BC", "CD", "DA", "M"});
  } else {
    const double x = read.Number("x_mm", {-kFarMm, kFarMm});
    const double y = read.Number("y_mm", {-kFarMm, kFarMm});
    row.at_mm = Eigen::Vector2d(x, y);
  }
  row.blades = read.OptionalInteger("blades", 1, 30).value_or(1);
  const double low = rest == Rest::kFree ? -internal::kLargestReadingMm : 0.0;
  ReadValues(read, internal::ValueField(rest), low, row);
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return row;
}

Result<Support> ParseSupport(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  Support support;
  support.station =
      read.OptionalWord("station", {"A", "B", "C", "D", "AB", "BC", "CD", "DA", "M"}).value_or("");
  const double x = read.Number("x_mm", {-kFarMm, kFarMm});
  const double y = read.Number("y_mm", {-kFarMm, kFarMm});
  support.at_mm = {x, y};
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return support;
}

Result<StripReading> ParseStrips(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  StripReading strips;
  const Json* edges = read.Array("edges", true);
  std::vector<Edge> named;
  for (std::size_t i = 0; edges != nullptr && i < edges->size(); ++i) {
    const Json& edge = (*edges)[i];
    const auto known = edge.is_string() ? EdgeNamed(edge.get<std::string>()) : std::nullopt;
    if (known) {
      named.push_back(*known);
    }
  }
  if (edges != nullptr && (named.size() != 2 || edges->size() != 2)) {
    read.Refuse("edges", "expected two edges", "write [\"DA\", \"BC\"] or [\"AB\", \"CD\"]");
  } else if (edges != nullptr) {
    strips.first = named[0];
    strips.second = named[1];
  }
  strips.strip_length_mm = read.Number("strip_length_mm", {0.0, 3000.0, true});
  strips.tip_difference_mm = read.Number("tip_difference_mm", {-200.0, 200.0});
  strips.tip_u_mm = read.OptionalNumber("tip_u_mm", {0.0, 20.0, true}).value_or(strips.tip_u_mm);
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return strips;
}

Result<CornerReading> ParseCorner(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  CornerReading corner;
  const std::string letter = read.Word("corner", {"A", "B", "C", "D"});
  corner.corner = letter.empty() ? 'C' : letter[0];
  ReadValues(read, "gap_mm", 0.0, corner);
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return corner;
}

Result<RefereeReading> ParseReferee(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  RefereeReading referee;
  referee.raised = read.Word("raised", {"AC", "BD"});
  referee.highest_mm = read.Number("highest_mm", ReadingRange(-internal::kLargestReadingMm));
  referee.lowest_mm = read.Number("lowest_mm", ReadingRange(-internal::kLargestReadingMm));
  referee.u_mm =
      read.OptionalNumber("u_mm", {0.0, internal::kLargestUMm, true}).value_or(referee.u_mm);
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return referee;
}

/// The array under `key`, item by item; the first item refused ends it.
template <typename Item, typename Parse>
std::optional<Error> ReadItems(FieldReader& read,
                               const std::string& key,
                               std::vector<Item>& items,
                               Parse parse) {
  const Json* array = read.Array(key, false);
  for (std::size_t i = 0; array != nullptr && i < array->size(); ++i) {
    auto item = parse((*array)[i], read.Where(fmt::format("{}[{}]", key, i)));
    if (!item) {
      return item.error();
    }
    items.push_back(*item);
  }
  return std::nullopt;
}

template <typename Part, typename Parse>
std::optional<Error> ReadPart(FieldReader& read,
                              const std::string& key,
                              std::optional<Part>& part,
                              Parse parse) {
  const Json* object = read.Object(key, false);
  if (object == nullptr) {
    return std::nullopt;
  }
  auto parsed = parse(*object, read.Where(key));
  if (!parsed) {
    return parsed.error();
  }
  part = *parsed;
  return std::nullopt;
}

Result<std::string> ParseFitted(const Json& json, const std::string& where) {
  if (!json.is_string() || json.get<std::string>().empty()) {
    return Error{
        ErrorCode::kRefused, where, "expected a text", "write what was mounted, as in \"cooler\""};
  }
  return json.get<std::string>();
}

std::optional<Error> ReadParts(FieldReader& read, Gauge& gauge) {
  if (auto error = ReadItems(read, "at", gauge.supports, ParseSupport)) {
    return error;
  }
  if (auto error = ReadItems(read, "fitted", gauge.fitted, ParseFitted)) {
    return error;
  }
  const auto row = [&](const Json& json, const std::string& where) {
    return ParseRow(json, gauge.rest, where);
  };
  if (auto error = ReadItems(read, "rows", gauge.rows, row)) {
    return error;
  }
  if (auto error = ReadPart(read, "strips", gauge.strips, ParseStrips)) {
    return error;
  }
  if (auto error = ReadPart(read, "corner", gauge.corner, ParseCorner)) {
    return error;
  }
  return ReadPart(read, "referee", gauge.referee, ParseReferee);
}

}  // namespace

Json ToJson(const Gauge& gauge) {
  Json json = {
      {"rest", Name(gauge.rest)}, {"down", Name(gauge.down)}, {"reading", Name(gauge.face)}};
  for (const auto& support : gauge.supports) {
    Json at = Json::object();
    if (!support.station.empty()) {
      at["station"] = support.station;
    }
    at["x_mm"] = support.at_mm.x();
    at["y_mm"] = support.at_mm.y();
    json["at"].push_back(std::move(at));
  }
  Put(json, "rest_height_mm", gauge.rest_height_mm);
  Put(json, "lead_tail_mm", gauge.lead_tail_mm);
  Put(json, "temperature_c", gauge.temperature_c);
  if (!gauge.instrument.empty()) {
    json["instrument"] = gauge.instrument;
  }
  if (!gauge.surface.empty()) {
    json["surface"] = gauge.surface;
  }
  if (!gauge.fitted.empty()) {
    json["fitted"] = gauge.fitted;
  }
  for (const auto& row : gauge.rows) {
    json["rows"].push_back(RowToJson(row, gauge.rest));
  }
  if (gauge.strips) {
    json["strips"] = {
        {"edges", Json::array({Name(gauge.strips->first), Name(gauge.strips->second)})},
        {"strip_length_mm", gauge.strips->strip_length_mm},
        {"tip_difference_mm", gauge.strips->tip_difference_mm},
        {"tip_u_mm", gauge.strips->tip_u_mm}};
  }
  if (gauge.corner) {
    json["corner"] = CornerToJson(*gauge.corner);
  }
  if (gauge.referee) {
    json["referee"] = {{"raised", gauge.referee->raised},
                       {"highest_mm", gauge.referee->highest_mm},
                       {"lowest_mm", gauge.referee->lowest_mm},
                       {"u_mm", gauge.referee->u_mm}};
  }
  return json;
}

Result<Gauge> ParseGauge(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  Gauge gauge;
  gauge.rest =
      RestNamed(read.Word("rest", {"upright", "points", "table", "free"})).value_or(Rest::kFree);
  gauge.down = ReadSide(read, "down");
  gauge.face = read.Word("reading", {"under", "over"}) == "over" ? Face::kOver : Face::kUnder;
  gauge.rest_height_mm = read.OptionalNumber("rest_height_mm", {0.0, 200.0, true});
  gauge.lead_tail_mm = read.OptionalNumber("lead_tail_mm", {0.0, 20.0});
  gauge.temperature_c = read.OptionalNumber("temperature_c", {-20.0, 60.0});
  gauge.instrument = read.OptionalString("instrument").value_or("");
  gauge.surface = read.OptionalString("surface").value_or("");
  if (read.error()) {
    return *read.error();
  }
  if (auto error = ReadParts(read, gauge)) {
    return *error;
  }
  read.NoOthers();
  if (read.error()) {
    return *read.error();
  }
  return gauge;
}

}  // namespace lieflat
