// The bow of a standing edge from rendered photos against the edge that was rendered. Renderer,
// method and what is believed of the view were settled on seeds 6001 to 6028, 7101, 7301, 7302 and
// 8001 to 8160; what is believed of three photos' common bend after a full count of seeds 7501 to
// 7530 (inside .862). The seeds below were drawn afterwards.

#include "lieflat/photo/standing.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <gtest/gtest.h>

#include "support/counts.h"
#include "support/standing_photos.h"

namespace lieflat {
namespace {

using testing::RenderedSet;
using testing::SetOptions;

struct Tally {
  int sets = 0, inside = 0, points = 0, points_inside = 0;
  double squares = 0.0, worst = 0.0;
  std::vector<double> widths;
  void Add(const StandingResult& result, const testing::StandingBoard& board) {
    // The face seen is the component side: away from the phone is negative.
    const double error = result.deepest.departure_mm + testing::TrueBow(board);
    const double width = 1.96 * result.deepest.u_mm;
    ++sets;
    squares += error * error;
    worst = std::max(worst, std::abs(error));
    widths.push_back(width);
    inside += std::abs(error) <= width ? 1 : 0;
    for (const StandingPoint& point : result.points) {
      const double off = point.departure_mm + board.Departure(point.at_mm);
      ++points;
      points_inside += std::abs(off) <= 1.96 * point.u_mm ? 1 : 0;
    }
  }
  [[nodiscard]] double rms() const { return std::sqrt(squares / sets); }
  [[nodiscard]] double width() const {
    std::vector<double> sorted = widths;
    std::sort(sorted.begin(), sorted.end());
    return sorted[sorted.size() / 2];
  }
  void Print(const char* what) const {
    std::printf(
        "%s: %d sets, bow rms %.4f mm, worst %.4f mm, median half-width %.4f mm, inside "
        "%.3f; points inside %.3f\n",
        what,
        sets,
        rms(),
        worst,
        width(),
        static_cast<double>(inside) / sets,
        static_cast<double>(points_inside) / points);
  }
};

Tally MeasureSets(const SetOptions& options, int first_seed, int count) {
  Tally tally;
  for (int i = 0; i < count; ++i) {
    Random random(static_cast<std::uint64_t>(first_seed + i));
    RenderedSet set = testing::DrawStandingSet(Calib::Embedded(), options, random);
    testing::Photograph(set, options, random);
    const auto result = testing::MeasureStandingSet(testing::LookStanding(set), options);
    EXPECT_TRUE(result) << first_seed + i << ": " << result.error().Text();
    if (!result) continue;
    tally.Add(*result, *set.scene.standing);
    if (std::getenv("LIEFLAT_SHOW") != nullptr) {
      std::printf("%d: true %.3f seen %.3f +- %.3f, length %.2f, scatter %.3f, share %.2f\n",
                  first_seed + i,
                  -testing::TrueBow(*set.scene.standing),
                  result->deepest.departure_mm,
                  1.96 * result->deepest.u_mm,
                  result->length_mm,
                  result->scatter_mm,
                  result->inlier_share);
      tally.Print("so far");
      std::fflush(stdout);
    }
  }
  return tally;
}

/// Shares of a few sets say little: in daily work a wrong model of errors shows, no more.
void ExpectHonest(const Tally& tally, double least_points) {
  EXPECT_GE(tally.points_inside,
            static_cast<int>((testing::Full() ? least_points : 0.80) * tally.points));
  if (testing::Full()) {
    EXPECT_LE(tally.width(), 4.0 * tally.rms());
  }
}

TEST(Standing, ThreePhotosGiveTheBow) {
  const Tally tally = MeasureSets(testing::StandingPhotos(3), 7701, testing::Count(2, 30));
  tally.Print("3 photos");
  EXPECT_LT(tally.rms(), testing::Full() ? 0.04 : 0.08);
  ExpectHonest(tally, 0.93);
}

TEST(Standing, OnePhotoGivesItLessWell) {
  const Tally tally = MeasureSets(testing::StandingPhotos(1), 7601, testing::Count(4, 30));
  tally.Print("1 photo");
  EXPECT_LT(tally.rms(), testing::Full() ? 0.08 : 0.16);
  ExpectHonest(tally, 0.93);
}

TEST(Standing, BowOfThreePhotosLiesInsideItsInterval) {
  const Tally tally = MeasureSets(testing::StandingPhotos(3, true), 9001, testing::Count(1, 150));
  tally.Print("3 small photos");
  ExpectHonest(tally, 0.93);
  if (testing::Full()) {
    EXPECT_GE(tally.inside, 0.92 * tally.sets);
  }
}

TEST(Standing, BowOfOnePhotoLiesInsideItsInterval) {
  const Tally tally = MeasureSets(testing::StandingPhotos(1, true), 9201, testing::Count(2, 150));
  tally.Print("1 small photo");
  ExpectHonest(tally, 0.93);
  if (testing::Full()) {
    EXPECT_GE(tally.inside, 0.92 * tally.sets);
  }
}

// A glossy black board shows the mirror images of all markers before it, and more of them than are
// seen themselves: no sheet printed mirrored.
TEST(Standing, AGlossyBoardThatMirrorsTheSheetIsMeasured) {
  const SetOptions options = testing::StandingPhotos(1, true);
  Random random(9803);
  RenderedSet set = testing::DrawStandingSet(Calib::Embedded(), options, random);
  auto& board = *set.scene.standing;
  board.parts.clear();
  board.mask = {0.03F, 0.03F, 0.03F};
  board.gloss = 0.1F;
  testing::Photograph(set, options, random);
  const auto photos = testing::LookStanding(set);
  const SeenPhoto& seen = photos.front().seen;
  ASSERT_GT(seen.mirrored_markers, seen.markers_of_sheet.at(seen.sheet));
  const auto result = testing::MeasureStandingSet(photos, options);
  ASSERT_TRUE(result) << result.error().Text();
  EXPECT_NEAR(result->deepest.departure_mm, -testing::TrueBow(board), 1.96 * result->deepest.u_mm);
}

}  // namespace
}  // namespace lieflat
