#include "app/cli/history.h"

#include <algorithm>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat::cli {
namespace {

/// A text field of an entry, or nothing.
std::string Field(const Json& entry, const char* key) {
  const auto found = entry.find(key);
  return found != entry.end() && found->is_string() ? found->get<std::string>() : "";
}

std::string DamageChangeWords(const MarkChange& change) {
  std::string words = "damage " + change.mark;
  if (change.state) words += std::string(": ") + Name(*change.state);
  if (!change.measures.empty() || !change.depth.empty() || !change.aspects.empty())
    words += ": measured";
  return words + (change.note.empty() ? "" : " (" + change.note + ")");
}

std::string Words(const Entry& entry) {
  if (entry.gauge) return GaugeInWords(*entry.gauge);
  if (entry.photo) {
    return fmt::format("{} points from {} photo{}, {}",
                       entry.photo->points.size(),
                       entry.photo->photos,
                       entry.photo->photos == 1 ? "" : "s",
                       entry.photo->pose);
  }
  if (entry.kind == "glance") return "first look: " + Field(entry.fields, "sorted");
  if (entry.kind == "note") return Field(entry.fields, "text");
  if (entry.kind == "void") {
    return fmt::format(
        "{} out of use: {}", Field(entry.fields, "target"), Field(entry.fields, "reason"));
  }
  if (entry.kind == "works") {
    const auto did = Field(entry.fields, "did");
    return "works: " + Field(entry.fields, "state") + (did.empty() ? "" : " (" + did + ")");
  }
  if (entry.mark) {
    std::string kind = entry.mark->kind;
    std::replace(kind.begin(), kind.end(), '-', ' ');
    return "damage: " + kind;
  }
  if (entry.mark_change) return DamageChangeWords(*entry.mark_change);
  if (entry.hold) {
    const bool start = entry.kind == "hold-start";
    std::string words =
        fmt::format("{} {}", entry.hold->id, start ? "held: " + entry.hold->way : "free");
    if (entry.hold->load_kg) words += fmt::format(", {:g} kg", *entry.hold->load_kg);
    if (entry.hold->temperature_c) words += fmt::format(", {:g} C", *entry.hold->temperature_c);
    return words;
  }
  return entry.kind;
}

}  // namespace

std::string GaugeInWords(const Gauge& gauge) {
  std::vector<std::string> words;
  if (!gauge.rows.empty()) {
    words.push_back(
        fmt::format("{} {}", gauge.rows.size(), gauge.rows.size() == 1 ? "reading" : "readings"));
  }
  if (gauge.strips) {
    words.push_back(fmt::format(
        "strips along {} and {}", Name(gauge.strips->first), Name(gauge.strips->second)));
  }
  if (gauge.corner) words.push_back(fmt::format("fourth corner {}", gauge.corner->corner));
  if (gauge.referee) words.push_back("referee form, " + gauge.referee->raised + " high");
  words.push_back(Name(gauge.rest));
  if (!gauge.fitted.empty()) words.push_back("fitted: " + Join(gauge.fitted, ", "));
  return Join(words, "; ");
}

std::vector<HistoryLine> History(const Log& log) {
  std::vector<HistoryLine> lines;
  for (const auto& entry : log.entries)
    lines.push_back({entry.id, entry.at.Short(), Words(entry), entry.voided});
  return lines;
}

}  // namespace lieflat::cli
