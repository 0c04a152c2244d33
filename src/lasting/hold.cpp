#include "lieflat/lasting/hold.h"

#include <algorithm>
#include <cmath>

namespace lieflat {
namespace {

constexpr double kSecondsPerHour = 3600.0;
constexpr double kHeaviestKg = 1000.0;
constexpr double kColdestC = -40.0, kHottestC = 300.0;

}  // namespace

const std::vector<std::string> kHoldWays = {
    "plates", "weights", "clamps", "mount", "other", "unknown"};

std::optional<double> LoggedHold::Hours() const {
  if (!from || !to) return std::nullopt;
  return static_cast<double>(to->unix_seconds - from->unix_seconds) / kSecondsPerHour;
}

Json ToJson(const LoggedHold& hold) {
  Json json = {{"hold", hold.id}, {"way", hold.way}};
  if (hold.load_kg) json["load_kg"] = *hold.load_kg;
  if (hold.temperature_c) json["temperature_c"] = *hold.temperature_c;
  if (hold.about) json["about"] = true;
  if (hold.anyway) json["anyway"] = true;
  if (!hold.note.empty()) json["note"] = hold.note;
  return json;
}

Result<LoggedHold> ParseHold(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  LoggedHold hold;
  hold.id = read.String("hold");
  hold.way = read.OptionalWord("way", kHoldWays).value_or("unknown");
  hold.load_kg = read.OptionalNumber("load_kg", {.min = 0.0, .max = kHeaviestKg});
  hold.temperature_c = read.OptionalNumber("temperature_c", {.min = kColdestC, .max = kHottestC});
  hold.about = read.OptionalBool("about").value_or(false);
  hold.anyway = read.OptionalBool("anyway").value_or(false);
  hold.note = read.OptionalString("note").value_or("");
  read.NoOthers();
  if (read.error()) return *read.error();
  return hold;
}

double EquivalentHoursOf(const LoggedHold& hold, const Calib& calib) {
  const double reference = calib.Number("creep", "/creep/reference_c").value;
  const HoldTime time{hold.Hours().value_or(0.0), hold.temperature_c.value_or(reference)};
  return EquivalentHours(time, calib.Number("creep", "/creep/activation_kj_mol").value, reference);
}

PressBudget BudgetOf(const std::vector<PressLife>& lives, int holds, const Calib& calib) {
  PressBudget budget;
  budget.most = calib.Number("creep", "/budget/most_fatigue").value;
  const auto worst =
      std::min_element(lives.begin(), lives.end(), [](const PressLife& a, const PressLife& b) {
        return a.cycles < b.cycles;
      });
  if (worst == lives.end()) return budget;
  budget.part = worst->ref;
  budget.used = holds / worst->cycles;
  // A few roundings: a budget of exactly three presses is three.
  constexpr double kRounding = 1e-9;
  const double most = std::floor(budget.most * worst->cycles + kRounding);
  constexpr double kMany = 1e6;
  budget.left = static_cast<int>(std::clamp(most - holds, 0.0, kMany));
  return budget;
}

}  // namespace lieflat
