// Bow, twist and their intervals from edges whose mean and draws are set by hand, so that every
// figure has a closed form.

#include <algorithm>
#include <cmath>
#include <functional>

#include <gtest/gtest.h>

#include "lieflat/flatness/flatness.h"

namespace lieflat {
namespace {

constexpr int kPlaces = Surface::kEdgePlaces;
constexpr int kDraws = 2001;
constexpr double kTol = 1e-9;  // roundings of figures near 1, and of the parabola's top

/// 300 x 200 mm: 0.75 % is 2.25 mm on AB, 1.5 mm on BC.
Board Plain() {
  Board board = RectangularBoard(300, 200, Calib::Embedded()).value();
  board.populated = false;
  return board;
}

using Profile = std::array<double, kPlaces>;

/// An arc of so much height in the middle, mm.
Profile Arc(double height_mm) {
  Profile heights{};
  for (int i = 0; i < kPlaces; ++i) {
    const double s = static_cast<double>(i) / (kPlaces - 1);
    heights.at(static_cast<std::size_t>(i)) = 4.0 * height_mm * s * (1.0 - s);
  }
  return heights;
}

class Drawn {
 public:
  Drawn() : board_(Plain()), surface_(SurfaceBasis(board_)) {
    surface_.mean = Eigen::VectorXd::Zero(surface_.basis.size());
    surface_.coefficient_draws = Eigen::MatrixXd::Zero(surface_.basis.size(), 20);
    surface_.edge_mean = Eigen::VectorXd::Zero(4 * kPlaces);
    surface_.edge_draws = Eigen::MatrixXd::Zero(4 * kPlaces, kDraws);
    samples_.rest = Rest::kUpright;
    Sample strips;
    strips.figure = Figure::kTwist;
    strips.procedure = "strips";
    samples_.samples = {strips};
  }

  /// Takes a straightedge along the edge as read: the edge is known, by this mean and these draws.
  void Set(Edge edge, const Profile& mean, const std::function<Profile(double share)>& draw) {
    Sample sample;
    sample.figure = Figure::kDeparture;
    sample.terms = {{0.5 * (board_.EdgeStart(edge) + board_.EdgeEnd(edge)), 1.0}};
    samples_.samples.push_back(sample);
    const int first = kPlaces * static_cast<int>(edge);
    for (int i = 0; i < kPlaces; ++i)
      surface_.edge_mean(first + i) = mean.at(static_cast<std::size_t>(i));
    for (int j = 0; j < kDraws; ++j) {
      const Profile drawn = draw(static_cast<double>(j) / (kDraws - 1));
      for (int i = 0; i < kPlaces; ++i)
        surface_.edge_draws(first + i, j) = drawn.at(static_cast<std::size_t>(i));
    }
  }
  void Set(Edge edge, const Profile& profile) {
    Set(edge, profile, [&](double) { return profile; });
  }
  void SetTwist(double mean_q_mm, const std::function<double(double share)>& draw) {
    surface_.edge_mean(0) = mean_q_mm;  // corner A alone is up
    for (int j = 0; j < kDraws; ++j)
      surface_.edge_draws(0, j) = draw(static_cast<double>(j) / (kDraws - 1));
  }

  [[nodiscard]] Flatness Measure(double sag_mm = 0.0, Rest rest = Rest::kUpright) const {
    SampleSet samples = samples_;
    samples.rest = rest;
    return MeasureFlatness(board_, samples, surface_, sag_mm, Calib::Embedded());
  }

