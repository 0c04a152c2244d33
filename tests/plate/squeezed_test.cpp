// A rigid plate, free to tilt, that presses the board right down onto the table: many places are
// squeezed between the two, and statics alone does not say which carries how much.

#include <cmath>

#include <gtest/gtest.h>

#include "plates.h"

namespace lieflat {
namespace {

using namespace testing;

constexpr double kBalance = 1e-6;

Hold UnderAPlate(double load_n) {
  Hold hold;
  hold.plate = Hold::TopPlate{std::nullopt, load_n};
  return hold;
}

Plate BoardOf(double mass_g) {
  PlateModel model = BareBoard(kBoardLong, kBoardWide, BoardPly(), 12.0);
  model.masses = {{.mass_g = mass_g}};
  return Plate::Make(std::move(model)).value();
}

void ExpectBalance(const Plate& plate, const PlateSolution& solution, double load_n) {
  const double all = load_n + plate.weight_n();
  EXPECT_NEAR(UpForce(solution, Touch::kPlate), -load_n, kBalance * all);
  EXPECT_NEAR(UpForce(solution, Touch::kTable), all, kBalance * all);
  for (const ContactForce& contact : solution.contacts)
    EXPECT_GE(contact.what == Touch::kTable ? contact.up_n : -contact.up_n, -kBalance);
  EXPECT_GE(solution.worst_gap_mm, -1e-5);
}

TEST(Squeezed, AFlatBoardPassesTheLoadOn) {
  const Plate plate = BoardOf(500);
  for (const double load : {1.0, 10.0, 100.0}) {
    const auto solution = plate.Solve(Flat, UnderAPlate(load));
    ASSERT_TRUE(solution) << load << ": " << solution.error().Text();
    ExpectBalance(plate, *solution, load);
    // Between grid points that are held its own weight bends it by less than a microstrain.
    EXPECT_LT(plate.LargestStrain(*solution, 0.0), 1e-6);
  }
}

// A dome and a twist, with far more load than flattens them. Every step leaves less of the bend.
TEST(Squeezed, ABentBoardGoesFlatAndStaysAnswered) {
  const Plate plate = BoardOf(500);
  for (const double dome : {0.5, 1.5}) {
    const auto shape = [dome](const Eigen::Vector2d& at) {
      const double u = 2.0 * at.x() / kBoardLong - 1.0, v = 2.0 * at.y() / kBoardWide - 1.0;
      return -dome * (u * u + 0.6 * v * v) + 0.4 * u * v;
    };
    double last = 10.0;
    for (const double load : {10.0, 40.0, 160.0}) {
      const auto solution = plate.Solve(shape, UnderAPlate(load));
      ASSERT_TRUE(solution) << dome << ", " << load << ": " << solution.error().Text();
      ExpectBalance(plate, *solution, load);
      EXPECT_LE(solution->gap_mm(), last + 1e-5);
      last = solution->gap_mm();
    }
    EXPECT_LT(last, 0.05 * dome);
  }
}

}  // namespace
}  // namespace lieflat
