// The search for gentler places and washers: what it finds is what it says it is.

#include "lieflat/press/optimise.h"

#include <algorithm>
#include <cmath>

#include "press/pressed_boards.h"

namespace lieflat {
namespace {

using namespace testing;

double Setting(const char* key) {
  return Numbers().Number("press", std::string("/optimise/") + key).value;
}

/// The mesh of the search, so that its figures can be met again.
PressOptions SearchOptions(const Board& board) {
  PressOptions options;
  options.cell_mm = Numbers().Number("joints", "/flatten/sample_cell_mm").value;
  options.fine_mm = Numbers().Number("joints", "/flatten/sample_fine_mm").value;
  const Surface surface = SurfaceOf(board, Warped(board));
  for (const PartRating& rating : RateParts(board, surface, true, 2026, Numbers()))
    options.limits.push_back(LimitOf(rating));
  return options;
}

double WorstShareAtEnd(const Pressing& pressing, const PressOptions& options) {
  double worst = 0.0;
  for (std::size_t i = 0; i < options.limits.size(); ++i)
    worst = std::max(worst,
                     std::abs(pressing.end().parts[i].strain.strain) / options.limits[i].allowed);
  return worst;
}

// What it found presses as far as what was given, strains less, and no step of the finest size
// from it would be better.
TEST(Optimise, WeightsEndWhereNoStepHelps) {
  const Board board = BoardWithParts();
  const PressOptions options = SearchOptions(board);
  const UnderWeights given{{{0.8, {120, 140}, {60, 60}, false}, {0.6, {200, 90}, {60, 60}, false}}};
  const auto found = OptimiseWay(board, SurfaceOf(board, Warped(board)), given, Numbers(), options);
  ASSERT_TRUE(found) << found.error().Text();
  const Pressing before = Press(board, Warped(board), given, options);
  const Pressing after = Press(board, Warped(board), found->way, options);
  constexpr double kSame = 1e-3;  // solved by another path
  EXPECT_NEAR(WorstShareAtEnd(before, options), found->before, kSame);
  EXPECT_NEAR(WorstShareAtEnd(after, options), found->after, kSame);
  EXPECT_LT(found->after, found->before);
  const double allowed = before.end().gap_mm * (1.0 + Setting("more_gap_share"));
  EXPECT_LE(after.end().gap_mm, allowed * (1.0 + kSame));
  ASSERT_LT(found->searched, Setting("most_holds"));
  const double step = found->finest_step_mm;
  for (std::size_t k = 0; k < given.weights.size(); ++k) {
    for (const Eigen::Vector2d& by :
         {Eigen::Vector2d(step, 0), {-step, 0.0}, {0.0, step}, {0.0, -step}}) {
      UnderWeights other = std::get<UnderWeights>(found->way);
      other.weights[k].at_mm += by;
      const Pressing moved = Press(board, Warped(board), other, options);
      const bool is_allowed = moved.end().gap_mm <= allowed;
      EXPECT_TRUE(!is_allowed ||
                  WorstShareAtEnd(moved, options) >= (1.0 - 3.0 * kSame) * found->after)
          << "weight " << k << " by " << by.transpose();
    }
  }
}

TEST(Optimise, WashersAreWholeAndNoneMoreOrLessHelps) {
  const Board board = BoardWithParts();
  const PressOptions options = SearchOptions(board);
  const auto found =
      OptimiseWay(board, SurfaceOf(board, Warped(board)), OnStandOffs{}, Numbers(), options);
  ASSERT_TRUE(found) << found.error().Text();
  EXPECT_LT(found->after, 0.5 * found->before) << "washers take most of the bend out of the screws";
  const auto& mount = std::get<OnStandOffs>(found->way);
  const double washer = Setting("washer_mm");
  for (const auto& [hole, mm] : mount.shims_mm) {
    EXPECT_GE(mm, 0.0);
    EXPECT_NEAR(std::remainder(mm, washer), 0.0, 1e-12) << hole;
    for (const double by : {washer, -washer}) {
      OnStandOffs other = mount;
      other.shims_mm[hole] += by;
      if (other.shims_mm[hole] < 0.0) continue;
      const Pressing pressing = Press(board, Warped(board), other, options);
      EXPECT_GE(WorstShareAtEnd(pressing, options), (1.0 - 3e-3) * found->after) << hole;
    }
  }
}

TEST(Optimise, RefusesWhereThereIsNothingToChoose) {
  const Board board = BoardWithParts();
  const Surface surface = SurfaceOf(board, Warped(board));
  const auto plates =
      OptimiseWay(board, surface, BetweenPlates{1.0, 0.0}, Numbers(), SearchOptions(board));
  ASSERT_FALSE(plates);
  EXPECT_EQ(plates.error().code, ErrorCode::kBadUse);
  Board bare = board;
  bare.parts.clear();
  EXPECT_FALSE(OptimiseWay(bare, surface, OnStandOffs{}, Numbers(), {}));
}

}  // namespace
}  // namespace lieflat
