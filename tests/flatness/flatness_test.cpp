// Bow, twist and verdict of whole readings: what must not matter does not, what must scale does,
// what is not shown is said.

#include "lieflat/flatness/flatness.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include <gtest/gtest.h>

#include "lieflat/flatness/formulas.h"

#include "support/simulated_board.h"

namespace lieflat {
namespace {

const Calib& Numbers() { return Calib::Embedded(); }

Board Bare(double length, double width) {
  Board board = RectangularBoard(length, width, Numbers()).value();
  board.populated = false;
  board.laminate.modulus_y_mpa = board.laminate.modulus_x_mpa;
  return board;
}

Sample HeightAt(const Eigen::Vector2d& at, double z, double u) {
  Sample sample;
  sample.name = "x " + std::to_string(at.x()) + " y " + std::to_string(at.y());
  sample.figure = Figure::kHeight;
  sample.terms = {{at, 1.0}};
  sample.value_mm = z;
  ErrorPart error;
  error.cause = "as stated";
  error.size_mm = u;
  sample.errors = {error};
  return sample;
}

using Surfaced = std::function<double(const Eigen::Vector2d&)>;

SampleSet Grid(const Board& board, int across, double u, const Surfaced& z) {
  SampleSet set;
  set.rest = Rest::kFree;
  const auto [low, high] = board.Box();
  for (int j = 0; j < across; ++j) {
    for (int i = 0; i < across; ++i) {
      const Eigen::Vector2d at =
          low + Eigen::Vector2d(i, j).cwiseProduct(high - low) / (across - 1);
      set.samples.push_back(HeightAt(at, z(at), u));
    }
  }
  return set;
}

Flatness Measure(const Board& board, const SampleSet& samples) {
  const auto surface = FitSurface(board, samples, Numbers());
  EXPECT_TRUE(surface) << surface.error().Text();
  return MeasureFlatness(board, samples, *surface, 0.0, Numbers());
}

// Closed form: a cylinder of height h along x has bow 100 h / L on AB and CD, none on BC and DA, no
// twist.
TEST(Flatness, CylinderByHeights) {
  const Board board = Bare(300, 200);
  const Flatness f = Measure(board, Grid(board, 5, 0.005, [](const Eigen::Vector2d& p) {
                               const double u = p.x() / 150 - 1;
                               return 2.25 * (1 - u * u);
                             }));
  constexpr double kTolPercent = 0.004;  // readings of 5 um
  EXPECT_NEAR(f.bow_percent, 0.75, kTolPercent);
  EXPECT_EQ(f.bow_towards, Side::kComponent);
  EXPECT_TRUE(f.bow_edge == Edge::kAB || f.bow_edge == Edge::kCD);
  EXPECT_NEAR(f.edges[1].percent, 0.0, kTolPercent);
  EXPECT_NEAR(f.twist_percent, 0.0, kTolPercent);
  // At the limit with any uncertainty at all nothing is decided.
  EXPECT_EQ(f.bow_verdict, Verdict::kUndecided);
  EXPECT_EQ(f.twist_verdict, Verdict::kWithin);
  EXPECT_NEAR(f.zone_mm, 2.25, 0.02);
}

// A board that is flat, read with errors of 1 mm: every draw is the mean with errors on it, and
// errors only add height (of N points with an error each, the highest less the lowest grows with
// the error).
TEST(Flatness, TheIntervalOfTheWholeBoardHoldsItsFigure) {
  const Board board = Bare(300, 200);
  const Flatness f =
      Measure(board, Grid(board, 3, 1.0, [](const Eigen::Vector2d&) { return 0.0; }));
  EXPECT_LE(f.ls95_mm.low, f.ls_mm);
  EXPECT_GE(f.ls95_mm.high, f.ls_mm);
  EXPECT_LE(f.zone95_mm.low, f.zone_mm);
  EXPECT_GE(f.zone95_mm.high, f.zone_mm);
  EXPECT_GT(f.zone95_mm.high, 0.5);
}

// Corners of a pure twist, by IPC-TM-650 2.4.22 5.2.7: q = 2 mm on 300 x 200 mm is 0.27735 %. Four
// corners say nothing of bow.
TEST(Flatness, FourCornersShowTwistNeverBow) {
  const Board board = Bare(300, 200);
  SampleSet set;
  set.rest = Rest::kFree;
  const std::array<double, 4> z = {0, 0, 2, 0};
  for (std::size_t i = 0; i < 4; ++i)
    set.samples.push_back(HeightAt(board.corners_mm[i], z[i], 0.02));
  const Flatness f = Measure(board, set);
  EXPECT_FALSE(f.bow_measured);
  EXPECT_EQ(f.bow_verdict, Verdict::kNotMeasured);
  ASSERT_FALSE(f.not_measured.empty());
  EXPECT_NE(f.not_measured.front().find("bow of AB, BC, CD, DA"), std::string::npos)
      << f.not_measured.front();
  EXPECT_FALSE(f.next_reading.empty());
  EXPECT_NEAR(f.twist_percent, 0.27735, 2e-4);
  EXPECT_EQ(f.high_diagonal, "AC");
  EXPECT_EQ(f.twist_procedure, "corners");
  // u(twist) = 100 u_z / D (four corners of equal u): JCGM 100:2008, 5.1.2. The 95 % half-width
  // is 1.96 of it.
  const double u = 100.0 * 0.02 / board.Diagonal();
  EXPECT_NEAR(f.twist_u95_percent,
              1.96 * u,
              0.06 * 1.96 * u);  // 6000 draws: 2 % of a quantile, and the prior's little
}

// ISO 14253-1's decision rule on a gap read to U = 0.0319 mm (0.01063 %) against 0.75 % of 300 mm.
// A flat board read with noise: the largest of four edges lies above 0 in every draw, yet the
// readings do not speak against 0, so both intervals must reach down to it.
TEST(Flatness, IntervalsOfAFlatBoardReachDownToZero) {
  const Board board = Bare(305, 244);
  Random random(5);
  constexpr double kU = 0.05;
  const Flatness flat = Measure(
      board, Grid(board, 3, kU, [&](const Eigen::Vector2d&) { return kU * random.Normal(); }));
  EXPECT_EQ(flat.twist_percent95.low, 0.0);
  // As one reading of a departure, u = kU sqrt(1.5), is worth: 2 u over 244 mm are 0.05 %.
  EXPECT_LE(flat.bow_percent95.low, 0.01);
  EXPECT_LE(flat.bow_percent95.high, 0.12);
  for (const EdgeBow& edge : flat.edges) EXPECT_EQ(edge.verdict, Verdict::kWithin);
}

TEST(Flatness, VerdictRule) {
  const auto judged = [](double gap_mm) {
    const double percent = BowPercent(gap_mm, 300);
    return Judge({percent - 0.01063, percent + 0.01063}, 0.75);
  };
  EXPECT_EQ(judged(2.10), Verdict::kWithin);
  EXPECT_EQ(judged(2.225), Verdict::kUndecided);
  EXPECT_EQ(judged(2.24), Verdict::kUndecided);
  EXPECT_EQ(judged(2.30), Verdict::kOver);
  EXPECT_EQ(Judge({0.7, 0.75}, 0.75), Verdict::kWithin);     // "at or under"
  EXPECT_EQ(Judge({0.75, 0.8}, 0.75), Verdict::kUndecided);  // "above"
}

Sample Straightedge(const Board& board, Edge edge, double departure, double u) {
  Sample sample = HeightAt(0.5 * (board.EdgeStart(edge) + board.EdgeEnd(edge)), departure, u);
  sample.name = Name(edge);
  sample.figure = Figure::kDeparture;
  sample.terms.push_back({board.EdgeStart(edge), -0.5});
  sample.terms.push_back({board.EdgeEnd(edge), -0.5});
  return sample;
}

// "Over" may rest on one edge; "within" needs all four.
TEST(Flatness, OneEdgeMayCondemnButNotAcquit) {
  const Board board = Bare(305, 244);
  SampleSet set;
  set.rest = Rest::kUpright;
  set.samples = {Straightedge(board, Edge::kAB, 4.0, 0.02)};
  EXPECT_EQ(Measure(board, set).bow_verdict, Verdict::kOver);
  set.samples = {Straightedge(board, Edge::kAB, 0.4, 0.02)};
  const Flatness f = Measure(board, set);
  EXPECT_EQ(f.bow_verdict, Verdict::kNotMeasured);
  EXPECT_TRUE(f.bow_measured);
  EXPECT_NEAR(f.bow_percent, 100 * 0.4 / 305, 2e-3);
}

// Straight edges say nothing of twist, nor two of them of the other two: what was not read is not
// measured, however narrow the prior is on a board that looks flat.
TEST(Flatness, AFlatLookingBoardIsNotMeasuredWhereItWasNotRead) {
  const Board board = Bare(305, 244);
  SampleSet set;
  set.rest = Rest::kUpright;
  for (const Edge edge : kEdges) set.samples.push_back(Straightedge(board, edge, 0.0, 0.01));
  EXPECT_EQ(Measure(board, set).bow_verdict, Verdict::kWithin);
  EXPECT_EQ(Measure(board, set).twist_verdict, Verdict::kNotMeasured);
  set.samples.resize(2);
  EXPECT_EQ(Measure(board, set).bow_verdict, Verdict::kNotMeasured);

  SampleSet corners;
  corners.rest = Rest::kFree;
  for (const Eigen::Vector2d& corner : board.corners_mm)
    corners.samples.push_back(HeightAt(corner, 0.0, 0.005));
  EXPECT_EQ(Measure(board, corners).bow_verdict, Verdict::kNotMeasured);
  EXPECT_EQ(Measure(board, corners).twist_verdict, Verdict::kWithin);
}

/// The figures that must not change.
void ExpectSameFigures(const Flatness& a, const Flatness& b, double bow_scale = 1.0) {
  constexpr double kTolDraws =
      0.02;  // share of the interval: the draws differ where the order of rows does
  EXPECT_NEAR(b.bow_percent, bow_scale * a.bow_percent, 1e-6 + 1e-4 * a.bow_percent);
  EXPECT_NEAR(b.twist_percent, bow_scale * a.twist_percent, 1e-6 + 1e-4 * a.twist_percent);
  EXPECT_NEAR(
      b.bow_u95_percent, bow_scale * a.bow_u95_percent, 0.003 + kTolDraws * a.bow_u95_percent);
  EXPECT_NEAR(b.zone_mm, bow_scale * a.zone_mm, 1e-6 + 1e-3 * a.zone_mm);
}

class Invariance : public ::testing::TestWithParam<int> {};

TEST_P(Invariance, TiltShiftOrderAndMirror) {
  Random random(static_cast<std::uint64_t>(GetParam()));
  const Board board = Bare(305, 244);
  const auto shape = testing::RandomShape(board, random.Uniform(0.2, 1.4), random);
  const Surfaced z = [&](const Eigen::Vector2d& p) { return shape.Height(p); };
  const SampleSet set = Grid(board, 5, 0.02, z);
  const Flatness f = Measure(board, set);

  const double a = random.Uniform(-0.02, 0.02), b = random.Uniform(-0.02, 0.02);
  ExpectSameFigures(f, Measure(board, Grid(board, 5, 0.02, [&](const Eigen::Vector2d& p) {
                                 return z(p) + a * p.x() + b * p.y() + 7;
                               })));

  SampleSet reversed = set;
  std::reverse(reversed.samples.begin(), reversed.samples.end());
  ExpectSameFigures(f, Measure(board, reversed));

  // Mirrored left to right: the bow stays, the twist turns to the other diagonal.
  const Flatness mirrored = Measure(board, Grid(board, 5, 0.02, [&](const Eigen::Vector2d& p) {
                                      return z({305 - p.x(), p.y()});
                                    }));
  ExpectSameFigures(f, mirrored);
  if (f.twist_percent > 0.01) {
    EXPECT_NE(mirrored.high_diagonal, f.high_diagonal);
  }

  // Seen from the other side.
  const Flatness turned =
      Measure(board, Grid(board, 5, 0.02, [&](const Eigen::Vector2d& p) { return -z(p); }));
  ExpectSameFigures(f, turned);
  EXPECT_NE(turned.bow_towards, f.bow_towards);
}

// A quarter turn: the corners' letters turn with the board, so AB of the new one is BC of the old.
TEST_P(Invariance, QuarterTurn) {
  Random random(static_cast<std::uint64_t>(GetParam()) + 100);
  const Board square = Bare(244, 244);
  const auto shape = testing::RandomShape(square, random.Uniform(0.2, 1.4), random);
  const Flatness f = Measure(
      square, Grid(square, 5, 0.02, [&](const Eigen::Vector2d& p) { return shape.Height(p); }));
  const Flatness turned = Measure(square, Grid(square, 5, 0.02, [&](const Eigen::Vector2d& p) {
                                    return shape.Height({244 - p.y(), p.x()});
                                  }));
  ExpectSameFigures(f, turned);
  for (std::size_t e = 0; e < 4; ++e) {
    EXPECT_NEAR(turned.edges[e].percent, f.edges[(e + 1) % 4].percent, 1e-4) << e;
  }
}

// Heights and their uncertainty in a unit twice as large: bow and twist double. (The prior's scales
// do not double with them, so the width may differ a little.)
TEST_P(Invariance, Scaling) {
  Random random(static_cast<std::uint64_t>(GetParam()) + 200);
  const Board board = Bare(305, 244);
  const auto shape = testing::RandomShape(board, random.Uniform(0.3, 0.7), random);
  const Flatness f = Measure(
      board, Grid(board, 5, 1e-4, [&](const Eigen::Vector2d& p) { return shape.Height(p); }));
  const Flatness twice = Measure(
      board, Grid(board, 5, 2e-4, [&](const Eigen::Vector2d& p) { return 2 * shape.Height(p); }));
  constexpr double kTolPrior = 0.01;  // between the stations the prior fills in, on its own scale
  EXPECT_NEAR(twice.bow_percent, 2 * f.bow_percent, kTolPrior * f.bow_percent);
  EXPECT_NEAR(twice.twist_percent, 2 * f.twist_percent, kTolPrior * f.twist_percent + 1e-4);
}

INSTANTIATE_TEST_SUITE_P(RandomBoards, Invariance, ::testing::Range(1, 7));

}  // namespace
}  // namespace lieflat
