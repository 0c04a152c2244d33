#include "lieflat/sheet/layout.h"

#include <bit>
#include <set>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

/// The pattern turned a quarter, or mirrored, read back cell by cell.
std::uint64_t Moved(std::uint64_t word, int bits, bool mirror) {
  std::uint64_t moved = 0;
  for (int row = 0; row < bits; ++row) {
    for (int column = 0; column < bits; ++column) {
      const int from_row = mirror ? row : bits - 1 - column;
      const int from_column = mirror ? bits - 1 - column : row;
      const int place = bits * bits - 1 - (from_row * bits + from_column);
      moved = (moved << 1U) | ((word >> place) & 1U);
    }
  }
  return moved;
}

/// Every pattern differs from every other one, from its own turns, and from all mirror images (a
/// sheet printed mirrored is known as such), in at least the promised number of cells.
TEST(Markers, NoTwoLookAlikeHoweverTurnedOrMirrored) {
  for (const char* name : {"mat", "sticker"}) {
    const MarkerFamily family = MarkerFamilyOf(Calib::Embedded(), name);
    ASSERT_GE(family.words.size(), 64U);
    std::vector<std::array<std::uint64_t, 8>> forms;
    for (const std::uint64_t word : family.words) {
      std::array<std::uint64_t, 8> all{};
      all[0] = word;
      for (std::size_t i = 1; i < 4; ++i) all[i] = Moved(all[i - 1], family.bits, false);
      all[4] = Moved(word, family.bits, true);
      for (std::size_t i = 5; i < 8; ++i) all[i] = Moved(all[i - 1], family.bits, false);
      forms.push_back(all);
    }
    int least = family.bits * family.bits;
    for (std::size_t i = 0; i < forms.size(); ++i) {
      for (std::size_t j = i; j < forms.size(); ++j) {
        for (std::size_t k = i == j ? 1 : 0; k < 8; ++k) {
          least = std::min(least, std::popcount(forms[i][0] ^ forms[j][k]));
        }
      }
    }
    EXPECT_GE(least, family.distance) << name;
  }
}

TEST(Markers, TheSheetsShareNone) {
  std::set<int> seen;
  std::set<std::string> ids;
  const MarkerFamily family = MarkerFamilyOf(Calib::Embedded(), "mat");
  for (const MatLayout& layout : MatLayouts(Calib::Embedded())) {
    EXPECT_TRUE(ids.insert(layout.id + std::to_string(layout.version)).second);
    for (const MatMarker& marker : layout.Markers()) {
      EXPECT_TRUE(seen.insert(marker.id).second) << layout.id << " " << marker.id;
      EXPECT_LT(static_cast<std::size_t>(marker.id), family.words.size());
      EXPECT_FALSE(layout.Black(marker.column, marker.row));
    }
  }
}

TEST(Tiles, AreAlikeNumberedAndOfNoUseAlone) {
  for (const char* paper : {"a4", "letter"}) {
    const auto tiles = TilesFor(Calib::Embedded(), paper);
    ASSERT_EQ(tiles.size(), 4U);
    int number = 0;
    for (const MatLayout& tile : tiles) {
      EXPECT_EQ(tile.tile, ++number);
      EXPECT_EQ(tile.sheet, std::string("lay-") + paper + "-tiles");
      EXPECT_FALSE(tile.stand);
      EXPECT_EQ(tile.columns, tiles[0].columns);
      EXPECT_EQ(tile.rows, tiles[0].rows);
      EXPECT_EQ(tile.square_mm, tiles[0].square_mm);
      EXPECT_EQ(tile.ruler_mm, tiles[0].ruler_mm);
    }
    EXPECT_EQ(MatFor(Calib::Embedded(), paper, false).tile, 0);
  }
  EXPECT_TRUE(TilesFor(Calib::Embedded(), "a3").empty());
}

TEST(Mats, FitTheirPaperWithRoomForTheRulers) {
  constexpr double kUnprintableMm = 5.0;
  for (const MatLayout& layout : MatLayouts(Calib::Embedded())) {
    const auto paper = PaperNamed(Calib::Embedded(), layout.paper);
    ASSERT_TRUE(paper);
    const Eigen::Vector2d low = layout.origin_on_page_mm;
    const Eigen::Vector2d high = low + Eigen::Vector2d(layout.width_mm(), layout.height_mm());
    EXPECT_GT(low.minCoeff(), 2.0 * kUnprintableMm) << layout.id;
    EXPECT_GT((paper->size_mm - high).minCoeff(), 2.0 * kUnprintableMm) << layout.id;
    EXPECT_LT(low.y() + layout.ruler_mm, paper->size_mm.y()) << layout.id;
  }
}

TEST(Mats, TheBandOfAStandMatIsBlankAndWideEnough) {
  for (const MatLayout& layout : MatLayouts(Calib::Embedded())) {
    if (!layout.stand) continue;
    const Band& band = *layout.band;
    const double deep = (band.to_row - band.from_row) * layout.square_mm;
    EXPECT_GE(deep, 50.0);
    EXPECT_LE(deep, 60.0);
    EXPECT_GE(band.from_row, 5) << "rows in front, towards the camera";
    EXPECT_FALSE(layout.HasCorner(band.from_column, band.from_row));
    EXPECT_TRUE(layout.HasCorner(1, band.from_row + 1)) << "corners beyond the board's end";
    EXPECT_FALSE(layout.Black(band.from_column, band.from_row));
  }
}

TEST(Stickers, AreNamedByLetterThenByNumber) {
  const StickerLayout stickers = StickerLayoutOf(Calib::Embedded());
  EXPECT_EQ(stickers.NameOf(0), "A");
  EXPECT_EQ(stickers.NameOf(8), "M");
  EXPECT_EQ(stickers.NameOf(9), "9");
  EXPECT_EQ(stickers.IdOf("BC"), 5);
  EXPECT_EQ(stickers.IdOf("64"), std::nullopt);
}

TEST(Paper, AnUnknownNameIsRefused) {
  const auto paper = PaperNamed(Calib::Embedded(), "a5");
  ASSERT_FALSE(paper);
  EXPECT_EQ(paper.error().Text(),
            "--paper: no paper is named \"a5\" (one of a4, letter, a3, tabloid)");
}

}  // namespace
}  // namespace lieflat
