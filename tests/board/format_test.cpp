// board.json read and written.

#include <cmath>
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "lieflat/base/random.h"
#include "lieflat/board/board.h"

#include "support/counts.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

Json FullBoard() {
  const auto json = ParseJson(R"({
    "format": "lieflat-board", "version": 1, "label": "crate-3/017", "works": "partly", "need": "case",
    "worth": "rare", "preset": "atx",
    "outline_mm": [[0,0],[305,0],[305,244],[0,244]], "corners_mm": [[0,0],[305,0],[305,244],[0,244]],
    "cutouts_mm": [[[10,10],[20,10],[20,20]]],
    "size_u_mm": 0.05, "thickness_mm": 1.57, "thickness_u_mm": 0.06, "laminate": "fr4-tg130", "copper_layers": 4,
    "mass_g": 640, "mass_u_g": 5, "mounting": "smt", "populated": true, "acceptance_class": 3,
    "year": 1998, "limit": {"percent": 0.5, "origin": "own choice"},
    "parts": [{"ref": "U1", "class": "pbga", "x_mm": 120, "y_mm": 140, "length_mm": 35, "width_mm": 35,
               "rotation_deg": 30, "side": "solder", "height_mm": 2, "mass_g": 4, "joint_count": 388,
               "joint_pitch_mm": 1.27, "max_temperature_c": 85, "body": {"modulus_gpa": 20, "thickness_mm": 1.7},
               "joint": {"axial_n_per_mm": 2600, "shear_n_per_mm": 900}},
              {"ref": "U7", "class": "qfp", "region": "top-left"},
              {"ref": "U9", "class": "soic"}],
    "holes_mm": [{"x_mm": 6.5, "y_mm": 6.5, "diameter_mm": 4, "use": "mount"}]})",
                              "board.json");
  return json.value();
}

TEST(BoardFormat, ReadsEveryField) {
  const auto board = ParseBoard(FullBoard(), "board.json", calib());
  ASSERT_TRUE(board) << board.error().Text();
  EXPECT_EQ(board->label, "crate-3/017");
  EXPECT_EQ(board->works, "partly");
  EXPECT_EQ(board->worth, "rare");
  EXPECT_EQ(board->mounting, "smt");
  EXPECT_EQ(board->acceptance_class, 3);
  EXPECT_EQ(board->year, 1998);
  EXPECT_EQ(board->thickness_mm.u, 0.06);
  EXPECT_EQ(board->mass_g->value, 640);
  EXPECT_EQ(board->limit->origin, "own choice");
  EXPECT_TRUE(board->corners_are_outline);
  ASSERT_EQ(board->parts.size(), 3U);
  EXPECT_EQ(board->parts[0].side, Side::kSolder);
  EXPECT_EQ(board->parts[0].joint_shear_n_per_mm, 900);
  EXPECT_FALSE(board->parts[1].has_place());
  EXPECT_EQ(board->FindPart("U7"), &board->parts[1]);
  EXPECT_EQ(board->FindPart("U8"), nullptr);
  EXPECT_EQ(board->holes[0].diameter_mm, 4);
  // 305 x 244 less a triangle of 10 x 10 / 2.
  EXPECT_DOUBLE_EQ(board->Area(), 305.0 * 244.0 - 50.0);
}

TEST(BoardFormat, WritesBackWhatItRead) {
  const auto board = ParseBoard(FullBoard(), "board.json", calib());
  ASSERT_TRUE(board) << board.error().Text();
  const Json written = ToJson(*board);
  const Json read = FullBoard();
  for (const auto& [key, value] : read.items()) EXPECT_EQ(written.at(key), value) << key;
  EXPECT_EQ(written.size(), read.size());
}

TEST(BoardFormat, LeavesOutWhatIsUsual) {
  const auto json = ParseJson(
      R"({"format": "lieflat-board", "version": 1, "outline_mm": [[0,0],[300,0],[300,200],[0,200]], "thickness_mm": 1.6})",
      "b");
  const auto board = ParseBoard(json.value(), "b", calib());
  ASSERT_TRUE(board) << board.error().Text();
  EXPECT_TRUE(board->corners_are_outline);
  EXPECT_EQ(board->corners_mm[2], Eigen::Vector2d(300, 200));
  EXPECT_EQ(board->laminate_name, "fr4-tg130");
  EXPECT_FALSE(board->mass_g);
  // Engineering choice: 4 % of the thickness (calib/laminates.json).
  EXPECT_DOUBLE_EQ(board->thickness_mm.u, 0.04 * 1.6);
}

