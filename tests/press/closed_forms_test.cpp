// Ways of holding a strip, against beam theory. Euler-Bernoulli beam of EI 1.6384e6 N mm2, stress-
// free curvature k0 = 8 h / L^2; M = EI (k - k0). Deflections of beams: Gere & Timoshenko,
// Mechanics of Materials, 4th ed., appendix G; the rest derived there from.

#include <cmath>

#include "press/pressed_boards.h"

namespace lieflat {
namespace {

using namespace testing;

constexpr double kRise = 5.0;
constexpr double kBow = 8.0 * kRise / (kStripLong * kStripLong);

/// Fine cells: zones of contact end between grid lines.
PressOptions Fine() {
  PressOptions options = Weightless();
  options.cell_mm = options.fine_mm = 5.0;
  return options;
}

// Between rigid planes: point contact down to a third of the rise, F = 48 EI (h - g) / L^3; below
// that a zone lies flat and F = 2 EI k0 / s with free ends s = sqrt(6 g / k0). Each step is one
// gap.
TEST(PressClosedForms, StripBetweenPlates) {
  const Board board = StripBoard();
  const Pressing pressing = Press(board, Bowed(kRise), BetweenPlates{0.05 * kRise, 0.0}, Fine());
  ASSERT_GE(pressing.steps.size(), 4U);
  EXPECT_NEAR(pressing.warp_mm, kRise, 1e-6);
  for (const PressStep& step : pressing.steps) {
    const double g = step.gap_mm;
    const double force = g >= kRise / 3.0
                             ? 48.0 * kStripStiffness * (kRise - g) / std::pow(kStripLong, 3)
                             : 2.0 * kStripStiffness * kBow / std::sqrt(6.0 * g / kBow);
    constexpr double kCells = 0.015;  // cells of 5 mm beside free ends of 40 mm
    EXPECT_NEAR(step.load_n, force, kCells * force) << g;
    EXPECT_NEAR(step.contact_n, step.load_n, 1e-6 * force);
  }
  EXPECT_NEAR(pressing.end().gap_mm, 0.05 * kRise, 1e-4);
  EXPECT_TRUE(pressing.flat_load_n);
}

// The same with the load given and the upper plate free to tilt: 17.72 N leave a tenth of the rise.
TEST(PressClosedForms, StripUnderAPlateWithALoad) {
  const Pressing pressing =
      Press(StripBoard(), Bowed(kRise), BetweenPlates{std::nullopt, 17.72}, Fine());
  EXPECT_NEAR(pressing.end().gap_mm, 0.1 * kRise, 0.03 * 0.1 * kRise);
  EXPECT_NEAR(pressing.end().load_n, 17.72, 1e-6);
}

// Four-point bending: on its two ends, a load F across at a third of the length from each. Between
// the loads M = F L / 3, so that the strain changes by F L t / (6 EI); the middle sinks by
// 23 F L^3 / (648 EI).
TEST(PressClosedForms, FourPointBending) {
  constexpr double kForce = 3.0;
  PressOptions options = Fine();
  options.points_mm = {{150, 120}, {150, 60}, {120, 120}};
  const Pressing pressing = Press(StripBoard(),
                                  Bowed(kRise),
                                  UnderWeights{{LineWeight(100, kForce), LineWeight(200, kForce)}},
                                  options);
  const double strain = kForce * kStripLong * kStripThick / (6.0 * kStripStiffness);
  const double sinks = 23.0 * kForce * std::pow(kStripLong, 3) / (648.0 * kStripStiffness);
  ASSERT_LT(sinks, kRise);
  for (const PressPoint& point : pressing.points) {
    // Pressed down in the middle: the lower face is stretched.
    EXPECT_NEAR(point.bottom.x(), strain, 0.01 * strain);
    EXPECT_NEAR(point.top.y(), -strain, 0.01 * strain);
    EXPECT_NEAR(point.bottom.y(), 0.0, 0.01 * strain);
  }
  EXPECT_NEAR(pressing.points[0].height_mm, kRise - sinks, 0.01 * sinks);
  EXPECT_NEAR(pressing.end().load_n, 2.0 * kForce, 1e-9);
}

// Three-point bending: the board lies on its middle, bars along its two ends draw it down. A
// cantilever of length a with P at its end sinks by P a^3 / 3 EI and turns by P a^2 / 2 EI; the rim
// beyond the bar follows straight. The moment at x from the end is P (x - inset).
TEST(PressClosedForms, ThreePointBendingUnderTwoBars) {
  constexpr double kForce = 4.0;
  const double inset = Numbers().Number("press", "/bar_inset_mm").value;
  const double a = 0.5 * kStripLong - inset;
  PressOptions options = Fine();
  options.points_mm = {{75, 120}, {225, 120}, {0.0, 120}, {300.0, 120}};
  const Pressing pressing =
      Press(StripBoard(), Bowed(-kRise), UnderBars{{Edge::kBC, Edge::kDA}, kForce}, options);
  const double sinks = kForce * a * a * a / (3.0 * kStripStiffness) +
                       kForce * a * a / (2.0 * kStripStiffness) * inset;
  ASSERT_LT(sinks, kRise);
  // On one line it may rock a little either way: the mean of its ends counts.
  const double ends = 0.5 * (pressing.points[2].height_mm + pressing.points[3].height_mm);
  EXPECT_NEAR(ends, kRise - sinks, 0.01 * sinks);
  const double strain = kForce * (75.0 - inset) * 0.5 * kStripThick / kStripStiffness;
  EXPECT_NEAR(pressing.points[0].top.x(), strain, 0.01 * strain);
  EXPECT_NEAR(pressing.points[1].bottom.y(), -strain, 0.01 * strain);
  EXPECT_NEAR(pressing.end().contact_n, 2.0 * kForce, 1e-6);
}

// Drawn flat by screws at the ends and in the middle, the strip takes the closed form of a beam on
// three supports that one of them is off by h: P = 48 EI h / L^3 on the middle.
TEST(PressClosedForms, ThreeRowsOfScrews) {
  Board board = StripBoard();
  for (const double x : {0.0, 150.0, 300.0}) {
    for (int k = 0; k <= 8; ++k) board.holes.push_back({{x, 30.0 * k}, 4.0, "mount"});
  }
  const Pressing pressing = Press(board, Bowed(kRise), OnStandOffs{}, Fine());
  const double force = 48.0 * kStripStiffness * kRise / std::pow(kStripLong, 3);
  double middle = 0.0;
  for (const PressForce& on : pressing.forces) {
    if (on.at_mm.x() == 150.0) middle -= on.up_n;
  }
  EXPECT_NEAR(middle, force, 0.01 * force);
  // Twice as far on the way, twice the load: a cylinder bends without stretching.
  EXPECT_NEAR(pressing.steps[0].load_n * 4.0, pressing.end().load_n, 0.01 * force);
}

}  // namespace
}  // namespace lieflat
