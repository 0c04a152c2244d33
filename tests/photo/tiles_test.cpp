// A lay sheet of several pages: where each tile lies is found, and what cannot be measured is
// refused with its reason.

#include <cmath>
#include <functional>
#include <numbers>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "lieflat/photo/board_picture.h"
#include "lieflat/photo/document.h"
#include "lieflat/photo/lying.h"

#include "support/render/sets.h"

namespace lieflat {
namespace {

using testing::PrintedSheet;
using testing::RenderedSet;
using testing::SetOptions;

const Printed& Sheets() {
  static const Printed printed = Printed::Of(Calib::Embedded());
  return printed;
}

SetOptions FourTiles() {
  SetOptions options;
  options.paper = "a4";
  options.tile_columns = options.tile_rows = 2;
  options.board_mm = {305, 244};
  options.width = 1800;
  options.height = 1350;
  return options;
}

RenderedSet DrawSet(const std::function<void(RenderedSet&)>& change = {}) {
  Random random(5601);
  RenderedSet set = testing::DrawLyingSet(Calib::Embedded(), FourTiles(), random);
  if (change) change(set);
  set.scene.Prepare();
  testing::Photograph(set, FourTiles(), random);
  return set;
}

std::vector<SeenPhoto> Look(const RenderedSet& set) {
  std::vector<SeenPhoto> photos;
  for (std::size_t i = 0; i < set.files.size(); ++i) {
    const std::string name = "photo " + std::to_string(i + 1);
    photos.push_back(LookAt(*DecodePicture(set.files[i], name, Colours::kGrey), name, Sheets()));
  }
  return photos;
}

Result<LyingResult> Measure(const std::vector<SeenPhoto>& photos) {
  LyingRequest request;
  request.held.rest = Rest::kUpright;
  return MeasureLying(photos,
                      testing::DescribedBoard(Calib::Embedded(), FourTiles().board_mm),
                      request,
                      Sheets(),
                      Calib::Embedded());
}

std::string Refused(const std::vector<SeenPhoto>& photos) {
  const auto result = Measure(photos);
  EXPECT_FALSE(result);
  if (result) return "";
  EXPECT_EQ(result.error().code, ErrorCode::kNoFigure);
  return result.error().Text();
}

/// The usual set as it is seen, rendered once.
const RenderedSet& Usual() {
  static const RenderedSet set = DrawSet();
  return set;
}
const std::vector<SeenPhoto>& UsualSeen() {
  static const std::vector<SeenPhoto> photos = Look(Usual());
  return photos;
}

/// Each tile lies where the renderer put it: in the frame of the first listed, whose print is the
/// measure of length. Print and paper leave some tenths of a millimetre over a page.
TEST(Tiles, EachIsFoundWhereItLies) {
  const auto result = Measure(UsualSeen());
  ASSERT_TRUE(result) << result.error().Text();
  EXPECT_EQ(result->sheet, "lay-a4-tiles");
  EXPECT_EQ(result->reading.sheet, "lay-a4-tiles/1");
  ASSERT_EQ(result->tiles.size(), 4U);
  const auto page = [](int number) -> const PrintedSheet& {
    return number == 1 ? Usual().scene.sheet
                       : Usual().scene.beside.at(static_cast<std::size_t>(number) - 2);
  };
  const PrintedSheet& first = page(result->tiles.front().number);
  for (const LaidTile& tile : result->tiles) {
    const PrintedSheet& lies = page(tile.number);
    EXPECT_EQ(lies.layout.id, tile.id);
    const Eigen::Vector2d at =
        Eigen::Rotation2Dd(-first.turned_rad) * (lies.at_mm - first.at_mm) / first.scale_x;
    EXPECT_LT((tile.at_mm - at).norm(), 0.8) << tile.id;
    EXPECT_NEAR(tile.turned_rad, lies.turned_rad - first.turned_rad, 0.002) << tile.id;
  }
  const Json json = ToJson(*result);
  EXPECT_EQ(json.at("tiles").size(), 4U);
  EXPECT_EQ(json.at("tiles").at(0).at("x_mm"), 0.0);
  EXPECT_NE(ToText(*result).find("on lay-a4-tiles, tiles 1, 2, 3, 4"), std::string::npos);
}

void WithoutTiles(SeenPhoto& photo, const std::vector<int>& tiles) {
  std::erase_if(photo.corners, [&](const SeenCorner& corner) {
    return std::find(tiles.begin(), tiles.end(), corner.tile) != tiles.end();
  });
}

/// Some photos show the left half only, the others the right half.
TEST(Tiles, ThoseThatNoPhotoTiesToTheOthersAreNamed) {
  auto photos = UsualSeen();
  for (std::size_t i = 0; i < photos.size(); ++i)
    WithoutTiles(photos[i], i == 1 || i == 4 ? std::vector{1, 3} : std::vector{2, 4});
  const std::string said = Refused(photos);
  EXPECT_NE(said.find("tiles 2, 4: no photo shows them together with tiles 1, 3"),
            std::string::npos)
      << said;
  EXPECT_NE(said.find("step back"), std::string::npos) << said;
}

/// A tile that is in no photo at all is not needed.
TEST(Tiles, OneThatIsNotThereIsNotMissed) {
  auto photos = UsualSeen();
  for (auto& photo : photos) WithoutTiles(photo, {3});
  const auto result = Measure(photos);
  ASSERT_TRUE(result) << result.error().Text();
  EXPECT_EQ(result->tiles.size(), 3U);
}

/// Tiles tied in a chain: no photo shows all.
TEST(Tiles, AreTiedThroughEachOther) {
  auto photos = UsualSeen();
  WithoutTiles(photos[0], {3, 4});
  WithoutTiles(photos[1], {1, 3});
  WithoutTiles(photos[2], {1, 2});
  WithoutTiles(photos[3], {3, 4});
  WithoutTiles(photos[4], {1, 2});
  const auto result = Measure(photos);
  ASSERT_TRUE(result) << result.error().Text();
  EXPECT_EQ(result->tiles.size(), 4U);
}

TEST(Tiles, TheSameOneTwiceIsRefused) {
  const auto set =
      DrawSet([](RenderedSet& drawn) { drawn.scene.beside[0].layout = drawn.scene.sheet.layout; });
  const std::string said = Refused(Look(set));
  EXPECT_NE(said.find("the tile 1 of the lay sheet, A4, lies there twice"), std::string::npos)
      << said;
}

TEST(Tiles, OfTwoKindsAreRefused) {
  const auto set = DrawSet([](RenderedSet& drawn) {
    drawn.scene.beside[0].layout = TilesFor(Calib::Embedded(), "letter").at(1);
  });
  const std::string said = Refused(Look(set));
  EXPECT_NE(said.find("tiles of one kind only"), std::string::npos) << said;
  EXPECT_NE(said.find("tile 2 of the lay sheet, Letter"), std::string::npos) << said;
}

TEST(Tiles, AreNoGroundForAPictureToScale) {
  EXPECT_NE(WhyNoPicture(UsualSeen().back(), Sheets(), Calib::Embedded()).find("one page"),
            std::string::npos);
}

}  // namespace
}  // namespace lieflat
