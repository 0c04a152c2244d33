// Where corners and stickers are found against exact truth: rendered photos, rays of the renderer's
// own lens.

#include <gtest/gtest.h>

#include "lieflat/photo/seen.h"

#include "support/counts.h"
#include "support/render/sets.h"

namespace lieflat {
namespace {

using testing::RenderedSet;

/// A corner of the printed sheet where the scene has it.
Eigen::Vector3d InWorld(const testing::PrintedSheet& sheet, const Eigen::Vector2d& nominal) {
  const double x = sheet.scale_x * nominal.x() + sheet.shear * nominal.y();
  const double y = sheet.scale_y * nominal.y();
  return {x, y, sheet.Height(x, y)};
}

TEST(Corners, LieWithinAFiftiethOfAPixelOfTheTruth) {
  testing::SetOptions options;
  options.width = 2400;
  options.height = 1800;
  options.photos = testing::Count(2, 5);
  Random random(20260301);
  RenderedSet set = testing::DrawLyingSet(Calib::Embedded(), options, random);
  testing::Photograph(set, options, random);
  const Printed printed = Printed::Of(Calib::Embedded());
  const MatLayout& mat = set.scene.sheet.layout;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const auto picture = DecodePicture(set.files[i], "rendered", Colours::kGrey);
    ASSERT_TRUE(picture) << picture.error().Text();
    const SeenPhoto seen = LookAt(*picture, "rendered", printed);
    EXPECT_EQ(seen.sheet, "lay-a3");
    ASSERT_GT(seen.corners.size(), 100U);
    Eigen::Vector2d sum = Eigen::Vector2d::Zero();
    double squares = 0.0;
    int count = 0, wild = 0;
    for (const SeenCorner& corner : seen.corners) {
      const auto truth = testing::TruePixel(
          set.phone, set.poses[i], InWorld(set.scene.sheet, mat.Corner(corner.column, corner.row)));
      const Eigen::Vector2d off = corner.at_px - truth;
      if (off.norm() > 1.0) {  // half hidden by the board: the bundle cuts it
        ++wild;
        continue;
      }
      sum += off;
      squares += off.squaredNorm();
      ++count;
    }
    EXPECT_LE(wild, 3);
    const Eigen::Vector2d bias = sum / count;
    EXPECT_LT(bias.norm(), 0.02) << bias.transpose();
    EXPECT_LT(std::sqrt(squares / (2 * count)), 0.08);
    EXPECT_GE(seen.stickers.size() + 1, set.scene.board->stickers.size());
  }
}

}  // namespace
}  // namespace lieflat
