#include "lieflat/record/bench.h"

#include <utility>

#include <fmt/format.h>

#include "lieflat/base/read_words.h"

namespace lieflat {
namespace {

constexpr const char* kName = "bench.json";
constexpr const char* kFormat = "lieflat-bench";
constexpr int kVersionRead = 1;
constexpr int kLastVersion = 1000000;
constexpr double kWaitSeconds = 5.0;
constexpr double kLargestSdMm =
    5.0;  // a reader who is wider off reads no gap of 0 to 50 mm usefully
constexpr int kMostDegrees = 100000;

void ReadRepeatability(FieldReader& read, Bench& bench) {
  const Json* const all = read.Object("repeatability", false);
  if (all == nullptr) return;
  for (const auto& [instrument, json] : all->items()) {
    FieldReader inner(json, read.Where("repeatability." + instrument));
    Repeatability own;
    own.sd_mm = inner.Number("sd_mm", {.min = 0.0, .max = kLargestSdMm, .above_min = true});
    own.degrees_of_freedom = inner.Integer("degrees_of_freedom", 1, kMostDegrees);
    inner.NoOthers();
    if (inner.error()) read.Adopt(*inner.error());
    bench.repeatability[instrument] = own;
  }
}

Result<Bench> ParseBench(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  read.Word("format", {kFormat});
  const int version = read.Integer("version", 1, kLastVersion);
  if (!read.error() && version > kVersionRead) {
    read.Refuse("version",
                fmt::format("{} {} is later than {}, the latest this program reads",
                            kFormat,
                            version,
                            kVersionRead),
                "use a newer version of the program with this bench");
  }
  Bench bench;
  ReadRepeatability(read, bench);
  bench.instrument = read.OptionalString("instrument").value_or("");
  bench.surface = read.OptionalString("surface").value_or("");
  std::vector<std::string> tools = ReadWords(read, "tools");
  if (json.contains("tools")) bench.tools = std::move(tools);
  bench.skills = ReadWords(read, "skills");
  read.NoOthers();
  if (read.error()) return *read.error();
  return bench;
}

}  // namespace

Json ToJson(const Bench& bench) {
  Json json = {{"format", kFormat}, {"version", kVersionRead}};
  Json repeatability = Json::object();
  for (const auto& [instrument, own] : bench.repeatability) {
    repeatability[instrument] = {{"sd_mm", own.sd_mm},
                                 {"degrees_of_freedom", own.degrees_of_freedom}};
  }
  if (!repeatability.empty()) json["repeatability"] = repeatability;
  if (!bench.instrument.empty()) json["instrument"] = bench.instrument;
  if (!bench.surface.empty()) json["surface"] = bench.surface;
  if (bench.tools) json["tools"] = *bench.tools;
  if (!bench.skills.empty()) json["skills"] = bench.skills;
  return json;
}

Result<Bench> LoadBench(const Disk& disk,
                        const Disk::Path& board_folder,
                        const Disk::Path& settings_folder) {
  const Disk::Path lot = (board_folder / "..").lexically_normal();
  for (const Disk::Path& folder : {lot, settings_folder}) {
    const Disk::Path file = folder / kName;
    if (!disk.IsFile(file)) continue;
    const auto text = disk.Read(file);
    if (!text) return text.error();
    const auto json = ParseJson(*text, file.string());
    if (!json) return json.error();
    return ParseBench(*json, file.string());
  }
  return Bench{};
}

Result<void> SaveBench(Disk& disk, const Disk::Path& lot, const Bench& bench) {
  const Disk::Path file = lot / kName;
  const Json json = ToJson(bench);
  // What cannot be read back is never saved.
  if (const auto checked = ParseBench(json, file.string()); !checked) return checked.error();
  if (auto made = disk.MakeFolder(lot); !made) return made;
  const auto lock = disk.Lock(lot, kWaitSeconds);
  if (!lock) return lock.error();
  return ReplaceFile(disk, file, DumpJson(json));
}

}  // namespace lieflat
