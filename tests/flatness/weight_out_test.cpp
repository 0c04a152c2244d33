// Taking the weight out: boards whose mass, stiffness and thickness are not what the description
// says are laid on points or on a table, bent by a finer plate model than the one in use, and read;
// the intervals of the stress-free bow and twist are held against the truth.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>

#include <gtest/gtest.h>

#include "lieflat/base/statistics.h"
#include "lieflat/flatness/flatness.h"
#include "lieflat/plate/solve.h"
#include "lieflat/shape/weight.h"

#include "support/counts.h"
#include "support/simulated_board.h"

namespace lieflat {
namespace {

enum class State { kThreePoints, kFourCorners, kFlipped, kTable };

const char* Name(State state) {
  switch (state) {
    case State::kThreePoints:
      return "three points";
    case State::kFourCorners:
      return "four corners";
    case State::kFlipped:
      return "three points, both sides up";
    case State::kTable:
      return "table";
  }
  return "";
}

// How well a board is described, relative standard deviations: mass weighed to 3 %, modulus 15 %,
// shear modulus 20 %, thickness 4 %; the split of the mass (30 %) stands in calib/supports.json.
constexpr double kMassSd = 0.03, kModulusSd = 0.15, kShearSd = 0.20, kThicknessSd = 0.04,
                 kSplitSd = 0.30;
constexpr double kReadingU = 0.03;

Board DescribedBoard(Random& random) {
  const std::array<std::pair<double, double>, 4> sizes = {
      {{305, 244}, {300, 200}, {244, 244}, {330, 220}}};
  const auto [length, width] = sizes[static_cast<std::size_t>(random.Below(4))];
  Board board = RectangularBoard(length, width, Calib::Embedded()).value();
  board.populated = true;
  board.mounting = "smt";
  board.thickness_mm = {1.57, 1.57 * kThicknessSd};
  board.laminate.modulus_x_mpa = {22000, 22000 * kModulusSd};
  board.laminate.modulus_y_mpa = {20000, 20000 * kModulusSd};
  board.laminate.shear_mpa = {4800, 4800 * kShearSd};
  const double mass_g = board.Area() * 1e-6 * random.Uniform(4.0, 10.0) * 1e3;
  board.mass_g = Uncertain{mass_g, kMassSd * mass_g};
  for (int k = 0; k < 3; ++k) {
    Part part;
    part.ref = "U" + std::to_string(k + 1);
    part.part_class = k == 0 ? "pbga" : "qfp";
    part.size_mm = Eigen::Vector2d(28, 28);
    part.centre_mm =
        Eigen::Vector2d(random.Uniform(30, length - 30), random.Uniform(30, width - 30));
    board.parts.push_back(part);
  }
  return board;
}

/// The board as it really is.
PlateOptions Truth(const Board& board, Random& random) {
  PlateOptions truth;
  truth.cell_mm = truth.fine_mm = board.EdgeLength(Edge::kAB) / 30.0;
  truth.mass_factor = 1.0 + kMassSd * random.Normal();
  truth.modulus_factor = std::max(0.4, 1.0 + kModulusSd * random.Normal());
  truth.shear_factor = std::max(0.3, 1.0 + kShearSd * random.Normal());
  truth.thickness_factor = 1.0 + kThicknessSd * random.Normal();
  truth.split_factor = std::max(0.0, 1.0 + kSplitSd * random.Normal());
  return truth;
}

std::vector<Eigen::Vector2d> Supports(const Board& board, State state) {
  const double l = board.EdgeLength(Edge::kAB), w = board.EdgeLength(Edge::kBC);
  if (state == State::kFourCorners) return {{0, 0}, {l, 0}, {l, w}, {0, w}};
  return {{0.2 * l, 0.2 * w}, {0.8 * l, 0.2 * w}, {0.5 * l, 0.8 * w}};
}

struct Read {
  SampleSet samples;
  bool good = false;
};

/// Heights at 5 x 5 places of the board as it lies.
Read LayAndRead(const Board& board,
                const PlateOptions& truth,
                const testing::TrueShape& shape,
                State state,
                Random& random) {
  Read read;
  read.samples.rest = state == State::kTable ? Rest::kTable : Rest::kPoints;
  auto model = MakePlateModel(board, Calib::Embedded(), truth);
  if (!model) return read;
  auto plate = Plate::Make(std::move(*model));
  if (!plate) return read;
  const auto [low, high] = board.Box();
  for (const Side down : {Side::kSolder, Side::kComponent}) {
    if (down == Side::kComponent && state != State::kFlipped) break;
    Hold hold;
    hold.up = down == Side::kSolder ? Side::kComponent : Side::kSolder;
    hold.table = state == State::kTable;
    Holding held{read.samples.rest, down, {}};
    if (!hold.table) {
      for (const Eigen::Vector2d& at : Supports(board, state)) {
        hold.rests.push_back({at, 0.0, false});
        held.supports_mm.push_back(at);
      }
    }
    const auto lying =
        plate->Solve([&](const Eigen::Vector2d& at) { return shape.Height(at); }, hold);
    if (!lying) return read;
    for (int j = 0; j < 5; ++j) {
      for (int i = 0; i < 5; ++i) {
        Sample sample;
        const Eigen::Vector2d at = low + Eigen::Vector2d(i, j).cwiseProduct(high - low) / 4.0;
        sample.name =
            std::to_string(i) + " " + std::to_string(j) + (down == Side::kSolder ? "" : " down");
        sample.terms = {{at, 1.0}};
        sample.value_mm =
            shape.Height(at) + plate->Displacement(*lying, at) + kReadingU * random.Normal();
        sample.errors = {{"read", ErrorPart::Law::kNormal, kReadingU, "", 1.0, false}};
        sample.held = held;
        read.samples.samples.push_back(sample);
      }
    }
  }
  read.good = true;
  return read;
}

struct Tally {
  int boards = 0, bow = 0, twist = 0, failed = 0;
  std::vector<double> bow_ratio, twist_ratio, twist_width_shown, twist_width_hidden;
};

SampleSet WithWeightKnown(SampleSet samples) {
  for (Sample& sample : samples.samples) {
    std::erase_if(sample.errors,
                  [](const ErrorPart& error) { return error.cause.starts_with("its weight"); });
  }
  return samples;
}

Tally Simulate(State state, int boards, std::uint64_t first_seed) {
  Tally tally;
  const Calib& calib = Calib::Embedded();
  for (int i = 0; i < boards; ++i) {
    Random random(first_seed + std::uint64_t{7919} * static_cast<std::uint64_t>(i) +
                  static_cast<std::uint64_t>(state));
    const Board board = DescribedBoard(random);
    const PlateOptions truth = Truth(board, random);
    const auto shape = testing::RandomShape(board, random.Uniform(0.0, 1.5), random);
    const Read read = LayAndRead(board, truth, shape, state, random);
    if (!read.good) {
      ++tally.failed;
      continue;
    }
    const auto unweighed = TakeWeightOut(board, read.samples, calib);
    if (!unweighed) {
      ++tally.failed;
      std::printf("board %d: %s\n", i, unweighed.error().Text().c_str());
      continue;
    }
    SurfaceOptions options;
    options.draws = 3000;
    options.surface_draws = 20;
    options.seed = static_cast<std::uint64_t>(i) + 1;
    const auto measure = [&](const SampleSet& samples) {
      return MeasureFlatness(
          board, samples, FitSurface(board, samples, calib, options).value(), 0.0, calib);
    };
    const Flatness flatness = measure(unweighed->samples);
    const Flatness known = measure(WithWeightKnown(unweighed->samples));
    const double bow = shape.BowPercent(board);
    const double twist = 100.0 * std::abs(shape.TwistQ(board)) / (2.0 * board.Diagonal());
    const auto holds = [](const Interval& interval, double x) {
      return x >= interval.low && x <= interval.high;
    };
    ++tally.boards;
    tally.bow += holds(flatness.bow_percent95, bow);
    tally.twist += holds(flatness.twist_percent95, twist);
    const auto width = [](const Interval& interval) { return interval.high - interval.low; };
    tally.bow_ratio.push_back(width(flatness.bow_percent95) / width(known.bow_percent95));
    tally.twist_ratio.push_back(width(flatness.twist_percent95) / width(known.twist_percent95));
    (unweighed->twist_shown > 0.7 ? tally.twist_width_shown : tally.twist_width_hidden)
        .push_back(width(flatness.twist_percent95));
  }
  return tally;
}

double Median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  return Quantile(
      Eigen::Map<Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size())), 0.5);
}

