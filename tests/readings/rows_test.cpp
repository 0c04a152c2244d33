// Sheets into rows: units, decimal marks, stacks, one-sided rows.

#include "readings/support.h"

namespace lieflat {
namespace {

using testing::Board305;
using testing::Rows;

constexpr double kTolMm = 1e-12;  // conversions are exact to rounding

TEST(Rows, UnitsAndDecimalMarks) {
  // 1 mil = 0.0254 mm, 1 in = 25.4 mm, both exact by definition
  const auto plain =
      Rows("station,height_mm,u_mm\nA,12mil,1mil\nB,0.5in,\nC,0.85,0.02\n", Rest::kPoints);
  ASSERT_TRUE(plain) << plain.error().Text();
  EXPECT_NEAR(*(*plain)[0].value_mm, 0.3048, kTolMm);
  EXPECT_NEAR(*(*plain)[0].u_mm, 0.0254, kTolMm);
  EXPECT_NEAR(*(*plain)[1].value_mm, 12.7, kTolMm);
  EXPECT_FALSE((*plain)[1].u_mm);
  const auto comma =
      Rows("station;height_mm;u_mm\nA;0,3048;0,0254\nB;12,7;\nC;0,85;0,02\n", Rest::kPoints);
  ASSERT_TRUE(comma) << comma.error().Text();
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(*(*comma)[i].value_mm, *(*plain)[i].value_mm, kTolMm);
  }
}

TEST(Rows, UprightColumns) {
  const auto rows =
      Rows("Edge,Side,At_mm,Gap_mm\nAB,solder,,1.5\nBC,component,0,0.7\nBC,component,244,0.9\n",
           Rest::kUpright);
  ASSERT_TRUE(rows) << rows.error().Text();
  ASSERT_EQ(rows->size(), 3U);
  EXPECT_EQ((*rows)[0].edge, Edge::kAB);
  EXPECT_EQ((*rows)[0].side, Side::kSolder);
  EXPECT_FALSE((*rows)[0].along_mm);
  EXPECT_NEAR(*(*rows)[2].along_mm, 244.0, kTolMm);
  EXPECT_EQ((*rows)[2].line, 4);
}

TEST(Rows, StackOfBlades) {
  const auto rows =
      Rows("edge;side;go_mm;no_go_mm\nAB;solder;1,00+0,40;1,00+0,45\nBC;solder;0,5;0,55\n",
           Rest::kUpright);
  ASSERT_TRUE(rows) << rows.error().Text();
  EXPECT_NEAR(*(*rows)[0].go_mm, 1.40, kTolMm);
  EXPECT_NEAR(*(*rows)[0].no_go_mm, 1.45, kTolMm);
  EXPECT_EQ((*rows)[0].blades, 2);
  EXPECT_EQ((*rows)[1].blades, 1);
}

TEST(Rows, OneSidedRowsOfOnePlaceAreJoined) {
  const auto rows = Rows(
      "edge,side,at_mm,go_mm,no_go_mm\n"
      "AB,solder,,1.00,\nAB,solder,,1.20,\nAB,solder,,,1.50\nAB,solder,,,1.30\n"  // 1.20 to 1.30
      "AB,component,,,0.05\n"                                                     // 0 to 0.05
      "BC,solder,,0.50,0.55\nBC,solder,,0.45,0.55\n"                              // two repeats
      "CD,solder,,0.50,\nCD,solder,,0.40,0.60\n",                                 // 0.50 to 0.60
      Rest::kUpright);
  ASSERT_TRUE(rows) << rows.error().Text();
  ASSERT_EQ(rows->size(), 5U);
  EXPECT_NEAR(*(*rows)[0].go_mm, 1.20, kTolMm);
  EXPECT_NEAR(*(*rows)[0].no_go_mm, 1.30, kTolMm);
  EXPECT_FALSE((*rows)[1].go_mm);
  EXPECT_NEAR(*(*rows)[1].no_go_mm, 0.05, kTolMm);
  EXPECT_NEAR(*(*rows)[3].go_mm, 0.45, kTolMm);
  EXPECT_NEAR(*(*rows)[4].go_mm, 0.50, kTolMm);
  EXPECT_NEAR(*(*rows)[4].no_go_mm, 0.60, kTolMm);
}

TEST(Rows, PlacesOfStationsAndRests) {
  const Board board = Board305();
  EXPECT_TRUE(StationPlace("BC", board)->isApprox(Eigen::Vector2d(305, 122)));
  EXPECT_TRUE(StationPlace("M", board)->isApprox(Eigen::Vector2d(152.5, 122)));
  EXPECT_FALSE(StationPlace("E", board));
  const auto rests = SupportsFromText("61:49,B,CD", board, "--at");
  ASSERT_TRUE(rests) << rests.error().Text();
  EXPECT_TRUE((*rests)[0].at_mm.isApprox(Eigen::Vector2d(61, 49)));
  EXPECT_EQ((*rests)[1].station, "B");
  EXPECT_TRUE((*rests)[2].at_mm.isApprox(Eigen::Vector2d(152.5, 244)));
}

}  // namespace
}  // namespace lieflat
