// What must hold of every way of pressing: balance, no load no strain, sameness, refusals.

#include <algorithm>
#include <cmath>

#include "lieflat/joints/flatten.h"
#include "lieflat/joints/plate_draws.h"

#include "press/pressed_boards.h"

namespace lieflat {
namespace {

using namespace testing;

std::vector<PressWay> EveryWay() {
  return {BetweenPlates{1.0, 0.0},
          BetweenPlates{std::nullopt, 20.0},
          UnderWeights{{{1.5, {150, 120}, {80, 60}, false}, {1.0, {100, 60}, {60, 60}, true}}},
          UnderBars{{Edge::kAB, Edge::kCD}, 15.0},
          OnStandOffs{{{2, 1.5}, {5, 2.0}}}};
}

// What presses, its own weight and what holds it must sum to nothing, and so must their moments.
TEST(Press, ForcesAreInBalance) {
  const Board board = BoardWithParts();
  for (const bool own_weight : {true, false}) {
    for (const PressWay& way : EveryWay()) {
      SCOPED_TRACE(std::string(Name(way)) + (own_weight ? "" : ", weightless"));
      PressOptions options = Coarse();
      options.own_weight = own_weight;
      const Pressing pressing = Press(board, Warped(board), way, options);
      double sum = 0.0, all = 0.0;
      Eigen::Vector2d moment = Eigen::Vector2d::Zero();
      for (const PressForce& force : pressing.forces) {
        sum += force.up_n;
        all += std::abs(force.up_n);
        moment += force.up_n * force.at_mm;
      }
      constexpr double kBalance = 1e-6;
      ASSERT_GT(all, 1.0);
      EXPECT_LE(std::abs(sum), kBalance * all);
      // Newton's method stops at 5e-7 of the largest nodal force, with arms of the board's length.
      constexpr double kMoments = 5e-6;
      EXPECT_LE(moment.norm(), kMoments * all * 305.0);
      EXPECT_GE(pressing.steps.size(), 4U);
      EXPECT_TRUE(pressing.reached);
      for (const std::string& note : pressing.validity)
        EXPECT_EQ(note.find("nothing was found"), std::string::npos) << note;
      for (const PressStep& step : pressing.steps) {
        const double up = own_weight ? step.contact_n : step.contact_n - step.load_n;
        EXPECT_GE(up, -kBalance * all) << "the ground carries what presses";
      }
    }
  }
}

// Screwed to stand-offs that stand as the board itself does, nothing is strained.
TEST(Press, ShimmedToItsOwnShapeItFeelsNothing) {
  const Board board = BoardWithParts();
  const Height shape = Warped(board);
  OnStandOffs mount;
  for (const int hole : MountHoles(board)) {
    const Eigen::Vector2d at = board.holes[static_cast<std::size_t>(hole) - 1].centre_mm;
    // A tilt of all stand-offs together is no bend.
    mount.shims_mm[hole] = 6.0 + shape(at.x(), at.y()) + 0.004 * at.x() - 0.003 * at.y();
  }
  const Pressing pressing = Press(board, shape, mount, Weightless(Coarse()));
  constexpr double kRounding = 1e-9;
  for (const PressStep& step : pressing.steps) {
    EXPECT_LT(step.largest_strain, kRounding);
    EXPECT_LT(step.load_n, 1e-5);
    for (const PressedPartAt& part : step.parts) EXPECT_LT(std::abs(part.strain.strain), kRounding);
  }
}

// Without weight and without load nothing happens to a flat board, however it is held.
TEST(Press, NoLoadNoStrain) {
  const Board board = BoardWithParts();
  const Height flat = [](double, double) { return 0.0; };
  for (const PressWay& way : {PressWay{BetweenPlates{0.5, 0.0}}, PressWay{OnStandOffs{}}}) {
    const Pressing pressing = Press(board, flat, way, Weightless(Coarse()));
    for (const PressStep& step : pressing.steps) {
      EXPECT_EQ(step.largest_strain, 0.0);
      EXPECT_EQ(step.load_n, 0.0);
      EXPECT_NEAR(step.gap_mm, 0.0, 1e-15);  // its own plane, as rounded
    }
    EXPECT_EQ(pressing.any_damage_probability, 0.0);
  }
}

struct Mirrored {
  Board board;
  Height shape;
  PressWay way;
};

Mirrored MirrorInX(const Board& board, const Height& shape, const PressWay& way) {
  const double length = board.Box().second.x();
  const auto mirror = [&](Eigen::Vector2d at) { return Eigen::Vector2d(length - at.x(), at.y()); };
  Mirrored out{board, [shape, length](double x, double y) { return shape(length - x, y); }, way};
  for (Part& part : out.board.parts) part.centre_mm = mirror(*part.centre_mm);
  for (Hole& hole : out.board.holes) hole.centre_mm = mirror(hole.centre_mm);
  if (auto* weights = std::get_if<UnderWeights>(&out.way)) {
    for (UnderWeights::Weight& weight : weights->weights) weight.at_mm = mirror(weight.at_mm);
  }
  return out;
}

TEST(Press, AMirroredBoardAnswersTheSame) {
  const Board board = BoardWithParts();
  // A plate with a load, weights soft and hard, and shims; on cells fine enough to be mirrored too.
  for (const std::size_t number : {1U, 2U, 4U}) {
    const PressWay way = EveryWay()[number];
    SCOPED_TRACE(Name(way));
    const Pressing plain = Press(board, Warped(board), way, {});
    const Mirrored other = MirrorInX(board, Warped(board), way);
    const Pressing mirrored = Press(other.board, other.shape, other.way, {});
    ASSERT_EQ(plain.steps.size(), mirrored.steps.size());
    for (std::size_t k = 0; k < plain.steps.size(); ++k) {
      const PressStep& a = plain.steps[k];
      const PressStep& b = mirrored.steps[k];
      constexpr double kSame =
          1e-3;  // contact is found in another order, to a few millionths of mm
      EXPECT_NEAR(b.load_n, a.load_n, kSame * (1.0 + a.load_n));
      EXPECT_NEAR(b.gap_mm, a.gap_mm, kSame);
      for (std::size_t i = 0; i < a.parts.size(); ++i)
        EXPECT_NEAR(b.parts[i].strain.strain, a.parts[i].strain.strain, kSame * 1e-4);
    }
  }
}

TEST(Press, TheSameSeedGivesTheSameBytes) {
  const Board board = BoardWithParts();
  std::vector<Height> draws;
  for (int k = 0; k < 30; ++k) {
    const double bow = 1.0 + 0.02 * (k - 15);
    draws.push_back([shape = Warped(board), bow](double x, double y) { return bow * shape(x, y); });
  }
  const Surface surface = SurfaceOf(board, Warped(board), draws);
  PressOptions options = Coarse();
  for (const bool samples : {false, true}) {
    (samples ? options.samples : options.draws) = 30;
    const auto first = PressBoard(board, surface, BetweenPlates{1.0, 0.0}, Numbers(), options);
    const auto again = PressBoard(board, surface, BetweenPlates{1.0, 0.0}, Numbers(), options);
    ASSERT_TRUE(first && again);
    for (std::size_t i = 0; i < first->parts.size(); ++i) {
      EXPECT_EQ(first->parts[i].strain95->low, again->parts[i].strain95->low);
      EXPECT_EQ(first->parts[i].strain95->high, again->parts[i].strain95->high);
      EXPECT_LT(first->parts[i].strain95->low, first->parts[i].strain95->high);
    }
    EXPECT_EQ(first->end().load_n, again->end().load_n);
  }
}

TEST(Press, AHeavierWeightStrainsMore) {
  const Board board = BoardWithParts();
  double last = 0.0;
  for (const double kg : {0.5, 1.0, 2.0}) {
    const Pressing pressing =
        Press(board, Warped(board), UnderWeights{{{kg, {150, 120}, {80, 80}, false}}});
    EXPECT_GT(pressing.end().largest_strain, last);
    last = pressing.end().largest_strain;
  }
}

struct Refusal {
  PressWay way;
  const char* where;
  const char* words;
};

TEST(Press, RefusesWhatCannotBe) {
  const Board board = BoardWithParts();
  Board bare = board;
  bare.holes.resize(2);
  const std::vector<Refusal> refusals = {
      {BetweenPlates{0.0, 0.0}, "gap_mm", "0 mm is outside 0 to 100 mm"},
      {BetweenPlates{std::nullopt, -1.0}, "load_n", "-1 N is outside 0 to 5000 N"},
      {UnderWeights{}, "weights", "0 weights; 1 to 50 are worked with"},
      {UnderWeights{{{1.0, {150, 300}, {60, 60}, false}}},
       "weight 1",
       "its middle 150,300 mm is not on the board"},
      {UnderWeights{{{1.0, {150, 100}, {60, 0}, false}}},
       "weight 1",
       "its footprint 60 x 0 mm has no area"},
      {UnderBars{{Edge::kAB, Edge::kAB}, 10.0}, "bar AB", "is given twice"},
      {OnStandOffs{{{7, 1.0}}}, "shim 7", "no mounting hole has this number"},
      {OnStandOffs{{{2, 25.0}}}, "shim 2", "25 mm is outside -20 to 20 mm"}};
  for (const Refusal& refusal : refusals) {
    const auto pressing =
        PressBoard(board, SurfaceOf(board, Warped(board)), refusal.way, Numbers(), {});
    ASSERT_FALSE(pressing) << refusal.words;
    EXPECT_EQ(pressing.error().where, refusal.where);
    EXPECT_EQ(pressing.error().message, refusal.words);
    EXPECT_EQ(pressing.error().code, ErrorCode::kRefused);
  }
  const auto held = PressBoard(bare, SurfaceOf(bare, Warped(bare)), OnStandOffs{}, Numbers(), {});
  ASSERT_FALSE(held);
  EXPECT_EQ(held.error().message, "the board has 2 mounting holes; it takes 3 to hold it");
  PressOptions off;
  off.points_mm = {{400, 10}};
  const auto point =
      PressBoard(board, SurfaceOf(board, Warped(board)), BetweenPlates{1.0, 0.0}, Numbers(), off);
  ASSERT_FALSE(point);
  EXPECT_EQ(point.error().Text(),
            "point 1: 400,10 mm is not on the board (give a place in mm from corner A)");
}

// Half a sine over 305 mm with a rise of 25 mm starts at a slope of pi x 25 / 305 = 0.26: its
// fourth power is no longer small beside its second, which is all that von Karman's plate (1910)
// keeps.
TEST(Press, WhatIsBentBeyondAPlateIsNotWorkedOut) {
  const Board board = BoardWithParts();
  const Height steep = [](double x, double) { return 25.0 * std::sin(3.14159265 * x / 305.0); };
  const auto pressing =
      PressBoard(board, SurfaceOf(board, steep), BetweenPlates{1.0, 0.0}, Numbers(), Coarse());
  ASSERT_FALSE(pressing);
  EXPECT_EQ(pressing.error().code, ErrorCode::kNoFigure);
  EXPECT_EQ(pressing.error().message,
            "the board would stand 25 mm out of its plane; what a press does is worked out up to "
            "20 mm");
  const auto flat = FlattenBetweenPlates(board, SurfaceOf(board, steep), Numbers(), {});
  ASSERT_FALSE(flat);
  EXPECT_EQ(flat.error().message, pressing.error().message);
}

TEST(Press, StopsWhenAsked) {
  const Board board = BoardWithParts();
  std::stop_source source;
  PressOptions options;
  options.stop = source.get_token();
  options.progress = [&](double done) {
    if (done > 0.2) source.request_stop();
  };
  const auto pressing = PressBoard(
      board, SurfaceOf(board, Warped(board)), BetweenPlates{1.0, 0.0}, Numbers(), options);
  ASSERT_FALSE(pressing);
  EXPECT_TRUE(WasStopped(pressing.error()));
}

}  // namespace
}  // namespace lieflat
