// Do the 95 % intervals hold what they say? Boards bent in ways that the fit does not know
// (tests/support/simulated_board.h) are read by a simulated person, and each interval is held
// against the truth.

#include <cstdio>
#include <map>

#include <gtest/gtest.h>

#include "lieflat/base/statistics.h"
#include "lieflat/flatness/flatness.h"

#include "support/counts.h"
#include "support/simulated_board.h"

namespace lieflat {
namespace {

using testing::Stations;

struct Tally {
  int boards = 0, bow = 0, twist = 0;
};

struct Outcome {
  Tally all;
  std::map<std::pair<Stations, int>, Tally> cells;
  std::vector<double> bow_ratio, twist_ratio;
};

/// 0 to 0.2, 0.2 to 0.6, 0.6 to 1, over 1 percent.
int BowClass(double percent) {
  return percent < 0.2 ? 0 : percent < 0.6 ? 1 : percent < 1.0 ? 2 : 3;
}

Board RandomBoard(Random& random) {
  const std::array<std::pair<double, double>, 4> sizes = {
      {{305, 244}, {300, 200}, {244, 244}, {170, 110}}};
  const auto [length, width] = sizes[static_cast<std::size_t>(random.Below(4))];
  Board board = RectangularBoard(length, width, Calib::Embedded()).value();
  board.populated = false;
  return board;
}

std::vector<Stations> StationsFor(Rest rest) {
  if (rest == Rest::kUpright) return {Stations::kMids, Stations::kMidsRule, Stations::kMidsThrice};
  return {Stations::kEight, Stations::kNine, Stations::kGrid25};
}

Outcome Simulate(Rest rest, int boards, int with_brute_force) {
  const Calib& calib = Calib::Embedded();
  Outcome outcome;
  const std::vector<Stations> sets = StationsFor(rest);
  for (int i = 0; i < boards; ++i) {
    Random random(std::uint64_t{1000003} * static_cast<std::uint64_t>(i) +
                  static_cast<std::uint64_t>(rest));
    const Stations stations = sets[static_cast<std::size_t>(i) % sets.size()];
    const Board board = RandomBoard(random);
    const auto shape = testing::RandomShape(board, random.Uniform(0.0, 1.5), random);
    const Gauge gauge = testing::TakeReadings(board, shape, rest, stations, random);
    const auto samples = ToSamples(gauge, board, calib, {}, "simulated");
    if (!samples) {
      ADD_FAILURE() << "board " << i << ": " << samples.error().Text();
      return outcome;
    }
    SurfaceOptions options;
    options.surface_draws = 20;
    options.seed = static_cast<std::uint64_t>(i) + 1;
    const auto surface = FitSurface(board, *samples, calib, options);
    if (!surface) {
      ADD_FAILURE() << "board " << i << ": " << surface.error().Text();
      return outcome;
    }
    const Flatness flatness = MeasureFlatness(board, *samples, *surface, 0.0, calib);
    const double bow = shape.BowPercent(board);
    const double twist = 100.0 * std::abs(shape.TwistQ(board)) / (2.0 * board.Diagonal());
    Tally& cell = outcome.cells[{stations, BowClass(bow)}];
    for (Tally* tally : {&outcome.all, &cell}) {
      tally->boards += 1;
      tally->bow += bow >= flatness.bow_percent95.low && bow <= flatness.bow_percent95.high;
      tally->twist +=
          twist >= flatness.twist_percent95.low && twist <= flatness.twist_percent95.high;
    }
    if (i < with_brute_force) {
      const auto brute = testing::BruteForceWidths(board, *samples, 4000, random);
      outcome.bow_ratio.push_back((flatness.bow_percent95.high - flatness.bow_percent95.low) /
                                  brute.bow_width_percent);
      outcome.twist_ratio.push_back((flatness.twist_percent95.high - flatness.twist_percent95.low) /
                                    brute.twist_width_percent);
    }
  }
  return outcome;
}

double Median(std::vector<double> values) {
  return Quantile(
      Eigen::Map<Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size())), 0.5);
}

class Intervals : public ::testing::TestWithParam<Rest> {};

// Promised: overall 94 to 98 %, no cell under 92 %, median width at most 1.3 times brute force. The
// short form leaves room for its own counting error, three binomial standard deviations.
TEST_P(Intervals, HoldTheTruth) {
  const int boards = testing::Count(300, 10000);
  const Outcome outcome = Simulate(GetParam(), boards, testing::Count(60, 1000));
  const auto share = [](int hits, const Tally& tally) {
    return static_cast<double>(hits) / tally.boards;
  };
  const auto room = [](int n, double p) {
    return testing::Full() ? 0.0 : 3.0 * std::sqrt(p * (1.0 - p) / n);
  };
  std::printf(
      "%s: bow %.3f, twist %.3f of %d boards; median width to brute force: bow %.2f, twist %.2f\n",
      Name(GetParam()),
      share(outcome.all.bow, outcome.all),
      share(outcome.all.twist, outcome.all),
      outcome.all.boards,
      Median(outcome.bow_ratio),
      Median(outcome.twist_ratio));
  for (const auto& [key, cell] : outcome.cells) {
    std::printf("  %-24s bow class %d: bow %.3f, twist %.3f of %d\n",
                Name(key.first),
                key.second,
                share(cell.bow, cell),
                share(cell.twist, cell),
                cell.boards);
    constexpr double kLeast = 0.92;
    EXPECT_GE(share(cell.bow, cell), kLeast - room(cell.boards, kLeast))
        << Name(key.first) << ", class " << key.second;
    EXPECT_GE(share(cell.twist, cell), kLeast - room(cell.boards, kLeast))
        << Name(key.first) << ", class " << key.second;
  }
  for (const int hits : {outcome.all.bow, outcome.all.twist}) {
    EXPECT_GE(share(hits, outcome.all), 0.94 - room(boards, 0.94));
    EXPECT_LE(share(hits, outcome.all), 0.98 + room(boards, 0.98));
  }
  // The median of sixty ratios is known to about a tenth.
  const double widest = testing::Full() ? 1.3 : 1.4;
  EXPECT_LE(Median(outcome.bow_ratio), widest);
  EXPECT_LE(Median(outcome.twist_ratio), widest);
}

INSTANTIATE_TEST_SUITE_P(
    Rests,
    Intervals,
    ::testing::Values(Rest::kUpright, Rest::kPoints, Rest::kTable, Rest::kFree),
    [](const auto& which) { return std::string(Name(which.param)); });

}  // namespace
}  // namespace lieflat
