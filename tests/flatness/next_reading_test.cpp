// What is said where nothing is decided: what was not read, and what would settle it.

#include <gtest/gtest.h>

#include "lieflat/flatness/flatness.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

Board Bare() {
  Board board = RectangularBoard(300, 200, calib()).value();
  board.populated = false;
  return board;
}

Sample Of(Figure figure, std::vector<Term> terms, double value_mm, double u_mm) {
  Sample sample;
  sample.figure = figure;
  sample.terms = std::move(terms);
  sample.value_mm = value_mm;
  ErrorPart error;
  error.size_mm = u_mm;
  sample.errors = {error};
  return sample;
}

using Shape = double (*)(double u, double v);  // over -1 to 1 along and across

/// Heights at `across` x `across` places, inset from the rim by a share of the size.
SampleSet Heights(Rest rest, int across, double inset, double u_mm, Shape shape) {
  SampleSet set;
  set.rest = rest;
  for (int k = 0; k < across * across; ++k) {
    const double u = (2.0 * (k % across) / (across - 1) - 1.0) * (1.0 - 2.0 * inset);
    const double v = (2.0 * (k / across) / (across - 1) - 1.0) * (1.0 - 2.0 * inset);
    set.samples.push_back(
        Of(Figure::kHeight, {{{150 * (1 + u), 100 * (1 + v)}, 1.0}}, shape(u, v), u_mm));
  }
  return set;
}

Sample Straightedge(const Board& board, Edge edge, double departure_mm, double u_mm) {
  const Eigen::Vector2d start = board.EdgeStart(edge), end = board.EdgeEnd(edge);
  return Of(Figure::kDeparture,
            {{0.5 * (start + end), 1.0}, {start, -0.5}, {end, -0.5}},
            departure_mm,
            u_mm);
}

Sample Strips(const Board& board, double q_mm, double u_mm) {
  Sample sample = Of(Figure::kTwist, {}, q_mm, u_mm);
  for (std::size_t i = 0; i < 4; ++i)
    sample.terms.push_back({board.corners_mm[i], i % 2 == 0 ? 1.0 : -1.0});
  sample.procedure = "strips";
  return sample;
}

Flatness Measure(const SampleSet& samples, double sag_mm = 0.0) {
  const Board board = Bare();
  const auto surface = FitSurface(board, samples, calib());
  EXPECT_TRUE(surface);
  return MeasureFlatness(board, samples, *surface, sag_mm, calib());
}

// 2.25 mm over 300 mm is the limit itself, 0.75 %: the gap that it allows is named with the edge.
TEST(NextReading, AnEdgeAtTheLimitIsReadAgain) {
  const Flatness f = Measure(
      Heights(Rest::kFree, 5, 0.0, 0.02, [](double u, double) { return 2.25 * (1 - u * u); }));
  EXPECT_EQ(f.bow_verdict, Verdict::kUndecided);
  const std::string edge = f.next_reading.substr(5, 2);
  EXPECT_TRUE(edge == "AB" || edge == "CD") << f.next_reading;
  EXPECT_EQ(f.next_reading.substr(7),
            " three more times, at the widest gap, with blades 0.05 mm apart: the limit is 2.25 mm "
            "there");
  EXPECT_TRUE(f.not_measured.empty());
}

// u v has straight edges and twist: q = 4 c, and 0.75 % of 2 x 360.56 mm is 5.408 mm.
TEST(NextReading, ATwistAtTheLimitIsReadAnotherWay) {
  const Flatness f = Measure(
      Heights(Rest::kFree, 5, 0.0, 0.02, [](double u, double v) { return -1.352 * u * v; }));
  EXPECT_EQ(f.twist_verdict, Verdict::kUndecided);
  EXPECT_EQ(f.bow_verdict, Verdict::kWithin);
  EXPECT_EQ(f.high_diagonal, "BD");
  EXPECT_EQ(f.next_reading,
            "read the twist again another way: the fourth corner's gap with blades, or longer "
            "strips");
}

// With 1.5 mm of sag in the readings 1.6 mm of bow may be 3.1 mm: nothing is decided, and the way
// out is another way to hold it. The same heights with the weight out are within.
TEST(NextReading, SagLeavesItOpen) {
  const auto dome = [](double u, double) { return 1.6 * (1 - u * u); };
  const Flatness lying = Measure(Heights(Rest::kTable, 5, 0.0, 0.01, dome), 1.5);
  EXPECT_EQ(lying.bow_verdict, Verdict::kUndecided);
  EXPECT_FALSE(lying.weight_removed);
  EXPECT_EQ(lying.next_reading,
            "hold the board upright and read its edges with a straightedge: lying as it does, its "
            "own weight may bend it by up to 1.5 mm");
  const Flatness free = Measure(Heights(Rest::kFree, 5, 0.0, 0.01, dome), 1.5);
  EXPECT_EQ(free.bow_verdict, Verdict::kWithin);
  EXPECT_EQ(free.sag_bound_mm, 0.0);
  EXPECT_EQ(free.next_reading, "");
  // Twist 0.55 % and a sag that is worth 0.42 %: open as well.
  const Flatness twisted =
      Measure(Heights(Rest::kPoints, 5, 0.0, 0.01, [](double u, double v) { return u * v; }), 3.0);
  EXPECT_EQ(twisted.twist_verdict, Verdict::kUndecided);
}

