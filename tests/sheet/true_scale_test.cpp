// The printed page, rendered by poppler, measured on its pixels: 254 dots an inch is 10 a
// millimetre.

#include <gtest/gtest.h>

#include "lieflat/sheet/print.h"

#include "support/fixed_clock.h"
#include "support/pdf_page.h"

namespace lieflat {
namespace {

using testing::GreyPage;

constexpr double kDotsPerMm = 10.0;
constexpr double kToleranceMm = 0.05;  // half a dot

/// Centres of the dark runs along a row (or a column), mm from its start, weighted by darkness.
std::vector<double> DarkRuns(const GreyPage& page, int fixed, bool along_row, int from, int to) {
  std::vector<double> centres;
  double weight = 0.0, moment = 0.0;
  for (int i = from; i <= to; ++i) {
    const double dark = 255.0 - (i == to     ? 255.0
                                 : along_row ? page.At(i, fixed)
                                             : page.At(fixed, i));
    if (dark > 60.0) {
      weight += dark;
      moment += dark * (i + 0.5);
    } else if (weight > 0.0) {
      centres.push_back(moment / weight / kDotsPerMm);
      weight = moment = 0.0;
    }
  }
  return centres;
}

std::string Pdf(const std::string& paper) {
  const auto pdf = SheetsPdf(
      {SheetKind::kLay, SheetKind::kStand}, paper, Calib::Embedded(), testing::FixedClock().Now());
  EXPECT_TRUE(pdf) << pdf.error().Text();
  return pdf ? *pdf : "";
}

/// A mat's page of a file.
struct Printout {
  MatLayout layout;
  GreyPage page;
};

/// Lay and stand mat of a paper, then its tiles.
std::vector<Printout> AllOf(const std::string& paper) {
  const Calib& calib = Calib::Embedded();
  std::vector<Printout> all;
  const std::string mats = Pdf(paper);
  for (const bool stand : {false, true})
    all.push_back({MatFor(calib, paper, stand), testing::RenderPdf(mats, stand ? 2 : 1, 254)});
  const auto tiles = TilesFor(calib, paper);
  if (tiles.empty()) return all;
  const auto pdf = SheetsPdf({SheetKind::kLay}, paper, calib, testing::FixedClock().Now(), {2, 2});
  EXPECT_TRUE(pdf) << pdf.error().Text();
  for (const MatLayout& tile : tiles)
    all.push_back({tile, testing::RenderPdf(pdf ? *pdf : "", tile.tile, 254)});
  return all;
}

class TrueScale : public ::testing::TestWithParam<std::string> {};

TEST_P(TrueScale, BothRulersMeasureTheirLength) {
  const auto paper = PaperNamed(Calib::Embedded(), GetParam());
  for (const auto& [layout, page] : AllOf(GetParam())) {
    SCOPED_TRACE(layout.id);
    ASSERT_NEAR(page.width, paper->size_mm.x() * kDotsPerMm, 1.0) << "is pdftoppm installed?";
    ASSERT_NEAR(page.height, paper->size_mm.y() * kDotsPerMm, 1.0);
    // The lower ruler's ticks stand on a line 7 mm above the paper's edge; 1 mm higher all are cut.
    const int row = static_cast<int>((paper->size_mm.y() - 8.0) * kDotsPerMm);
    const int left = static_cast<int>((layout.origin_on_page_mm.x() - 2.0) * kDotsPerMm);
    const int right =
        static_cast<int>((layout.origin_on_page_mm.x() + layout.ruler_mm + 2.0) * kDotsPerMm);
    const auto x = DarkRuns(page, row, true, left, right);
    ASSERT_EQ(x.size(), static_cast<std::size_t>(layout.ruler_mm / 10.0) + 1);
    EXPECT_NEAR(x[10] - x[0], 100.0, kToleranceMm);
    EXPECT_NEAR(x.back() - x.front(), layout.ruler_mm, kToleranceMm);
    // The left one's line stands 10 mm from the edge, its ticks point to the left.
    const int bottom =
        static_cast<int>((paper->size_mm.y() - layout.origin_on_page_mm.y() + 2.0) * kDotsPerMm);
    const int top = bottom - static_cast<int>((layout.ruler_mm + 4.0) * kDotsPerMm);
    const auto y = DarkRuns(page, static_cast<int>(9.0 * kDotsPerMm), false, top, bottom);
    ASSERT_EQ(y.size(), static_cast<std::size_t>(layout.ruler_mm / 10.0) + 1);
    EXPECT_NEAR(y[10] - y[0], 100.0, kToleranceMm);
    EXPECT_NEAR(y.back() - y.front(), layout.ruler_mm, kToleranceMm);
  }
}

TEST_P(TrueScale, SquaresAndMarkersLieWhereTheLayoutSays) {
  const MarkerFamily family = MarkerFamilyOf(Calib::Embedded(), "mat");
  for (const Printout& printout : AllOf(GetParam())) {
    const MatLayout& layout = printout.layout;
    const GreyPage& page = printout.page;
    if (layout.stand) continue;
    SCOPED_TRACE(layout.id);
    ASSERT_GT(page.width, 0);
    const auto dark = [&](const Eigen::Vector2d& at_mm) {
      const Eigen::Vector2d on_page = layout.origin_on_page_mm + at_mm;
      return page.At(static_cast<int>(on_page.x() * kDotsPerMm),
                     page.height - 1 - static_cast<int>(on_page.y() * kDotsPerMm)) < 128.0;
    };
    for (int column = 0; column < layout.columns; ++column) {
      for (int row = 0; row < layout.rows; ++row) {
        const Eigen::Vector2d near_corner = layout.Corner(column, row) + Eigen::Vector2d(0.5, 0.5);
        EXPECT_EQ(dark(near_corner), (column + row) % 2 == 0) << column << " " << row;
      }
    }
    const int cells = family.bits + 2;
    const double cell = layout.marker_mm / cells;
    for (const MatMarker& marker : layout.Markers()) {
      for (int row = 0; row < cells; ++row) {
        for (int column = 0; column < cells; ++column) {
          const Eigen::Vector2d at =
              marker.centre_mm + Eigen::Vector2d((column + 0.5) * cell - layout.marker_mm / 2.0,
                                                 layout.marker_mm / 2.0 - (row + 0.5) * cell);
          EXPECT_EQ(dark(at), !family.White(marker.id, row, column)) << marker.id;
        }
      }
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Papers,
                         TrueScale,
                         ::testing::ValuesIn(PaperNames(Calib::Embedded())),
                         [](const auto& paper) { return paper.param; });

TEST(Sheets, TilesThatThereAreNotAreRefused) {
  const auto now = testing::FixedClock().Now();
  const auto many = SheetsPdf({SheetKind::kLay}, "a4", Calib::Embedded(), now, {3, 2});
  ASSERT_FALSE(many);
  EXPECT_EQ(
      many.error().Text(),
      "--tiles: 3x2 are 6 pages, and there are 4 tiles (fewer columns or rows: 2x1, 1x2, 2x2)");
  const auto none = SheetsPdf({SheetKind::kLay}, "a3", Calib::Embedded(), now, {2, 1});
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().Text(), "--tiles: the paper a3 has none (--paper a4 or letter)");
}

TEST(Sheets, TheSameDateGivesTheSameBytes) { EXPECT_EQ(Pdf("a4"), Pdf("a4")); }

}  // namespace
}  // namespace lieflat