TEST(BoardFormat, AClockwiseOutlineIsTurned) {
  Json json = FullBoard();
  json["outline_mm"] = {{0, 0}, {0, 244}, {305, 244}, {305, 0}};
  const auto board = ParseBoard(json, "b", calib());
  ASSERT_TRUE(board) << board.error().Text();
  EXPECT_EQ(board->outline_mm[1], Eigen::Vector2d(305, 0));
  EXPECT_TRUE(board->corners_are_outline);
}

TEST(BoardFormat, ANotchedBoardIsByAgreement) {
  Json json = FullBoard();
  json["outline_mm"] = {{0, 0}, {305, 0}, {305, 238}, {299, 244}, {0, 244}};
  const auto board = ParseBoard(json, "b", calib());
  ASSERT_TRUE(board) << board.error().Text();
  EXPECT_FALSE(board->corners_are_outline);
}

// Layers set the stiffness of glass-epoxy: 22 +- 3.5, 21.5 +- 2.5, 24 +- 3 GPa
// (calib/laminates.json, "layers"), and leave that of paper laminate alone.
TEST(BoardFormat, CopperLayersSetTheStiffness) {
  const std::vector<std::tuple<std::optional<int>, double, double>> cases = {
      {std::nullopt, 22e3, 3.5e3},
      {1, 21.5e3, 2.5e3},
      {2, 21.5e3, 2.5e3},
      {4, 24e3, 3e3},
      {8, 24e3, 3e3}};
  for (const auto& [layers, modulus, u] : cases) {
    Json json = FullBoard();
    json.erase("copper_layers");
    if (layers) json["copper_layers"] = *layers;
    const auto board = ParseBoard(json, "b", calib());
    ASSERT_TRUE(board) << board.error().Text();
    EXPECT_DOUBLE_EQ(board->laminate.modulus_x_mpa.value, modulus);
    EXPECT_DOUBLE_EQ(board->laminate.modulus_y_mpa.u, u);
    EXPECT_DOUBLE_EQ(board->laminate.shear_mpa.value, 4.8e3);
  }
  Json json = FullBoard();
  json["laminate"] = "fr2";
  EXPECT_DOUBLE_EQ(ParseBoard(json, "b", calib())->laminate.modulus_x_mpa.value, 8e3);
}

TEST(BoardFormat, TakesALaminateAsAnObject) {
  Json json = FullBoard();
  json["laminate"] = {{"modulus_x_gpa", 20},
                      {"modulus_y_gpa", 19.7},
                      {"poisson", 0.15},
                      {"shear_gpa", 5},
                      {"density_kg_m3", 1900},
                      {"tg_c", 140}};
  const auto board = ParseBoard(json, "b", calib());
  ASSERT_TRUE(board) << board.error().Text();
  EXPECT_TRUE(board->laminate_name.empty());
  EXPECT_EQ(board->laminate.name, "own");
  EXPECT_DOUBLE_EQ(board->laminate.modulus_y_mpa.value, 19700.0);
  EXPECT_EQ(ToJson(*board).at("laminate"), json.at("laminate"));
}

Json RandomPart(Random& random, int number, double length, double width) {
  const std::vector<std::string> classes = calib().Keys("part_classes", "/classes");
  Json part = {
      {"ref", "U" + std::to_string(number)},
      {"class", classes[static_cast<std::size_t>(random.Below(static_cast<int>(classes.size())))]}};
  const double kind = random.Uniform();
  if (kind < 0.6) {
    part["x_mm"] = random.Uniform(0.3, 0.7) * length;
    part["y_mm"] = random.Uniform(0.3, 0.7) * width;
    part["length_mm"] = random.Uniform(1.0, 0.3 * width);
    part["width_mm"] = random.Uniform(1.0, 0.3 * width);
    part["rotation_deg"] = random.Uniform(-180.0, 180.0);
  } else if (kind < 0.8) {
    part["region"] = "middle-right";
  }
  if (random.Uniform() < 0.5) part["height_mm"] = random.Uniform(0.5, 20.0);
  if (random.Uniform() < 0.5) part["side"] = "solder";
  if (random.Uniform() < 0.3) part["body"] = {{"modulus_gpa", random.Uniform(5, 300)}};
  return part;
}

