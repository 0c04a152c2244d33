// The scale of a photographed board from where its lettered stickers lie. Truth: stickers drawn
// evenly between flush with their edges and 1 mm inside, which nobody who presses them on by hand
// avoids (common practice), then shrunk by the printer and turned.

#include "photo/place.h"

#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

namespace lieflat::internal {
namespace {

const Board& Described() {
  static const Board board = *RectangularBoard(305.0, 244.0, Calib::Embedded());
  return board;
}

/// As measured on a sheet whose millimetres are `scale` mm long, turned by some degrees.
std::vector<Measured> Pushed(double scale, Random& random) {
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  const double size_mm = layout.sizes_mm[0];
  const double flush = 0.5 * size_mm + layout.rim_mm;
  const Eigen::Vector2d s(305.0, 244.0);
  const Eigen::Rotation2Dd turn(random.Uniform(-0.1, 0.1));
  std::vector<Measured> out;
  const auto add = [&](const std::string& name, double x, double y) {
    const double in_x = flush + random.Uniform(0.0, 1.0), in_y = flush + random.Uniform(0.0, 1.0);
    const auto place = [](double share, double in, double side) {
      return share == 0.5 ? 0.5 * side : share == 0.0 ? in : side - in;
    };
    const Eigen::Vector2d at(place(x, in_x, s.x()), place(y, in_y, s.y()));
    out.push_back({*layout.IdOf(name), turn * at / scale, size_mm});
  };
  add("A", 0, 0), add("B", 1, 0), add("C", 1, 1), add("D", 0, 1);
  add("AB", 0.5, 0), add("BC", 1, 0.5), add("CD", 0.5, 1), add("DA", 0, 0.5);
  return out;
}

TEST(Place, ScaleFromLabelsThatLieShortOfTheirEdgesIsNotBiased) {
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  Random random(20);
  constexpr int kCount = 500;
  double sum = 0.0;
  int held = 0;
  for (int i = 0; i < kCount; ++i) {
    const double scale = 1.0 + random.Uniform(-0.004, 0.004);
    const auto placing = PlaceOnBoard(
        Pushed(scale, random), Described(), Side::kSolder, {}, layout, {}, Calib::Embedded());
    ASSERT_TRUE(placing) << placing.error().Text();
    const double off = placing->scale / scale - 1.0;
    sum += off;
    held += std::abs(off) <= 1.96 * placing->scale_u ? 1 : 0;
    EXPECT_TRUE(placing->doubts.empty());
  }
  // Half a millimetre short at both ends of 305 mm would be 0.33 %. The mean of 500 draws is known
  // to 0.0001: each has about 0.29 mm (JCGM 100:2008, 4.3.7) on eight labels 150 mm away.
  EXPECT_NEAR(sum / kCount, 0.0, 1.5e-4);
  EXPECT_GE(held, 0.93 * kCount);
}

TEST(Place, ALabelFarFromItsCornerIsNamed) {
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  Random random(21);
  auto stickers = Pushed(1.0, random);
  stickers[2].at_mm.y() -= 15.0;  // C
  const auto placing =
      PlaceOnBoard(stickers, Described(), Side::kSolder, {}, layout, {}, Calib::Embedded());
  ASSERT_TRUE(placing) << placing.error().Text();
  ASSERT_EQ(placing->doubts.size(), 1U);
  EXPECT_NE(placing->doubts[0].find("sticker C lies"), std::string::npos) << placing->doubts[0];
}

TEST(Place, LettersThatRunTheOtherWayRoundAreRefused) {
  const StickerLayout layout = StickerLayoutOf(Calib::Embedded());
  Random random(22);
  const auto placing = PlaceOnBoard(
      Pushed(1.0, random), Described(), Side::kComponent, {}, layout, {}, Calib::Embedded());
  ASSERT_FALSE(placing);
  EXPECT_NE(placing.error().Text().find("--down solder"), std::string::npos)
      << placing.error().Text();
}

}  // namespace
}  // namespace lieflat::internal
