// What damage does to the parts beside it and to pressing.

#include "lieflat/damage/effect.h"

#include <gtest/gtest.h>

#include "damage/marks.h"

namespace lieflat {
namespace {

using testing::DamagedBoard;
using testing::MarkOf;

const Calib& calib() { return Calib::Embedded(); }

/// Pressing flat stretches the component side along x by so much, and squeezes the other.
StrainWhenFlat StretchAlongX(double strain) {
  return [strain](const Eigen::Vector2d&, Side face) {
    const double sign = face == Side::kComponent ? 1.0 : -1.0;
    return std::optional<Eigen::Vector3d>({sign * strain, 0.0, 0.0});
  };
}

Mark Crack(double angle_deg, const char* depth, std::optional<Side> side) {
  Mark mark = MarkOf("crack", {}, {}, "", depth);
  const double angle = angle_deg * 3.14159265358979 / 180.0;
  mark.at_mm.push_back(mark.at_mm.front() +
                       Eigen::Vector2d(10.0 * std::cos(angle), 10.0 * std::sin(angle)));
  mark.side = side;
  return mark;
}

bool Blocked(const Mark& mark, const StrainWhenFlat& strain) {
  return !BlocksOf(mark, DamagedBoard(), strain, calib()).empty();
}

// Strain across a line at angle a to x is e sin^2 a (Mohr's circle): it opens the crack where it is
// tension and over the threshold, 25 microstrain.
TEST(Blocks, ACrackAcrossTheTension) {
  const auto pull = StretchAlongX(100e-6);
  EXPECT_TRUE(Blocked(Crack(90, "laminate", Side::kComponent), pull));
  EXPECT_FALSE(Blocked(Crack(0, "laminate", Side::kComponent), pull)) << "it runs along the pull";
  EXPECT_FALSE(Blocked(Crack(90, "laminate", Side::kSolder), pull)) << "that face is squeezed";
  EXPECT_TRUE(Blocked(Crack(90, "through", Side::kSolder), pull)) << "it reaches the other face";
  EXPECT_TRUE(Blocked(Crack(31, "laminate", Side::kComponent), pull)) << "sin^2 31 = 0.265";
  EXPECT_FALSE(Blocked(Crack(29, "laminate", Side::kComponent), pull)) << "sin^2 29 = 0.235";
  EXPECT_FALSE(Blocked(Crack(90, "through", {}), StretchAlongX(20e-6)));
}

TEST(Blocks, WhatIsNotKnownBlocks) {
  EXPECT_TRUE(Blocked(Crack(0, "laminate", Side::kComponent), {})) << "no bend is measured";
  EXPECT_TRUE(Blocked(MarkOf("crack"), StretchAlongX(100e-6))) << "no direction on record";
  EXPECT_FALSE(Blocked(MarkOf("crack"), StretchAlongX(1e-6))) << "nothing is stretched";
}

TEST(Blocks, LiftedLandsAndCrackedCeramics) {
  const auto none = StretchAlongX(0.0);
  EXPECT_TRUE(Blocked(MarkOf("lifted-land", {}, {}, "U2"), none));
  EXPECT_FALSE(Blocked(MarkOf("lifted-land", {}, {"unloaded"}, "U2"), none));
  EXPECT_FALSE(Blocked(MarkOf("lifted-land"), none)) << "nothing is soldered to it";
  EXPECT_TRUE(Blocked(MarkOf("cracked-part", {}, {}, "C1"), none));
  EXPECT_FALSE(Blocked(MarkOf("cracked-part", {}, {}, "J1"), none)) << "no ceramic";
  EXPECT_FALSE(Blocked(MarkOf("conductor-cut", {}, {}, "U1"), none)) << "repair work, no block";
}

TEST(Blocks, RepairLiftsThemAcceptanceDoesNot) {
  Mark mark = MarkOf("lifted-land", {}, {}, "U2");
  mark.state = MarkState::kRepaired;
  EXPECT_FALSE(Blocked(mark, {}));
  mark.state = MarkState::kAccepted;
  EXPECT_TRUE(Blocked(mark, {}));
}

// U1 spans x 102.5 to 137.5, y 122.5 to 157.5; "beside" is 15 mm.
TEST(Beside, ByTheDistanceToTheOutline) {
  const auto beside = [&](Eigen::Vector2d from, std::optional<Eigen::Vector2d> to) {
    Mark mark = MarkOf("crack");
    mark.at_mm = {from};
    if (to) mark.at_mm.push_back(*to);
    return PartsBeside(mark, DamagedBoard(), calib());
  };
  using Refs = std::vector<std::string>;
  EXPECT_EQ(beside({152.4, 140}, {}), Refs{"U1"});
  EXPECT_EQ(beside({152.6, 140}, {}), Refs{});
  EXPECT_EQ(beside({120, 140}, {}), Refs{"U1"}) << "under it";
  EXPECT_EQ(beside({90, 100}, {{160, 180}}), Refs{"U1"}) << "across it, both ends away";
  EXPECT_EQ(beside({90, 116}, {{160, 116}}), Refs{"U1"}) << "past a side";
  Mark named = MarkOf("crack", {}, {}, "J1");
  EXPECT_EQ(PartsBeside(named, DamagedBoard(), calib()), (Refs{"J1", "U1"})) << "at 150, 120";
}

// Halved once, however many marks there are; a scratch weakens nothing; a repair stays one.
TEST(Factors, OnceForEachPart) {
  Mark crack = MarkOf("crack", {}, {}, "U1"), blister = MarkOf("delamination", {}, {}, "U1");
  Mark scratch = MarkOf("scratch", {}, {}, "U2");
  crack.state = MarkState::kRepaired;
  const auto judged = JudgeMarks({crack, blister, scratch}, DamagedBoard(), "yes", {}, calib());
  const auto factors = LimitFactors(judged);
  EXPECT_EQ(factors, (std::map<std::string, double>{{"U1", 0.5}}));
  EXPECT_EQ(judged[2].number, 3);
  EXPECT_EQ(judged[2].limit_factor, 1.0);
}

// The words beside the rules, and a crack that only its part places: the strain is that at the
// part.
TEST(Blocks, SayWhy) {
  const auto why = [](const Mark& mark, const StrainWhenFlat& strain) {
    const auto blocks = BlocksOf(mark, DamagedBoard(), strain, calib());
    return blocks.empty() ? std::string("nothing") : blocks.front().why;
  };
  const auto pull = StretchAlongX(100e-6);
  EXPECT_EQ(why(Crack(90, "laminate", Side::kComponent), pull),
            "pressing flat stretches across it by 100 microstrain, which opens it");
  EXPECT_EQ(why(MarkOf("crack"), pull),
            "pressing flat stretches the board there by up to 100 microstrain, and which way it "
            "runs is not on record");
  EXPECT_EQ(why(MarkOf("crack"), {}),
            "the bend there is not measured, so it may lie across the tension");
  const StrainWhenFlat unknown = [](const Eigen::Vector2d&, Side) {
    return std::optional<Eigen::Vector3d>();
  };
  EXPECT_EQ(why(MarkOf("crack"), unknown),
            "the bend there is not measured, so it may lie across the tension");
  Mark nowhere = MarkOf("crack");
  nowhere.at_mm.clear();
  nowhere.region = "top-left";
  EXPECT_EQ(why(nowhere, pull), "its place is not known, so it may lie across the tension");
  EXPECT_EQ(why(MarkOf("lifted-land", {}, {}, "U2"), {}),
            "a joint of U2 pulls on it when the board is bent");
  EXPECT_EQ(why(MarkOf("cracked-part", {}, {}, "C1"), {}),
            "C1 is ceramic and cracked already; bending it makes it worse");
  EXPECT_EQ(why(MarkOf("cracked-part"), {}), "nothing") << "no part is named";
}

TEST(Blocks, ACrackKnownByItsPartAlone) {
  std::vector<Eigen::Vector2d> asked;
  const StrainWhenFlat strain = [&](const Eigen::Vector2d& at, Side) {
    asked.push_back(at);
    return std::optional<Eigen::Vector3d>({100e-6, 0.0, 0.0});
  };
  Mark mark = MarkOf("crack", {}, {}, "U2", "laminate");
  mark.at_mm.clear();
  mark.side = Side::kComponent;
  EXPECT_TRUE(Blocked(mark, strain));
  ASSERT_EQ(asked.size(), 1U) << "one face: it does not go through";
  EXPECT_EQ(asked.front(), Eigen::Vector2d(60, 180));
  Board board = DamagedBoard();
  board.parts[3].centre_mm.reset();
  EXPECT_EQ(BlocksOf(mark, board, strain, calib()).front().why,
            "its place is not known, so it may lie across the tension");
  // A point told twice has no direction.
  mark.at_mm = {{150, 120}, {150, 120}};
  EXPECT_NE(BlocksOf(mark, board, strain, calib()).front().why.find("which way it runs"),
            std::string::npos);
}

// A closed outline: a part wholly within it is beside it, and so is one by the side that closes it.
TEST(Beside, AnOutlineIsClosed) {
  const auto beside = [](std::vector<Eigen::Vector2d> ring) {
    Mark mark = MarkOf("delamination");
    mark.at_mm = std::move(ring);
    mark.outline = true;
    return PartsBeside(mark, DamagedBoard(), calib());
  };
  using Refs = std::vector<std::string>;
  EXPECT_EQ(beside({{70, 90}, {170, 90}, {170, 190}, {70, 190}}), (Refs{"U1", "U2"}));
  EXPECT_EQ(beside({{20, 85}, {180, 85}, {180, 215}, {20, 215}}), (Refs{"U1", "U2"}))
      << "all corners more than 15 mm away";
  // From 87, 230 back to 90, 90 it passes U2, which ends at x 74: 13.8 mm away.
  EXPECT_EQ(beside({{90, 90}, {95, 230}, {87, 230}}), (Refs{"U1", "U2"}));
  Mark nowhere = MarkOf("delamination", {}, {}, "U2");
  nowhere.at_mm.clear();
  EXPECT_EQ(PartsBeside(nowhere, DamagedBoard(), calib()), Refs{"U2"}) << "named, not drawn";
  Board board = DamagedBoard();
  board.parts[0].centre_mm.reset();
  EXPECT_EQ(PartsBeside(MarkOf("delamination"), board, calib()), Refs{})
      << "a part without a place is beside nothing";
}

TEST(JudgedMarks, WordsAndDocument) {
  Mark crack = Crack(90, "laminate", Side::kComponent);
  crack.photo = "photos/1.jpg";
  crack.note = "seen from the side";
  crack.state_note = "glued";
  crack.aspects = {"grows"};
  crack.measures = {{"width", {0.2, 0.05}}};
  Mark region = MarkOf("burn");
  region.at_mm.clear();
  region.region = "top-left";
  Mark nicked = MarkOf("bent-pin", {}, {}, "J1");
  Mark area = MarkOf("delamination");
  area.at_mm = {{10, 10}, {20, 10}, {20, 20}};
  area.outline = true;
  const auto judged = JudgeMarks(
      {crack, region, nicked, area}, DamagedBoard(), "yes", StretchAlongX(1e-4), calib());
  EXPECT_EQ(MarkWords(judged[0], calib()), "crack in the board at 150, 120");
  EXPECT_EQ(MarkWords(judged[1], calib()), "burn in the region top-left");
  EXPECT_EQ(MarkWords(judged[2], calib()), "bent pin beside J1");
  const Json json = ToJson(judged[0]);
  EXPECT_EQ(json.at("side"), "component");
  EXPECT_EQ(json.at("at_mm").size(), 2U);
  EXPECT_EQ(json.at("length_mm"), 10.0) << "as drawn";
  EXPECT_EQ(json.at("width_mm"), 0.2);
  EXPECT_EQ(json.at("width_u95_mm"), 0.05);
  EXPECT_EQ(json.at("measures").at("width").at("u95"), 0.05);
  EXPECT_EQ(json.at("depth"), "laminate");
  EXPECT_EQ(json.at("state_note"), "glued");
  EXPECT_EQ(json.at("photo"), "photos/1.jpg");
  EXPECT_EQ(json.at("note"), "seen from the side");
  EXPECT_EQ(json.at("limit_factor"), 0.5);
  EXPECT_EQ(json.at("number"), 1);
  EXPECT_EQ(json.at("id"), "e1");
  EXPECT_EQ(json.at("kind"), "crack");
  EXPECT_EQ(json.at("aspects"), Json::parse(R"(["grows"])"));
  EXPECT_EQ(json.at("near"), Json::parse(R"(["U1"])")) << "12.5 mm from its corner";
  EXPECT_EQ(json.at("state"), "open");
  EXPECT_EQ(json.at("outcome"), "defect");
  EXPECT_EQ(json.at("reasons").size(), 1U);
  EXPECT_EQ(json.at("missing"), Json::array());
  EXPECT_EQ(json.at("source"), judged[0].judgement.source);
  EXPECT_EQ(json.at("tests"), Json(judged[0].tests));
  EXPECT_FALSE(judged[0].tests.empty());
  EXPECT_EQ(json.at("blocks").at(0).at("options"),
            Json::parse(R"(["press-cold", "press-warm", "strip-and-bake"])"));
  EXPECT_EQ(json.at("blocks").at(0).at("why"),
            "pressing flat stretches across it by 100 microstrain, which opens it");
  EXPECT_EQ(json.at("procedure"),
            "IPC-7721 3.5.1 not through, 3.5.3 at an edge; 3.5.2 through (this last number "
            "from memory) [read]");
  EXPECT_FALSE(json.contains("outline"));
  EXPECT_FALSE(json.contains("region"));
  const Json other = ToJson(judged[1]);
  for (const char* absent :
       {"side", "at_mm", "length_mm", "width_mm", "depth", "state_note", "photo", "note"})
    EXPECT_FALSE(other.contains(absent)) << absent;
  EXPECT_EQ(other.at("region"), "top-left");
  EXPECT_EQ(other.at("outcome"), "cannot-tell");
  EXPECT_EQ(other.at("missing").size(), 1U) << "whether it is only discoloured";
  EXPECT_EQ(other.at("reasons"), Json::array());
  EXPECT_EQ(other.at("blocks"), Json::array());
  EXPECT_EQ(ToJson(judged[2]).at("procedure"), "no procedure: replace");
  EXPECT_EQ(ToJson(judged[3]).at("outline"), true);
  Mark measured = crack;
  measured.measures = {{"length", {12.0, 0.0}}};
  const Json typed = ToJson(JudgeMarks({measured}, DamagedBoard(), "yes", {}, calib()).front());
  EXPECT_EQ(typed.at("length_mm"), 12.0) << "what was typed goes before what was drawn";
  EXPECT_FALSE(typed.contains("length_u95_mm"));
}

// A line of one place told twice is a point; a point on the rim of a part is beside it, and so is a
// part whose corner points at the line.
TEST(Beside, PointsAndCorners) {
  const auto beside = [](std::vector<Eigen::Vector2d> line) {
    Mark mark = MarkOf("crack");
    mark.at_mm = std::move(line);
    return PartsBeside(mark, DamagedBoard(), calib());
  };
  using Refs = std::vector<std::string>;
  EXPECT_EQ(beside({{152.4, 140}, {152.4, 140}}), Refs{"U1"});
  EXPECT_EQ(beside({{152.6, 140}, {152.6, 140}}), Refs{});
  EXPECT_EQ(beside({{137.5, 140}}), Refs{"U1"});
  // The corner of U1 at 137.5, 157.5: a line under 45 degrees passes it at (x + y - 295) / sqrt(2).
  EXPECT_EQ(beside({{116.0, 200.0}, {176.0, 140.0}}), Refs{"U1"}) << "14.8 mm";
  EXPECT_EQ(beside({{117.0, 200.0}, {177.0, 140.0}}), Refs{}) << "15.6 mm";
  // Beyond the end of a line it is the end that counts.
  EXPECT_EQ(beside({{160.0, 170.0}, {180.0, 170.0}}), Refs{}) << "25.7 mm from the corner";
  EXPECT_EQ(beside({{180.0, 165.0}, {150.0, 165.0}}), Refs{"U1"}) << "14.6 mm";
}

// Strain of a shear: 100 microstrain of exy stretches across a line under -45 degrees by exy.
TEST(Blocks, ShearOpensOnlyOneDiagonal) {
  const StrainWhenFlat shear = [](const Eigen::Vector2d&, Side) {
    return std::optional<Eigen::Vector3d>({0.0, 0.0, 100e-6});
  };
  EXPECT_TRUE(Blocked(Crack(-45, "through", {}), shear));
  EXPECT_FALSE(Blocked(Crack(45, "through", {}), shear));
  EXPECT_NE(BlocksOf(Crack(135, "through", {}), DamagedBoard(), shear, calib())
                .front()
                .why.find("by 100 microstrain"),
            std::string::npos);
}

// The worst stretch of a bent line counts, whichever it is; each is asked for at its middle.
TEST(Blocks, TheWorstStretchOfALineCounts) {
  std::vector<Eigen::Vector2d> asked;
  const StrainWhenFlat strain = [&](const Eigen::Vector2d& at, Side) {
    asked.push_back(at);
    return std::optional<Eigen::Vector3d>({100e-6, 0.0, 0.0});
  };
  Mark mark = MarkOf("crack", {}, {}, "", "laminate");
  mark.side = Side::kComponent;
  mark.at_mm = {{100, 100}, {120, 100}, {120, 130}};
  EXPECT_TRUE(Blocked(mark, strain));
  ASSERT_EQ(asked.size(), 2U);
  EXPECT_EQ(asked[0], Eigen::Vector2d(110, 100));
  EXPECT_EQ(asked[1], Eigen::Vector2d(120, 115));
  mark.at_mm = {{120, 130}, {120, 100}, {100, 100}};
  EXPECT_TRUE(Blocked(mark, strain));
  mark.at_mm.resize(2);
  mark.at_mm.emplace_back(120, 100);  // told twice: it has no direction, and the rest has
  EXPECT_NE(BlocksOf(mark, DamagedBoard(), strain, calib()).front().why.find("which opens it"),
            std::string::npos);
}

}  // namespace
}  // namespace lieflat