 private:
  Board board_;
  Surface surface_;
  SampleSet samples_;
};

TEST(DrawnEdges, AStraightEdgeHasNoBow) {
  Drawn drawn;
  for (const Edge edge : kEdges) drawn.Set(edge, Profile{});
  const Flatness f = drawn.Measure();
  EXPECT_EQ(f.bow_percent, 0.0);
  EXPECT_EQ(f.bow_percent95.high, 0.0);
  EXPECT_EQ(f.bow_verdict, Verdict::kWithin);
  EXPECT_EQ(f.bow_towards, Side::kComponent);
  EXPECT_EQ(f.twist_percent, 0.0);
  EXPECT_EQ(f.high_diagonal, "AC");
  EXPECT_NEAR(f.zone95_mm.high, 0.0, kTol);
  EXPECT_EQ(f.next_reading, "");
}

// The top of a parabola that lies between the places: 2.25 - 0.1 (i - 6.3)^2 has it at 2.25 mm.
TEST(DrawnEdges, TheTopLiesBetweenThePlaces) {
  Profile peak{};
  for (const std::size_t i : {5U, 6U, 7U})
    peak.at(i) = 2.25 - 0.1 * std::pow(static_cast<double>(i) - 6.3, 2);
  Drawn drawn;
  Profile even{};  // two places of one height: the top is half-way between
  for (const std::size_t i : {5U, 6U, 7U, 8U})
    even.at(i) = 2.25 - 0.1 * std::pow(static_cast<double>(i) - 6.5, 2);
  drawn.Set(Edge::kAB, even);
  EXPECT_NEAR(drawn.Measure().bow_percent, 0.75, kTol);
  drawn.Set(Edge::kAB, peak);
  const Flatness f = drawn.Measure();
  EXPECT_NEAR(f.edges[0].gap_mm, 2.25, kTol);
  EXPECT_NEAR(f.bow_percent, 0.75, kTol);
  Profile hollow{};
  std::transform(peak.begin(), peak.end(), hollow.begin(), [](double z) { return -z; });
  drawn.Set(Edge::kAB, hollow);
  EXPECT_NEAR(drawn.Measure().edges[0].percent, -0.75, kTol);
  EXPECT_EQ(drawn.Measure().bow_towards, Side::kSolder);
}

// Below its chord all along, 4 mm in the middle: towards the other side it has no bow at all,
// though the places next to an end bend downwards.
TEST(DrawnEdges, AnEdgeThatLiesBelowItsChordBowsDownOnly) {
  Profile below = {0.0, -1.0, -2.01, -3.0, -3.5, -3.9, -4.0, -3.9, -3.5, -3.0, -2.6, -1.5, 0.0};
  for (int turn = 0; turn < 2; ++turn) {
    Drawn drawn;
    drawn.Set(Edge::kAB, below);
    EXPECT_NEAR(drawn.Measure().edges[0].percent, -100.0 * 4.0 / 300.0, kTol) << turn;
    std::reverse(below.begin(), below.end());
  }
}

// Bows of a + b q^2 for q evenly from 0 to 1 have the quantile a + b q^2. Of the intervals from the
// share x to 0.95 + x, x in steps of half a percent from 0.005 to 0.045, that of the smallest x is
// the shortest, since the density falls; for a + b (1 - (1 - q)^2) it is that of the largest.
TEST(DrawnEdges, TheShortestOfTheIntervalsOfTheLargestBow) {
  for (const double sign : {1.0, -1.0}) {
    Drawn drawn;
    drawn.Set(
        Edge::kAB, Arc(sign * 1.8), [&](double q) { return Arc(sign * (1.5 + 0.6 * q * q)); });
    const Flatness falling = drawn.Measure();
    EXPECT_NEAR(falling.bow_percent, 0.6, kTol);
    EXPECT_NEAR(falling.bow_percent95.low, 0.5 + 0.2 * 0.005 * 0.005, 1e-6);
    EXPECT_NEAR(falling.bow_percent95.high, 0.5 + 0.2 * 0.955 * 0.955, 1e-6);
    EXPECT_NEAR(falling.bow_u95_percent, falling.bow_percent95.half_width(), kTol);
    drawn.Set(Edge::kAB, Arc(sign * 1.8), [&](double q) {
      return Arc(sign * (1.5 + 0.6 * (1.0 - (1.0 - q) * (1.0 - q))));
    });
    const Flatness rising = drawn.Measure();
    EXPECT_NEAR(rising.bow_percent95.low, 0.5 + 0.2 * (1.0 - 0.955 * 0.955), 1e-6);
    EXPECT_NEAR(rising.bow_percent95.high, 0.5 + 0.2 * (1.0 - 0.005 * 0.005), 1e-6);
  }
}

// The interval holds the figure itself, though all draws lie to one side of it.
TEST(DrawnEdges, TheIntervalHoldsTheFigure) {
  const auto spread = [](double q) { return Arc(1.5 + 0.6 * q); };
  Drawn drawn;
  drawn.Set(Edge::kAB, Arc(1.2), spread);
  EXPECT_NEAR(drawn.Measure().bow_percent95.low, 0.4, kTol);
  drawn.Set(Edge::kAB, Arc(2.4), spread);
  EXPECT_NEAR(drawn.Measure().bow_percent95.high, 0.8, kTol);
}

// Two edges that contend: from below the interval rests on the edge of the figure alone, from above
// on whichever is larger, draw by draw. AB is drawn from 0.7 to 0.5 %, CD the other way round, so
// that the larger is never under 0.6 %.
TEST(DrawnEdges, TwoEdgesContendFromAboveOnly) {
  Drawn drawn;
  drawn.Set(Edge::kAB, Arc(1.81), [](double q) { return Arc(2.1 - 0.6 * q); });
  drawn.Set(Edge::kCD, Arc(-1.80), [](double q) { return Arc(-1.5 - 0.6 * q); });
  const Flatness f = drawn.Measure();
  EXPECT_EQ(f.bow_edge, Edge::kAB);
  EXPECT_EQ(f.bow_towards, Side::kComponent);
  // The larger, 0.6 + 0.1 q, rises half as fast as the single edge: the largest x is the shortest.
  EXPECT_NEAR(f.bow_percent95.low, 0.5 + 0.2 * 0.045, 1e-6);
  EXPECT_NEAR(f.bow_percent95.high, 0.6 + 0.1 * 0.995, 1e-6);
  EXPECT_EQ(f.bow_verdict, Verdict::kNotMeasured) << "two edges were not read";
  EXPECT_EQ(f.edges[0].verdict, Verdict::kWithin);
  EXPECT_EQ(f.edges[1].verdict, Verdict::kNotMeasured);
  // Each edge for itself: 95 % of an even spread of 0.2 %, on 300 mm.
  EXPECT_NEAR(f.edges[0].percent95.half_width(), 0.5 * 0.95 * 0.2, 2e-4);
  EXPECT_NEAR(f.edges[0].gap_u95_mm, 3.0 * f.edges[0].percent95.half_width(), kTol);
}

// Four edges, each under the limit in 97.6 % of its draws, but never over it in the same draw: none
// is open by itself, the largest of them is, and the largest edge is to be read again.
TEST(DrawnEdges, NoEdgeIsOpenButTheLargestIs) {
  Drawn drawn;
  for (const Edge edge : kEdges) {
    const double length_mm = edge == Edge::kAB || edge == Edge::kCD ? 300.0 : 200.0;
    const double from = 0.1 + 0.2 * static_cast<double>(edge);
    drawn.Set(edge, Arc((edge == Edge::kBC ? 0.0070 : 0.0069) * length_mm), [=](double q) {
      return Arc((q >= from && q < from + 0.024 ? 0.0080 : 0.0070) * length_mm);
    });
  }
  const Flatness f = drawn.Measure();
  for (const EdgeBow& edge : f.edges) EXPECT_EQ(edge.verdict, Verdict::kWithin);
  EXPECT_EQ(f.bow_verdict, Verdict::kUndecided);
  EXPECT_EQ(f.next_reading,
            "read BC three more times, at the widest gap, with blades 0.05 mm apart: the limit is "
            "1.50 mm there");
}

// Of the edges that are open the one that bows most is read again, whichever way it bows; one that
// bows more and is over is not.
TEST(DrawnEdges, TheWidestOpenEdgeIsReadAgain) {
  const auto around = [](double mm) {
    return [mm](double q) { return Arc(mm * (0.95 + 0.1 * q)); };
  };
  Drawn drawn;
  drawn.Set(Edge::kAB, Arc(2.25), around(2.25));
  drawn.Set(Edge::kBC, Arc(1.46), around(1.50));  // less, in percent
  drawn.Set(Edge::kCD, Arc(-2.28), around(-2.25));
  drawn.Set(Edge::kDA, Arc(0.0));
  EXPECT_TRUE(drawn.Measure().next_reading.starts_with("read CD three more times"));
  drawn.Set(Edge::kDA, Arc(1.7));
  EXPECT_EQ(drawn.Measure().bow_verdict, Verdict::kOver);
}

// Sag may be in the figures: 0.3 mm are 0.1 % of AB and 0.15 % of BC. Bow of 0.6 to 0.62 % of AB is
// within with it, the same of BC is not, and 0.8 % is over only without.
TEST(DrawnEdges, SagCountsByTheEdgesLength) {
  const auto measure = [](Edge edge, double percent, double sag_mm, Rest rest) {
    Drawn drawn;
    for (const Edge each : kEdges) drawn.Set(each, Profile{});
    const double length_mm = edge == Edge::kAB ? 300.0 : 200.0;
    const double mm = percent / 100.0 * length_mm;
    drawn.Set(edge, Arc(mm), [&](double q) { return Arc(mm + 0.0002 * length_mm * (q - 0.5)); });
    return drawn.Measure(sag_mm, rest);
  };
  EXPECT_EQ(measure(Edge::kAB, 0.62, 0.3, Rest::kTable).bow_verdict, Verdict::kWithin);
  EXPECT_EQ(measure(Edge::kBC, 0.62, 0.3, Rest::kTable).bow_verdict, Verdict::kUndecided);
  EXPECT_EQ(measure(Edge::kBC, 0.62, 0.3, Rest::kTable).edges[1].verdict, Verdict::kUndecided);
  EXPECT_EQ(measure(Edge::kBC, 0.62, 0.3, Rest::kUpright).bow_verdict, Verdict::kWithin);
  EXPECT_EQ(measure(Edge::kAB, 0.80, 0.3, Rest::kTable).bow_verdict, Verdict::kUndecided);
  EXPECT_EQ(measure(Edge::kAB, 0.80, 0.3, Rest::kUpright).bow_verdict, Verdict::kOver);
  EXPECT_EQ(measure(Edge::kAB, 0.90, 0.3, Rest::kTable).bow_verdict, Verdict::kOver);
}

// q = zA - zB + zC - zD; percent = 100 q / (2 D), D = 360.555 mm; the interval has equal tails of
// the signed q and is folded at zero.
TEST(DrawnEdges, TwistFoldsAtZero) {
  const double percent_a_mm = 100.0 / (2.0 * std::hypot(300.0, 200.0));
  Drawn drawn;
  drawn.SetTwist(3.0, [](double q) { return 4.0 - 2.0 * q; });
  const Flatness up = drawn.Measure();
  EXPECT_NEAR(up.twist_percent95.low, (2.0 + 2.0 * 0.025) * percent_a_mm, 1e-6);
  EXPECT_NEAR(up.twist_percent95.high, (2.0 + 2.0 * 0.975) * percent_a_mm, 1e-6);
  EXPECT_NEAR(up.twist_u95_percent, 0.95 * percent_a_mm, 1e-6);
  EXPECT_NEAR(up.twist_q_u95_mm, 0.95, 1e-6);
  EXPECT_NEAR(up.twist_percent, 3.0 * percent_a_mm, kTol);
  EXPECT_EQ(up.high_diagonal, "AC");
  drawn.SetTwist(-3.0, [](double q) { return -2.0 - 2.0 * q; });
  const Flatness down = drawn.Measure();
  EXPECT_NEAR(down.twist_percent95.low, up.twist_percent95.low, 1e-6);
  EXPECT_NEAR(down.twist_percent95.high, up.twist_percent95.high, 1e-6);
  EXPECT_EQ(down.high_diagonal, "BD");
  drawn.SetTwist(0.5, [](double q) { return -1.0 + 3.0 * q; });
  const Flatness across = drawn.Measure();
  EXPECT_EQ(across.twist_percent95.low, 0.0);
  EXPECT_NEAR(across.twist_percent95.high, (-1.0 + 3.0 * 0.975) * percent_a_mm, 1e-6);
}

}  // namespace
}  // namespace lieflat
