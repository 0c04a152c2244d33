// Presets and plain rectangles.

#include <gtest/gtest.h>

#include "lieflat/board/board.h"
#include "lieflat/board/polygon.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

TEST(Presets, EveryOneIsAValidBoard) {
  const std::vector<std::string> names = PresetNames(calib());
  ASSERT_GE(names.size(), 10U);
  for (const std::string& name : names) {
    SCOPED_TRACE(name);
    const auto board = PresetBoard(name, calib());
    ASSERT_TRUE(board) << board.error().Text();
    EXPECT_EQ(board->preset, name);
    EXPECT_TRUE(board->corners_are_outline);
    EXPECT_GE(board->EdgeLength(Edge::kAB), board->EdgeLength(Edge::kBC));
    for (const Hole& hole : board->holes) EXPECT_TRUE(OnBoard(*board, hole.centre_mm));
    const auto again = ParseBoard(ToJson(*board), "b", calib());
    ASSERT_TRUE(again) << again.error().Text();
    EXPECT_EQ(ToJson(*again), ToJson(*board));
  }
}

// IEC 60297-3 and IEEE 1101.1: 160 x 100 mm; ATX specification 2.2: 12 x 9.6 in, printed as 305 x
// 244 mm.
TEST(Presets, SizesOfTheStandards) {
  EXPECT_EQ(PresetBoard("eurocard-3u", calib())->corners_mm[2], Eigen::Vector2d(160, 100));
  EXPECT_EQ(PresetBoard("atx", calib())->corners_mm[2], Eigen::Vector2d(305, 244));
  EXPECT_EQ(PresetBoard("atx", calib())->holes.size(), 9U);
}

// The holes that ATX boards and their smaller relatives share lie 6.2 in (157.48 mm) apart along
// the connector edge and 6.1 in (154.94 mm) across (from memory).
TEST(Presets, HolePatternsOfOneFamilyAgree) {
  constexpr double kTolMm = 0.01;  // positions are stated to 0.01 mm
  for (const char* name : {"atx", "micro-atx", "mini-itx"}) {
    SCOPED_TRACE(name);
    const auto board = PresetBoard(name, calib());
    ASSERT_TRUE(board);
    const double right = board->holes[0].centre_mm.x();
    EXPECT_NEAR(right - board->holes[1].centre_mm.x(), 157.48, kTolMm);
    const std::size_t second_row = board->holes.size() == 4 ? 3 : 4;
    EXPECT_NEAR(
        board->holes[1].centre_mm.y() - board->holes[second_row].centre_mm.y(), 154.94, kTolMm);
  }
}

TEST(Presets, PartGroupsNameKnownClasses) {
  const Json& groups = calib().Document("presets").at("part_groups");
  const std::vector<std::string> classes = calib().Keys("part_classes", "/classes");
  ASSERT_FALSE(groups.empty());
  for (const auto& [name, group] : groups.items()) {
    for (const Json& part : group.at("parts")) {
      EXPECT_NE(std::find(classes.begin(), classes.end(), part.at("class").get<std::string>()),
                classes.end())
          << name;
    }
  }
  for (const auto& [name, preset] : calib().Document("presets").at("presets").items()) {
    if (!preset.contains("usual_parts")) continue;
    for (const Json& group : preset.at("usual_parts"))
      EXPECT_TRUE(groups.contains(group.get<std::string>())) << name;
  }
}

TEST(Presets, UnknownNamesAreRefused) {
  const auto near = PresetBoard("atxx", calib());
  ASSERT_FALSE(near);
  EXPECT_EQ(near.error().code, ErrorCode::kBadUse);
  EXPECT_EQ(near.error().message, "\"atxx\" is no preset that is known");
  EXPECT_EQ(near.error().remedy.rfind("did you mean \"atx\"? known: atx, micro-atx", 0), 0U)
      << near.error().remedy;
  Board board = RectangularBoard(300, 200, calib()).value();
  const auto laminate = SetLaminate(board, "steel", calib());
  ASSERT_FALSE(laminate);
  EXPECT_EQ(laminate.error().Text(),
            "laminate: \"steel\" is no laminate that is known (known: fr4-tg130, fr4-tg150, "
            "fr4-tg170, cem-1, cem-3, fr2)");
  EXPECT_EQ(board.laminate_name, "fr4-tg130") << "a refusal changes nothing";
}

TEST(RectangularBoard, TheLongerSideLiesAlongX) {
  const auto board = RectangularBoard(244, 305, calib());
  ASSERT_TRUE(board);
  EXPECT_EQ(board->EdgeLength(Edge::kAB), 305.0);
  // sqrt(305^2 + 244^2) = 390.591
  EXPECT_NEAR(board->Diagonal(), 390.591, 5e-4);
}

TEST(RectangularBoard, SizesOutsideAreRefused) {
  EXPECT_EQ(
      RectangularBoard(300, 15, calib()).error().Text(),
      "size: 15 mm is outside 20 to 700 mm (give length and width in mm, for example 305x244)");
  EXPECT_EQ(
      RectangularBoard(701, 200, calib()).error().Text(),
      "size: 701 mm is outside 20 to 700 mm (give length and width in mm, for example 305x244)");
  EXPECT_FALSE(RectangularBoard(std::nan(""), 200, calib()));
}

}  // namespace
}  // namespace lieflat
