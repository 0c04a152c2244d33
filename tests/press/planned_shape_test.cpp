// What the press plans is what the assessment would then read: the shape under a hold, its heights
// given as readings without weight, has the bow and the twist that the press shows.

#include <algorithm>
#include <cmath>

#include "lieflat/flatness/flatness.h"
#include "lieflat/readings/sample.h"

#include "press/pressed_boards.h"

namespace lieflat {
namespace {

using namespace testing;

constexpr int kAlong = 25;  // places on an edge

/// Places on the four edges, edge after edge, then a grid over the board.
std::vector<Eigen::Vector2d> Places(const Board& board) {
  std::vector<Eigen::Vector2d> places;
  for (const Edge edge : kEdges) {
    for (int k = 0; k < kAlong; ++k) {
      const double share = k / (kAlong - 1.0);
      places.emplace_back(board.EdgeStart(edge) +
                          share * (board.EdgeEnd(edge) - board.EdgeStart(edge)));
    }
  }
  const Eigen::Vector2d size = board.Box().second;
  constexpr int kInner = 7;
  for (int i = 1; i < kInner; ++i) {
    for (int j = 1; j < kInner; ++j)
      places.emplace_back(size.x() * i / kInner, size.y() * j / kInner);
  }
  return places;
}

/// Largest departure from the chord, percent of the edge, signed; from the press's own heights.
double BowOf(const Pressing& pressing, std::size_t edge, double length_mm) {
  const auto height = [&](int k) {
    return pressing.points[edge * kAlong + static_cast<std::size_t>(k)].height_mm;
  };
  double largest = 0.0;
  for (int k = 0; k < kAlong; ++k) {
    const double share = k / (kAlong - 1.0);
    const double departs = height(k) - (1.0 - share) * height(0) - share * height(kAlong - 1);
    if (std::abs(departs) > std::abs(largest)) largest = departs;
  }
  return 100.0 * largest / length_mm;
}

TEST(PlannedShape, AssessesAsPredicted) {
  const Board board = BoardWithParts();
  PressOptions options;
  options.points_mm = Places(board);
  for (const PressWay& way :
       {PressWay{UnderWeights{{{1.0, {150, 120}, {80, 60}, false}}}}, PressWay{OnStandOffs{}}}) {
    const Pressing pressing = Press(board, Warped(board), way, options);
    Gauge gauge;
    gauge.rest = Rest::kFree;
    constexpr double kReadMm = 0.005;
    for (const PressPoint& point : pressing.points) {
      GaugeRow row;
      row.at_mm = point.at_mm;
      row.value_mm = point.height_mm;
      row.u_mm = kReadMm;
      const auto same = [&](const GaugeRow& other) {
        return (*other.at_mm - *row.at_mm).norm() < 1e-6;  // a corner ends two edges
      };
      if (std::none_of(gauge.rows.begin(), gauge.rows.end(), same)) gauge.rows.push_back(row);
    }
    const auto samples = ToSamples(gauge, board, Numbers(), std::nullopt, "planned").value();
    const Surface surface = FitSurface(board, samples, Numbers()).value();
    const Flatness flatness = MeasureFlatness(board, samples, surface, 0.0, Numbers());
    for (std::size_t edge = 0; edge < kEdges.size(); ++edge) {
      SCOPED_TRACE(std::string(Name(way)) + " " + Name(kEdges[edge]));
      const double predicted = BowOf(pressing, edge, board.EdgeLength(kEdges[edge]));
      // What a smooth surface makes of a pressed board: 0.02 % of 305 mm is 0.06 mm.
      EXPECT_NEAR(flatness.edges[edge].percent, predicted, 0.02);
    }
    const auto corner = [&](std::size_t edge) { return pressing.points[edge * kAlong].height_mm; };
    const double q = corner(0) - corner(1) + corner(2) - corner(3);
    EXPECT_NEAR(flatness.twist_q_mm, q, 0.05);
  }
}

}  // namespace
}  // namespace lieflat
