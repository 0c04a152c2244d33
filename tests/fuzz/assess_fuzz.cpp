// The whole of assess on random boards: the fuzzer's bytes choose a description and a log (readings
// of every form, parts, marks, holds, works, voids), mostly valid. What is refused is refused in
// words; what is answered has finite figures, intervals that are ordered and hold their figure, and
// a document that fits its schema and survives its text.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <fuzzer/FuzzedDataProvider.h>

#include "lieflat/assess/assessment.h"
#include "lieflat/base/text.h"
#include "lieflat/report/text.h"

#include "require.h"

namespace {

using lieflat::Json;
using lieflat::fuzz::Require;

const lieflat::Calib& TheCalib() { return lieflat::Calib::Embedded(); }

/// Chooses what a person could have written; now and then what only a careless one could.
class Chooser {
 public:
  Chooser(const std::uint8_t* data, std::size_t size) : bytes_(data, size) {}

  bool Yes(int of_256 = 128) { return bytes_.ConsumeIntegral<std::uint8_t>() < of_256; }
  int Count(int most) { return bytes_.ConsumeIntegralInRange(0, most); }
  /// To a hundredth of the range, so that neighbouring inputs are alike.
  double Number(double low, double high) {
    return low + (high - low) * bytes_.ConsumeIntegralInRange<int>(0, 1000) / 1000.0;
  }
  std::string Word(const std::vector<std::string>& words) {
    return words[bytes_.ConsumeIntegralInRange<std::size_t>(0, words.size() - 1)];
  }
  [[nodiscard]] bool left() { return bytes_.remaining_bytes() > 0; }

