// Marks as they are saved.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/read_words.h"
#include "lieflat/base/text.h"
#include "lieflat/damage/mark.h"

namespace lieflat {
namespace {

constexpr double kLargestMeasure = 1e6;
constexpr double kLargestPlaceMm = 1000.0;

void PutMeasures(const std::map<std::string, Measured>& measures, Json& json) {
  if (measures.empty()) return;
  json["measures"] = Json::object();
  for (const auto& [name, measure] : measures) {
    Json one = {{"value", measure.value}};
    if (measure.u95 > 0.0) one["u95"] = measure.u95;
    json["measures"][name] = one;
  }
}

std::map<std::string, Measured> ReadMeasures(FieldReader& read) {
  std::map<std::string, Measured> measures;
  const Json* const object = read.Object("measures", false);
  if (object == nullptr) return measures;
  const auto known = DamageMeasures(Calib::Embedded());
  for (const auto& [name, one] : object->items()) {
    if (std::find(known.begin(), known.end(), name) == known.end()) {
      const auto near = Nearest(name, known);
      read.Refuse("measures",
                  Quoted(name) + " is no measure of damage",
                  near ? "did you mean " + *near + "?" : "one of " + Join(known, ", "));
      return measures;
    }
    FieldReader inner(one, read.Where("measures." + name));
    Measured measure;
    measure.value = inner.Number("value", {.min = 0.0, .max = kLargestMeasure});
    measure.u95 = inner.OptionalNumber("u95", {.min = 0.0, .max = kLargestMeasure}).value_or(0.0);
    inner.NoOthers();
    if (inner.error()) read.Adopt(*inner.error());
    measures[name] = measure;
  }
  return measures;
}

std::vector<Eigen::Vector2d> ReadPlaces(FieldReader& read) {
  std::vector<Eigen::Vector2d> places;
  const Json* const list = read.Array("at_mm", false);
  if (list == nullptr) return places;
  for (const Json& place : *list) {
    const bool pair = place.is_array() && place.size() == 2 && place[0].is_number() &&
                      place[1].is_number() && std::abs(place[0].get<double>()) <= kLargestPlaceMm &&
                      std::abs(place[1].get<double>()) <= kLargestPlaceMm;
    if (!pair) {
      read.Refuse("at_mm",
                  "holds something that is no place",
                  "pairs of x and y in mm: [[100, 120], [130, 125]]");
      return places;
    }
    places.emplace_back(place[0].get<double>(), place[1].get<double>());
  }
  return places;
}

std::optional<MarkState> StateOf(const std::optional<std::string>& word) {
  if (!word) return std::nullopt;
  for (const MarkState state : {MarkState::kOpen, MarkState::kRepaired, MarkState::kAccepted}) {
    if (*word == Name(state)) return state;
  }
  return std::nullopt;
}

}  // namespace

Json ToJson(const Mark& mark) {
  Json json = {{"kind", mark.kind}};
  if (mark.side) json["side"] = Name(*mark.side);
  if (!mark.at_mm.empty()) {
    json["at_mm"] = Json::array();
    for (const auto& at : mark.at_mm) json["at_mm"].push_back({at.x(), at.y()});
  }
  if (mark.outline) json["outline"] = true;
  if (!mark.depth.empty()) json["depth"] = mark.depth;
  if (!mark.near.empty()) json["near"] = mark.near;
  if (!mark.region.empty()) json["region"] = mark.region;
  PutMeasures(mark.measures, json);
  if (!mark.aspects.empty()) json["aspects"] = mark.aspects;
  if (!mark.photo.empty()) json["photo"] = mark.photo;
  if (!mark.note.empty()) json["note"] = mark.note;
  return json;
}

Result<Mark> ParseMark(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  Mark mark;
  mark.kind = read.Word("kind", DamageKinds(Calib::Embedded()));
  if (const auto side = read.OptionalWord("side", {"component", "solder"}))
    mark.side = *side == "component" ? Side::kComponent : Side::kSolder;
  mark.at_mm = ReadPlaces(read);
  mark.outline = read.OptionalBool("outline").value_or(false);
  if (!read.error() && mark.outline && mark.at_mm.size() < 3)
    read.Refuse("outline", "an outline takes three places at least", "give more places");
  mark.depth = read.OptionalWord("depth", kDepthWords).value_or("");
  mark.near = ReadWords(read, "near");
  mark.region = read.OptionalWord("region", RegionNames()).value_or("");
  mark.measures = ReadMeasures(read);
  mark.aspects = ReadWords(read, "aspects", DamageAspects(Calib::Embedded()));
  mark.photo = read.OptionalString("photo").value_or("");
  mark.note = read.OptionalString("note").value_or("");
  if (!read.error() && mark.at_mm.empty() && mark.near.empty() && mark.region.empty()) {
    read.Refuse("at_mm",
                "the mark has no place",
                "give a place, the nearest part, or a region of the board");
  }
  read.NoOthers();
  if (read.error()) return *read.error();
  return mark;
}

Json ToJson(const MarkChange& change) {
  Json json = {{"mark", change.mark}};
  if (change.state) json["state"] = Name(*change.state);
  if (!change.depth.empty()) json["depth"] = change.depth;
  PutMeasures(change.measures, json);
  if (!change.aspects.empty()) json["aspects"] = change.aspects;
  if (!change.note.empty()) json["note"] = change.note;
  return json;
}

Result<MarkChange> ParseMarkChange(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  MarkChange change;
  change.mark = read.String("mark");
  change.state = StateOf(read.OptionalWord("state", {"open", "repaired", "accepted"}));
  change.depth = read.OptionalWord("depth", kDepthWords).value_or("");
  change.measures = ReadMeasures(read);
  change.aspects = ReadWords(read, "aspects", DamageAspects(Calib::Embedded()));
  change.note = read.OptionalString("note").value_or("");
  read.NoOthers();
  if (read.error()) return *read.error();
  return change;
}

}  // namespace lieflat
