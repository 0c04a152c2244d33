// The edge in light that is written down, not rendered: a blurred step from paper to board, a thin
// grey line on the paper. Closed form: a step or a strip blurred by a normal distribution of
// standard deviation s is the normal integral of the distance over s.

#include "photo/contact_edge.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace lieflat::internal {
namespace {

constexpr double kPaper = 0.8, kBoard = 0.07, kBlurMm = 0.22;
constexpr double kFirst = 60.0, kLast = 300.0;  // of the board along the sheet
constexpr BandWindow kWindow{20.0, 340.0, 10.0, 34.0};
constexpr double kLeast = 0.6;

double Step(double off) { return 0.5 * std::erfc(-off / kBlurMm / std::numbers::sqrt2); }

struct Scene {
  double edge_at_first = 20.0, slope = 0.0;
  double line_y = 20.0, line_share = 0.4;  ///< what the line, 0.15 mm wide, takes of the light
  double leans = 0.0;                      ///< the board's right end over the paper, a mm of depth
  [[nodiscard]] double Edge(double x) const { return edge_at_first + slope * (x - kFirst); }
  [[nodiscard]] double operator()(double x, double y) const {
    const double behind = y - Edge(x);
    const double last = kLast + leans * std::max(0.0, behind);
    const double beside = Step(x - kFirst) * Step(last - x);
    const auto strip = [&](double from, double to) {
      return to > from ? line_share * (Step(to - y) - Step(from - y)) : 0.0;
    };
    const double from = line_y - 0.075, to = line_y + 0.075;
    const double clear = kPaper * (1.0 - strip(from, to));
    const double before_edge = kPaper * (Step(-behind) - strip(from, std::min(to, Edge(x))));
    const double at_board = before_edge + kBoard * Step(behind);
    return (1.0 - beside) * clear + beside * at_board;
  }
};

std::optional<ContactEdge> Find(const Scene& scene, double looked_for_mm = 0.0) {
  return FindContactEdge([&](double x, double y) -> std::optional<double> { return scene(x, y); },
                         kWindow,
                         scene.line_y + looked_for_mm,
                         kLeast);
}

/// Largest less smallest distance of the places found from the true edge: what a constant, which
/// cancels in a bow, does not explain.
double Spread(const Scene& scene, const ContactEdge& edge) {
  double least = 1e9, most = -1e9;
  for (const auto& at : edge.places_mm) {
    if (at.x() < kFirst + 3.0 || at.x() > kLast - 3.0) continue;
    least = std::min(least, at.y() - scene.Edge(at.x()));
    most = std::max(most, at.y() - scene.Edge(at.x()));
  }
  return most - least;
}

TEST(ContactEdge, TheGreyLineBesideItDoesNotDrawIt) {
  Scene scene;
  scene.edge_at_first = 19.2;  // crosses the line at a small angle
  scene.slope = 1.6 / (kLast - kFirst);
  Scene bare = scene;
  bare.line_share = 0.0;
  constexpr double kElsewhereMm = 8.0;  // where no line is: nothing is given back
  const auto without = Find(bare), drawn = Find(scene, kElsewhereMm), with = Find(scene);
  ASSERT_TRUE(without);
  ASSERT_TRUE(drawn);
  ASSERT_TRUE(with);
  constexpr double kGridMm = 0.004;  // linear interpolation in rows of 0.04 mm
  EXPECT_LT(Spread(bare, *without), kGridMm);
  EXPECT_GT(Spread(scene, *drawn), 0.06);
  // What stays: how far a crossing lies ahead of its edge is that of a step alone.
  EXPECT_LT(Spread(scene, *with), 0.5 * Spread(scene, *drawn));
}

TEST(ContactEdge, ItsEndsAreItsOwnWhereTheLineGoesOn) {
  // The right end stands 1.4 mm before the line; beyond it the leaning end meets the line in view.
  Scene scene;
  scene.edge_at_first = 20.4;
  scene.slope = -1.8 / (kLast - kFirst);
  for (const double leans : {0.0, 0.3, 0.6, 1.0}) {
    scene.leans = leans;
    const auto edge = Find(scene);
    ASSERT_TRUE(edge) << leans;
    EXPECT_FALSE(edge->cut_off) << leans;
    EXPECT_NEAR(edge->first_mm.x(), kFirst, 0.5) << leans;
    EXPECT_NEAR(edge->last_mm.x(), kLast, 1.0) << leans;
  }
}

TEST(ContactEdge, ItEndsWhereTheBoardsUprightSideBegins) {
  // Seen from the left and from near, the right end's upright side runs over the blank paper behind
  // the edge: by so many mm along for each away. It is as sharp as the edge and no part of it.
  Scene scene;
  scene.edge_at_first = 20.4;
  for (const double leans : {1.4, 1.7, 2.0, 2.4, 3.0}) {
    scene.leans = leans;
    const auto edge = Find(scene);
    ASSERT_TRUE(edge) << leans;
    EXPECT_FALSE(edge->cut_off) << leans;
    // Half of the light behind is lost where the side has come in by the depth that is looked at.
    constexpr double kDepthMm = 0.5;
    EXPECT_NEAR(edge->last_mm.x(), kLast, 0.5 + kDepthMm * leans) << leans;
    for (const auto& at : edge->places_mm) EXPECT_NEAR(at.y(), scene.Edge(at.x()), 0.5) << leans;
  }
}

}  // namespace
}  // namespace lieflat::internal