 private:
  FuzzedDataProvider bytes_;
};

Json PartJson(Chooser& choose, int number, double length, double width) {
  static const auto classes = TheCalib().Keys("part_classes", "/classes");
  Json part = {{"ref", "U" + std::to_string(number)}, {"class", choose.Word(classes)}};
  if (choose.Yes(40)) {
    part["region"] = choose.Word(lieflat::RegionNames());
    return part;
  }
  const double part_length = choose.Number(1, 0.45 * length),
               part_width = choose.Number(1, 0.45 * width);
  part["x_mm"] = choose.Number(0.25 * length, 0.75 * length);
  part["y_mm"] = choose.Number(0.25 * width, 0.75 * width);
  part["length_mm"] = part_length;
  part["width_mm"] = part_width;
  if (choose.Yes(60)) part["rotation_deg"] = choose.Number(-90, 90);
  if (choose.Yes(60)) part["side"] = "solder";
  if (choose.Yes()) part["height_mm"] = choose.Number(0.3, 40);
  if (choose.Yes(60)) part["mass_g"] = choose.Number(0, 200);
  if (choose.Yes(90)) part["joint_pitch_mm"] = choose.Number(0.3, 5);
  if (choose.Yes(30)) part["max_temperature_c"] = choose.Number(40, 260);
  return part;
}

Json BoardJson(Chooser& choose, double length, double width) {
  const Json outline = {{0.0, 0.0}, {length, 0.0}, {length, width}, {0.0, width}};
  Json board = {{"format", "lieflat-board"},
                {"version", 1},
                {"label", "crate-3/017"},
                {"outline_mm", outline}};
  board["corners_mm"] = outline;
  board["thickness_mm"] = choose.Number(0.6, 3.2);
  board["laminate"] = choose.Word(TheCalib().Keys("laminates", "/laminates"));
  board["works"] = choose.Word({"yes", "partly", "no", "untested"});
  board["need"] = choose.Word({"case", "cards", "cooler", "sale", "none"});
  board["worth"] = choose.Word({"common", "scarce", "rare"});
  board["mounting"] = choose.Word({"smt", "mixed", "through-hole"});
  board["acceptance_class"] = 1 + choose.Count(2);
  if (choose.Yes()) board["mass_g"] = choose.Number(5, 3000);
  if (choose.Yes()) board["copper_layers"] = 1 + choose.Count(15);
  if (choose.Yes()) board["year"] = 1970 + choose.Count(56);
  if (choose.Yes(40))
    board["limit"] = {{"percent", choose.Number(0.01, 5)}, {"origin", "the case"}};
  if (choose.Yes(60)) {
    const double x = choose.Number(5, 0.7 * length), y = choose.Number(5, 0.7 * width);
    const double right = x + choose.Number(1, 0.2 * length),
                 top = y + choose.Number(1, 0.2 * width);
    board["cutouts_mm"] = {{{x, y}, {right, y}, {right, top}, {x, top}}};
  }
  const int parts = choose.Count(6);
  for (int i = 0; i < parts; ++i) board["parts"].push_back(PartJson(choose, i + 1, length, width));
  const int holes = choose.Count(4);
  for (int i = 0; i < holes; ++i) {
    board["holes_mm"].push_back({{"x_mm", choose.Number(4, length - 4)},
                                 {"y_mm", choose.Number(4, width - 4)},
                                 {"diameter_mm", choose.Number(1, 6)},
                                 {"use", "mount"}});
  }
  return board;
}

const std::vector<std::string> kEdgeWords = {"AB", "BC", "CD", "DA"};
const std::vector<std::string> kStations = {"A", "B", "C", "D", "AB", "BC", "CD", "DA", "M"};

void Gap(Chooser& choose, Json& row, double most, const char* value_key) {
  const double value = choose.Number(0, most);
  if (choose.Yes()) {
    row["go_mm"] = value;
    row["no_go_mm"] = value + choose.Number(0.01, 0.5);
  } else {
    row[value_key] = value;
    if (choose.Yes()) row["u_mm"] = choose.Number(0.005, 1);
  }
}

Json ReadingJson(Chooser& choose, double length, double width) {
  const std::string rest = choose.Word({"upright", "upright", "points", "table", "free"});
  Json reading = {{"rest", rest},
                  {"down", choose.Word({"solder", "component"})},
                  {"reading", choose.Word({"under", "over"})}};
  if (choose.Yes()) reading["temperature_c"] = choose.Number(5, 40);
  if (choose.Yes()) reading["lead_tail_mm"] = choose.Number(0, 3);
  if (rest == "points") {
    reading["rest_height_mm"] = choose.Number(10, 50);
    for (const char* station : {"A", "B", "CD"}) reading["at"].push_back({{"station", station}});
  }
  const int form = choose.Count(9);
  if (form == 0) {
    reading["strips"] = {{"edges", {"DA", "BC"}},
                         {"strip_length_mm", choose.Number(width, 1200)},
                         {"tip_difference_mm", choose.Number(-40, 40)},
                         {"tip_u_mm", choose.Number(0.2, 3)}};
    return reading;
  }
  if (form == 1) {
    reading["corner"] = {{"corner", choose.Word({"A", "B", "C", "D"})}};
    Gap(choose, reading["corner"], 8, "gap_mm");
    return reading;
  }
  const int rows = 1 + choose.Count(rest == "upright" ? 7 : 24);
  for (int i = 0; i < rows; ++i) {
    Json row = Json::object();
    if (rest == "upright") {
      row["edge"] = i < 4 ? kEdgeWords[static_cast<std::size_t>(i)] : choose.Word(kEdgeWords);
      row["side"] = choose.Word({"component", "solder"});
      Gap(choose, row, 6, "gap_mm");
    } else {
      if (i < 9 && choose.Yes(200)) {
        row["station"] = kStations[static_cast<std::size_t>(i)];
      } else {
        row["x_mm"] = choose.Number(0, length);
        row["y_mm"] = choose.Number(0, width);
      }
      Gap(choose, row, rest == "points" ? 50 : 8, "height_mm");
    }
    reading["rows"].push_back(row);
  }
  return reading;
}

Json MarkJson(Chooser& choose, double length, double width) {
  Json mark = {{"kind", choose.Word(lieflat::DamageKinds(TheCalib()))}};
  mark["at_mm"] = {{choose.Number(0, length), choose.Number(0, width)}};
  if (choose.Yes()) mark["at_mm"].push_back({choose.Number(0, length), choose.Number(0, width)});
  mark["side"] = choose.Word({"component", "solder"});
  if (choose.Yes()) mark["depth"] = choose.Word(lieflat::kDepthWords);
  if (choose.Yes()) mark["near"] = {"U1"};
  if (choose.Yes())
    mark["measures"] = {{choose.Word(lieflat::DamageMeasures(TheCalib())),
                         {{"value", choose.Number(0, 30)}, {"u95", choose.Number(0, 3)}}}};
  if (choose.Yes()) mark["aspects"] = {choose.Word(lieflat::DamageAspects(TheCalib()))};
  return mark;
}

std::string LogText(Chooser& choose, double length, double width) {
  std::string text;
  int hour = 0, holds = 0;
  const int entries = choose.Count(8);
  for (int i = 1; i <= entries && choose.left(); ++i) {
    hour += choose.Count(30);
    char at[40];
    (void)std::snprintf(at, sizeof at, "2026-03-%02dT%02d:00:00+00:00", 1 + hour / 24, hour % 24);
    Json entry = {{"id", "e" + std::to_string(i)},
                  {"at", at},
                  {"by_version", "0.1.0"},
                  {"fitted", Json::array()}};
    const int kind = choose.Count(9);
    if (kind <= 4) {
      entry["kind"] = "gauge";
      entry["reading"] = ReadingJson(choose, length, width);
    } else if (kind == 5) {
      entry["kind"] = "works";
      entry["state"] = choose.Word({"yes", "partly", "no", "untested"});
    } else if (kind == 6) {
      entry["kind"] = "damage";
      entry["damage"] = MarkJson(choose, length, width);
    } else if (kind <= 8) {
      const std::string hold = "h" + std::to_string(++holds);
      entry["kind"] = "hold-start";
      entry["hold"] = hold;
      entry["way"] = choose.Word(lieflat::kHoldWays);
      if (choose.Yes()) entry["load_kg"] = choose.Number(0, 50);
      if (choose.Yes()) entry["temperature_c"] = choose.Number(10, 120);
      text += entry.dump() + "\n";
      hour += 1 + choose.Count(30);
      (void)std::snprintf(at, sizeof at, "2026-03-%02dT%02d:00:00+00:00", 1 + hour / 24, hour % 24);
      entry = {{"id", "e" + std::to_string(++i)},
               {"kind", "hold-end"},
               {"at", at},
               {"by_version", "0.1.0"},
               {"fitted", Json::array()},
               {"hold", hold}};
    } else {
      if (i == 1) continue;
      entry["kind"] = "void";
      entry["target"] = "e1";
      entry["reason"] = "wrong board";
    }
    text += entry.dump() + "\n";
  }
  return text;
}

const Json& Schema() {
  static const Json schema = [] {
    std::ifstream file(LIEFLAT_SOURCE_DIR "/docs/schemas/assessment.schema.json");
    const std::string text((std::istreambuf_iterator<char>(file)),
                           std::istreambuf_iterator<char>());
    return Json::parse(text);
  }();
  return schema;
}

/// Keys known, required ones there, figures finite.
void Fits(const Json& value, const Json& schema, const std::string& where) {
  if (schema.contains("$ref")) {
    const std::string ref = schema["$ref"].get<std::string>();
    if (ref.starts_with("#")) Fits(value, Schema().at(Json::json_pointer(ref.substr(1))), where);
    return;
  }
  if (value.is_number()) Require(std::isfinite(value.get<double>()), where + " is finite");
  Require(!value.is_null(), where + " is something");
  if (value.is_object() && schema.contains("properties")) {
    for (const auto& [key, inner] : value.items()) {
      Require(schema["properties"].contains(key), where + "/" + key + " stands in the schema");
      Fits(inner, schema["properties"][key], where + "/" + key);
    }
    if (schema.contains("required")) {
      for (const auto& key : schema["required"])
        Require(value.contains(key.get<std::string>()), where + " lacks " + key.get<std::string>());
    }
  }
  if (value.is_array() && schema.contains("items")) {
    for (const auto& inner : value) Fits(inner, schema["items"], where + "[]");
  }
}

/// Both ends ordered, and the figure between them, but for what the text's digits round away.
void Holds(const Json& in, const char* figure, const char* interval, const std::string& where) {
  if (!in.contains(figure) || !in.contains(interval)) return;
  const double value = in[figure].get<double>(), low = in[interval][0].get<double>(),
               high = in[interval][1].get<double>();
  const double rounding = 1e-9 + 1e-9 * std::abs(value);
  Require(low <= high, where + ": " + interval + " is ordered");
  Require(low - rounding <= value && value <= high + rounding,
          where + ": " + figure + " " + std::to_string(value) + " lies in " + std::to_string(low) +
              ".." + std::to_string(high));
}

void Share(const Json& in, const char* key, const std::string& where) {
  if (!in.contains(key)) return;
  const double value = in[key].get<double>();
  Require(value >= 0.0 && value <= 1.0, where + "/" + key + " is a share");
}

void CheckDocument(const Json& document) {
  Fits(document, Schema(), "");
  const Json& flatness = document["flatness"];
  Holds(flatness, "bow_percent", "bow_interval95_percent", "flatness");
  Holds(flatness, "twist_percent", "twist_interval95_percent", "flatness");
  Holds(flatness, "flatness_ls_mm", "flatness_ls_interval95_mm", "flatness");
  Holds(flatness, "flatness_zone_mm", "flatness_zone_interval95_mm", "flatness");
  if (flatness.contains("bow_edges")) {
    for (const Json& edge : flatness["bow_edges"])
      Holds(edge, "percent", "interval95_percent", "edge");
  }
  for (const Json& part : document["parts"]) {
    Share(part, "damage_probability", "part");
    Share(part, "found_damage_probability", "part");
    if (part.contains("share"))
      Require(part["share"].get<double>() >= 0.0, "a share of the allowed bend is not negative");
  }
  if (!document.contains("options")) return;
  for (const Json& option : document["options"]) {
    Share(option, "damage_probability", "option");
    for (const char* triple : {"bow_after_percent", "twist_after_percent", "lasting_fraction"}) {
      if (!option.contains(triple)) continue;
      const Json& three = option[triple];
      Require(three[0].get<double>() <= three[1].get<double>() &&
                  three[1].get<double>() <= three[2].get<double>(),
              std::string("option: ") + triple + " is ordered");
    }
  }
}

void CheckRefusal(const lieflat::Error& error) {
  Require(!error.message.empty() && !error.where.empty(),
          "a refusal says where and what: " + error.Text());
  Require(error.code != lieflat::ErrorCode::kInternal,
          "what was read is no fault of ours: " + error.Text());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Chooser choose(data, size);
  const double length = choose.Number(40, 500), width = choose.Number(30, length);
  lieflat::BoardFolder::State state;
  const Json description = BoardJson(choose, length, width);
  auto board = lieflat::ParseBoard(description, "board.json", TheCalib());
  if (!board) {
    CheckRefusal(board.error());
    return 0;
  }
  state.board = *board;
  state.board_text = lieflat::DumpJson(description);
  state.log_text = LogText(choose, length, width);
  auto log = lieflat::ParseLog(state.log_text, "log.jsonl");
  if (!log) {
    CheckRefusal(log.error());
    return 0;
  }
  state.log = *log;
  lieflat::AssessOptions options;
  options.press_flat = choose.Yes(32);  // costs a hundred times as much
  options.surface.draws = 1000;
  options.surface.surface_draws = 100;
  options.flatten.draws = 50;
  options.flatten.cell_mm = 25.0;
  options.flatten.fine_mm = 12.0;
  const lieflat::Instant now{1773345600, 0};  // 2026-03-12
  const auto assessment = lieflat::Assess(state, lieflat::Bench{}, TheCalib(), now, options);
  if (!assessment) {
    CheckRefusal(assessment.error());
    return 0;
  }
  const Json document = lieflat::ToJson(*assessment);
  CheckDocument(document);
  const auto again = lieflat::ParseJson(lieflat::DumpJson(document), "document");
  Require(again && lieflat::DumpJson(*again) == lieflat::DumpJson(document),
          "the document survives its text");
  Require(lieflat::IsUtf8(lieflat::AssessmentText(*assessment)), "it can be printed");
  if (!choose.Yes(64)) return 0;  // fits the board once for every reading
  if (const auto followed = lieflat::FollowBoard(state, lieflat::Bench{}, TheCalib(), now)) {
    Fits(lieflat::ToJson(*followed), Json::object(), "trend");
  } else {
    CheckRefusal(followed.error());
  }
  return 0;
}