TEST(NextReading, WhatIsMissingIsAskedForAsTheBoardIsHeld) {
  const Board board = Bare();
  SampleSet set;
  set.rest = Rest::kUpright;
  set.samples = {Straightedge(board, Edge::kAB, 0.3, 0.02)};
  const std::string strips =
      "twist: needs two straight strips along DA and BC, sighted, or the gap under the fourth "
      "corner with three touching";
  EXPECT_EQ(Measure(set).not_measured,
            (std::vector<std::string>{"bow of BC, CD, DA: needs a straightedge along each of these "
                                      "edges, the board held upright",
                                      strips}));
  EXPECT_EQ(Measure(set).next_reading, Measure(set).not_measured.front());
  set.samples.push_back(Strips(board, -3.0, 0.1));
  const Flatness f = Measure(set);
  EXPECT_EQ(f.not_measured.size(), 1U);
  EXPECT_EQ(f.twist_procedure, "strips");
  EXPECT_EQ(f.high_diagonal, "BD");
  EXPECT_NEAR(f.twist_q_mm, -3.0, 0.05);
  EXPECT_FALSE(f.flatness_measured);

  // A corner and the middles, lying: an edge counts with both its corners only.
  for (const Rest rest : {Rest::kTable, Rest::kFree}) {
    SampleSet few;
    few.rest = rest;
    for (const Eigen::Vector2d& at :
         std::vector<Eigen::Vector2d>{{0, 0}, {300, 0}, {150, 0}, {150, 200}, {0, 100}})
      few.samples.push_back(Of(Figure::kHeight, {{at, 1.0}}, 0.0, 0.5));
    const Flatness some = Measure(few, 0.1);
    EXPECT_TRUE(some.edges[0].known);
    EXPECT_EQ(some.not_measured,
              (std::vector<std::string>{
                  "bow of BC, CD, DA: needs the height at the middle of each of these edges, and "
                  "at their corners",
                  "twist: needs the heights of all four corners"}));
  }
}

// Places well inside fix a quadratic surface; read closely it speaks for the rim, read coarsely
// not.
TEST(NextReading, ASurfaceReadCloselySpeaksForTheRim) {
  const auto flat = [](double, double) { return 0.0; };
  const Flatness close = Measure(Heights(Rest::kFree, 5, 0.1, 0.002, flat));
  const Flatness coarse = Measure(Heights(Rest::kFree, 3, 0.1, 2.0, flat));
  EXPECT_TRUE(close.twist_measured);
  EXPECT_TRUE(close.flatness_measured);
  for (const EdgeBow& edge : close.edges) EXPECT_TRUE(edge.known);
  EXPECT_FALSE(coarse.twist_measured);
  for (const EdgeBow& edge : coarse.edges) EXPECT_FALSE(edge.known);
}

TEST(Verdicts, HaveTheirWords) {
  EXPECT_STREQ(Name(Verdict::kWithin), "within");
  EXPECT_STREQ(Name(Verdict::kOver), "over");
  EXPECT_STREQ(Name(Verdict::kUndecided), "undecided");
  EXPECT_STREQ(Name(Verdict::kNotMeasured), "not-measured");
  EXPECT_STREQ(Plain(Verdict::kWithin), "within");
  EXPECT_STREQ(Plain(Verdict::kOver), "over");
  EXPECT_STREQ(Plain(Verdict::kUndecided), "too close to call");
  EXPECT_STREQ(Plain(Verdict::kNotMeasured), "not measured yet");
  EXPECT_THROW((void)Name(static_cast<Verdict>(4)), std::logic_error);
  EXPECT_THROW((void)Plain(static_cast<Verdict>(4)), std::logic_error);
}

// IPC-A-610 and IPC-6012: 0.75 % with surface-mounted parts, 1.5 % otherwise; the owner's own goes
// before both.
TEST(Limits, ByMountingOrTheOwnersOwn) {
  Board board = Bare();
  board.mounting = "through-hole";
  EXPECT_EQ(LimitOf(board, calib()).percent, 1.5);
  board.mounting = "smt";
  const Limit bare = LimitOf(board, calib());
  EXPECT_TRUE(bare.meaning.starts_with(calib().Text("acceptance", "/meaning/bare")));
  EXPECT_EQ(bare.percent, 0.75);
  board.populated = true;
  const Limit soldered = LimitOf(board, calib());
  EXPECT_EQ(soldered.meaning, bare.meaning + " " + calib().Text("acceptance", "/meaning/soldered"));
  board.corners_are_outline = false;
  EXPECT_EQ(LimitOf(board, calib()).meaning,
            soldered.meaning + " " + calib().Text("acceptance", "/meaning/by_agreement"));
  board.limit = {0.3, "the case's drawing"};
  EXPECT_EQ(LimitOf(board, calib()).percent, 0.3);
  EXPECT_EQ(LimitOf(board, calib()).source, "the case's drawing");
  EXPECT_EQ(LimitOf(board, calib()).meaning, calib().Text("acceptance", "/meaning/own"));
}

}  // namespace
}  // namespace lieflat