TEST(WeightOut, IntervalsHoldTheStressFreeShape) {
  const int boards = testing::Count(25, 500);
  // Promised of all boards, and held for the rests that the program recommends. On four corners the
  // sag is as large as the bow, and what is not known of the stiffness shows: about 2.5 there.
  constexpr double kWidest = 1.5;
  Tally all;
  for (const State state :
       {State::kThreePoints, State::kFourCorners, State::kFlipped, State::kTable}) {
    const Tally tally = Simulate(state, boards, testing::Full() ? 900001 : 1);
    std::printf(
        "%-28s bow %.3f twist %.3f of %d (%d not solved); width to weight known: bow %.2f twist "
        "%.2f; twist width %.3f shown (%zu), %.3f hidden (%zu)\n",
        Name(state),
        static_cast<double>(tally.bow) / tally.boards,
        static_cast<double>(tally.twist) / tally.boards,
        tally.boards,
        tally.failed,
        Median(tally.bow_ratio),
        Median(tally.twist_ratio),
        Median(tally.twist_width_shown),
        tally.twist_width_shown.size(),
        Median(tally.twist_width_hidden),
        tally.twist_width_hidden.size());
    // Promised: no state under 91 %. The short form leaves room for its counting error, three
    // binomial deviations.
    constexpr double kLeast = 0.91;
    const double room =
        testing::Full() ? 0.0 : 3.0 * std::sqrt(kLeast * (1.0 - kLeast) / tally.boards);
    EXPECT_GE(static_cast<double>(tally.bow) / tally.boards, kLeast - room) << Name(state);
    EXPECT_GE(static_cast<double>(tally.twist) / tally.boards, kLeast - room) << Name(state);
    EXPECT_EQ(tally.failed, 0) << Name(state);
    all.boards += tally.boards;
    all.bow += tally.bow;
    all.twist += tally.twist;
    all.bow_ratio.insert(all.bow_ratio.end(), tally.bow_ratio.begin(), tally.bow_ratio.end());
    all.twist_ratio.insert(
        all.twist_ratio.end(), tally.twist_ratio.begin(), tally.twist_ratio.end());
    if (state == State::kThreePoints) {
      EXPECT_LE(Median(tally.bow_ratio), kWidest);
      EXPECT_LE(Median(tally.twist_ratio), kWidest);
    }
  }
  EXPECT_LE(Median(all.bow_ratio), kWidest);
  EXPECT_LE(Median(all.twist_ratio), kWidest);
  std::printf("all: bow %.3f twist %.3f of %d\n",
              static_cast<double>(all.bow) / all.boards,
              static_cast<double>(all.twist) / all.boards,
              all.boards);
  // Promised: 93 to 97.5 % over all.
  const double room = testing::Full() ? 0.0 : 3.0 * std::sqrt(0.95 * 0.05 / all.boards);
  for (const int hits : {all.bow, all.twist}) {
    EXPECT_GE(static_cast<double>(hits) / all.boards, 0.93 - room);
    EXPECT_LE(static_cast<double>(hits) / all.boards, 0.975 + room);
  }
}

}  // namespace
}  // namespace lieflat
