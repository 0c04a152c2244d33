#include "lieflat/trend/change.h"

#include <cmath>
#include <iostream>

#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "support/counts.h"

namespace lieflat {
namespace {

Board Board305() {
  const auto board = RectangularBoard(305, 244, Calib::Embedded());
  if (!board) {
    throw std::runtime_error(board.error().Text());
  }
  return *board;
}

// |y2 - y1| > z or t times s sqrt(1/n1 + 1/n2) at 95 % (NIST/SEMATECH e-Handbook of Statistical
// Methods, 7.3.1), s = 0.08: 1.960 * 0.08 * sqrt(2) = 0.222; 1.960 * 0.08 * sqrt(2/3) = 0.128; t(6)
// = 2.447: 0.160 mm.
TEST(Change, DetectableAsByHand) {
  constexpr double kTolMm = 5e-4;  // the values above are rounded to 0.001
  EXPECT_NEAR(DetectableChange(0.08, 1, 1), 0.222, kTolMm);
  EXPECT_NEAR(DetectableChange(0.08, 3, 3), 0.128, kTolMm);
  EXPECT_NEAR(DetectableChange(0.08, 3, 3, 6.0), 0.160, kTolMm);
}

constexpr int kRepeats = 3;
constexpr double kReadingU = 0.2;

/// Three readings of each edge's gap through the same door as a person's; straightedge on the
/// hollow face.
SampleSet ReadEdges(const Board& board, const std::array<double, 4>& bows_mm, Random& random) {
  Gauge gauge;
  for (const Edge edge : kEdges) {
    for (int i = 0; i < kRepeats; ++i) {
      GaugeRow row;
      row.edge = edge;
      const double read = bows_mm.at(static_cast<std::size_t>(edge)) + kReadingU * random.Normal();
      row.side = Side::kSolder;
      row.value_mm = std::max(read, 0.0);  // no gap is below 0
      row.u_mm = kReadingU;
      gauge.rows.push_back(row);
    }
  }
  auto set = ToSamples(gauge, board, Calib::Embedded(), {}, "up.csv");
  if (!set) {
    throw std::runtime_error(set.error().Text());
  }
  return *set;
}

/// Share of boards called changed when the long edges' bow changes by `change_mm`.
double CalledChanged(double change_mm, std::uint64_t seed) {
  Random random(seed);
  const Board board = Board305();
  const int count = testing::Count(2000, 10000);
  int called = 0;
  for (int i = 0; i < count; ++i) {
    const double bow = random.Uniform(0.8, 5.0);
    std::array<double, 4> bows = {bow, 0.3 * bow, bow * random.Uniform(0.9, 1.0), 0.3 * bow};
    const SampleSet before = ReadEdges(board, bows, random);
    bows[0] += change_mm;
    const SampleSet after = ReadEdges(board, bows, random);
    const auto change = CompareReadings(board, before, after);
    if (!change) {
      throw std::runtime_error(change.error().Text());
    }
    called += change->changed ? 1 : 0;
  }
  return static_cast<double>(called) / count;
}

// Four edges, three readings each, u 0.2 mm: 0.5 mm is 3.06 standard deviations of a difference of
// two means, so a test at 3.2 % sees it with probability Phi(3.06 - 2.14) = 82 %.
TEST(Change, CompareReadings) {
  const std::uint64_t seed = 20260302;
  SCOPED_TRACE("seed " + std::to_string(seed));
  const double false_calls = CalledChanged(0.0, seed);
  const double seen = CalledChanged(0.5, seed + 1);
  RecordProperty("false_calls", std::to_string(false_calls));
  RecordProperty("seen", std::to_string(seen));
  std::cout << "unchanged boards called changed " << false_calls << ", a change of 0.5 mm seen "
            << seen << "\n";
  EXPECT_LE(false_calls, 0.05);
  EXPECT_GE(seen, 0.80);
}

SampleSet Heights(const Board& board, const std::vector<std::pair<std::string, double>>& heights) {
  Gauge gauge;
  gauge.rest = Rest::kFree;
  for (const auto& [station, height] : heights) {
    GaugeRow row;
    row.station = station;
    row.value_mm = height;
    row.u_mm = 0.05;
    gauge.rows.push_back(row);
  }
  auto set = ToSamples(gauge, board, Calib::Embedded(), {}, "up.csv");
  if (!set) {
    throw std::runtime_error(set.error().Text());
  }
  return *set;
}

// A tilt is no change; a raised mid-edge is one of that edge; a raised corner one of its edges and
// of q.
TEST(Change, HeightsAreComparedWithoutTheirPlane) {
  const Board board = Board305();
  const auto before = Heights(board, {{"A", 0}, {"B", 0}, {"C", 0}, {"D", 0}, {"AB", 1}});
  const auto tilted = Heights(board, {{"A", 0}, {"B", 2}, {"C", 5}, {"D", 3}, {"AB", 2}});
  const auto change = CompareReadings(board, before, tilted);
  ASSERT_TRUE(change) << change.error().Text();
  EXPECT_FALSE(change->changed);
  ASSERT_EQ(change->figures.size(), 2U);
  EXPECT_EQ(change->figures[0].name, "bow AB");
  EXPECT_NEAR(change->figures[0].before_mm, 1.0, 1e-12);
  EXPECT_NEAR(change->figures[0].change_mm, 0.0, 1e-12);
  EXPECT_EQ(change->figures[1].name, "twist");
  const auto raised = Heights(board, {{"A", 0}, {"B", 0}, {"C", 1}, {"D", 0}, {"AB", 1}});
  const auto twisted = CompareReadings(board, before, raised);
  ASSERT_TRUE(twisted);
  EXPECT_TRUE(twisted->changed);
  EXPECT_NEAR(twisted->figures[1].change_mm, 1.0, 1e-12);
  // sd of q: 2 * 0.05 at each time, so sqrt(2) * 0.1; alone beside one deciding figure it has 0.8
  // %: z = 2.6521
  EXPECT_NEAR(twisted->figures[1].noise_mm, 2.6521 * 0.1 * std::sqrt(2.0), 1e-4);
}

// Stations that make no edge: residuals of the plane. A corner lifted by 1 of a unit square's four
// changes each residual by 1/4.
TEST(Change, OtherStationsOverTheirPlane) {
  const Board board = Board305();
  const auto before = Heights(board, {{"AB", 0}, {"BC", 0}, {"CD", 0}, {"DA", 0}});
  const auto after = Heights(board, {{"AB", 1}, {"BC", 0}, {"CD", 0}, {"DA", 0}});
  const auto change = CompareReadings(board, before, after);
  ASSERT_TRUE(change) << change.error().Text();
  ASSERT_EQ(change->figures.size(), 4U);
  for (const auto& figure : change->figures) {
    EXPECT_NEAR(std::abs(figure.change_mm), 0.25, 1e-12) << figure.name;
  }
  EXPECT_TRUE(change->changed);
}

TEST(Change, NothingInCommon) {
  const Board board = Board305();
  const auto one =
      CompareReadings(board, Heights(board, {{"A", 0}, {"B", 0}}), Heights(board, {{"C", 0}}));
  ASSERT_FALSE(one);
  EXPECT_EQ(one.error().code, ErrorCode::kNoFigure);
  EXPECT_EQ(one.error().Text(),
            "readings: the two have no figure in common (read the same places in the same form, "
            "four heights at "
            "least)");
  auto upright = Heights(board, {{"A", 0}});
  upright.rest = Rest::kUpright;
  const auto other = CompareReadings(board, upright, Heights(board, {{"A", 0}}));
  ASSERT_FALSE(other);
  EXPECT_EQ(other.error().Text(),
            "readings: taken upright before and free after, so the board's weight acts differently "
            "(read it again "
            "the way it was read before)");
}

// A tool's own error comes back and cancels: with blades alone the noise is their step and the
// repeatability, as by hand.
TEST(Change, ErrorsOfTheToolCancel) {
  const Board board = Board305();
  Gauge gauge;
  GaugeRow row;
  row.edge = Edge::kAB;
  row.side = Side::kSolder;
  row.go_mm = 1.0;
  row.no_go_mm = 1.1;
  gauge.rows = {row};
  const auto set = ToSamples(gauge, board, Calib::Embedded(), {}, "up.csv");
  ASSERT_TRUE(set);
  const auto change = CompareReadings(board, *set, *set);
  ASSERT_TRUE(change) << change.error().Text();
  const double u =
      std::sqrt(0.05 * 0.05 / 3.0 + 0.015 * 0.015);  // repeatability: calib/gauges.json, blades
  EXPECT_NEAR(
      change->figures[0].noise_mm, 2.1444 * u * std::sqrt(2.0), 1e-4);  // z of 3.2 % two-sided
  EXPECT_FALSE(change->changed);
}

}  // namespace
}  // namespace lieflat