/// A modulus as people write it, three decimals: it passes through MPa and back.
double Modulus(Random& random) { return std::round(random.Uniform(2.0, 30.0) * 1e3) / 1e3; }

Json RandomBoard(Random& random) {
  const double width = random.Uniform(30.0, 300.0);
  const double length = random.Uniform(width, 600.0);
  const double cut = random.Uniform(1.0, 8.0);
  Json json = {{"format", "lieflat-board"},
               {"version", 1},
               {"outline_mm",
                {{0, 0}, {length, 0}, {length, width - cut}, {length - cut, width}, {0, width}}},
               {"corners_mm", {{0, 0}, {length, 0}, {length, width - cut}, {0, width}}},
               {"thickness_mm", random.Uniform(0.5, 3.0)}};
  if (random.Uniform() < 0.5) json["copper_layers"] = 1 + random.Below(8);
  if (random.Uniform() < 0.5) {
    json["laminate"] = {{"modulus_x_gpa", Modulus(random)},
                        {"modulus_y_gpa", Modulus(random)},
                        {"poisson", random.Uniform(0.1, 0.3)},
                        {"shear_gpa", Modulus(random)},
                        {"density_kg_m3", 1500},
                        {"tg_c", random.Uniform(100, 180)}};
  }
  if (random.Uniform() < 0.5) json["mass_g"] = 3000.0;
  if (random.Uniform() < 0.5) json["year"] = 1980 + random.Below(40);
  json["parts"] = Json::array();
  for (int i = random.Below(8); i > 0; --i)
    json["parts"].push_back(RandomPart(random, i, length, width));
  return json;
}

TEST(BoardFormat, RoundTripOfRandomBoards) {
  constexpr std::uint64_t kSeed = 417;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(200, 5000); ++i) {
    const Json json = RandomBoard(random);
    const auto board = ParseBoard(json, "b", calib());
    ASSERT_TRUE(board) << board.error().Text() << "\n" << json.dump();
    const Json written = ToJson(*board);
    for (const auto& [key, value] : json.items()) {
      if (key == "parts") continue;
      EXPECT_EQ(written.at(key), value) << key;
    }
    // Through text, as on disk.
    const auto again = ParseBoard(ParseJson(DumpJson(written), "b").value(), "b", calib());
    ASSERT_TRUE(again) << again.error().Text();
    ASSERT_EQ(ToJson(*again), written);
    ASSERT_EQ(again->parts.size(), board->parts.size());
  }
}

std::set<std::string> KeysOf(const Json& object) {
  std::set<std::string> keys;
  for (const auto& [key, value] : object.items()) keys.insert(key);
  return keys;
}

Json Schema() {
  std::ifstream file(LIEFLAT_SOURCE_DIR "/docs/schemas/board.schema.json");
  std::stringstream text;
  text << file.rdbuf();
  return ParseJson(text.str(), "board.schema.json").value();
}

// The schema that ships names the same fields, part classes and regions as the program.
TEST(BoardFormat, SchemaNamesTheSameFields) {
  const Json schema = Schema();
  const auto board = ParseBoard(FullBoard(), "b", calib());
  ASSERT_TRUE(board) << board.error().Text();
  Json written = ToJson(*board);
  EXPECT_EQ(KeysOf(written), KeysOf(schema.at("properties")));
  Json part = written.at("parts").at(0);
  part["region"] = "";
  EXPECT_EQ(KeysOf(part), KeysOf(schema.at("/$defs/part/properties"_json_pointer)));
  EXPECT_EQ(KeysOf(written.at("holes_mm").at(0)),
            KeysOf(schema.at("/$defs/hole/properties"_json_pointer)));
  EXPECT_EQ(
      schema.at("/$defs/part/properties/class/enum"_json_pointer).get<std::vector<std::string>>(),
      calib().Keys("part_classes", "/classes"));
  for (const Json& region : schema.at("/$defs/part/properties/region/enum"_json_pointer)) {
    Json json = FullBoard();
    json["parts"][1]["region"] = region;
    EXPECT_TRUE(ParseBoard(json, "b", calib())) << region;
  }
}

}  // namespace
}  // namespace lieflat
