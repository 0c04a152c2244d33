// A strip pressed flat against the table: forces, gaps and zones of contact by beam theory; and
// what must not depend on how the board is turned.

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/plate/solve.h"

namespace lieflat {
namespace {

// A strip of 300 x 240 x 1.6 mm, E 20 GPa, nu = 0 and G = E / 2, so that it bends as a beam of EI
// 1.6384e6 N mm2; stress-free bow of 5 mm, k0 = 8 h / L^2. All by beam theory, derived here: M = EI
// (k
// - k0), free ends carry none.
constexpr double kLength = 300.0, kWidth = 240.0, kHeight = 5.0;
constexpr double kBow = 8.0 * kHeight / (kLength * kLength);
constexpr double kStiffness = 20000.0 * kWidth * 1.6 * 1.6 * 1.6 / 12.0;
constexpr double kCell = 5.0;

PlateModel Strip(double cell = kCell) {
  PlateModel model;
  model.outline_mm = {{0, 0}, {kLength, 0}, {kLength, kWidth}, {0, kWidth}};
  model.board = Ply::Isotropic(20000, 0.0, 1.6);
  model.cell_mm = cell;
  model.fine_mm = cell;
  return model;
}

double Bow(const Eigen::Vector2d& at) {
  const double x = at.x() - 0.5 * kLength;
  return kHeight - 0.5 * kBow * x * x;
}

PlateSolution Press(const Plate& plate, const Hold& hold, bool large = false) {
  SolveOptions options;
  options.large_deflection = large;
  auto solution = plate.Solve(Bow, hold, options);
  EXPECT_TRUE(solution) << solution.error().Text();
  return std::move(solution.value());
}

// Two beam halves under a force in the middle touch down at P = 48 EI h / L^3 = 14.56 N; the ends
// stay, and between touch and end w = (k0 x^2 / 4)(1 - x / l), at most 2 h / 27 = 0.370 mm at x =
// 100 mm from the middle.
TEST(Pressing, LineLoadAcrossTheMiddle) {
  const auto plate = Plate::Make(Strip()).value();
  Hold hold;
  hold.own_weight = false;
  const double touch = 48.0 * kStiffness * kHeight / std::pow(kLength, 3);
  EXPECT_NEAR(touch, 14.56, 0.01);
  hold.bars = {{{150, 0}, {150, kWidth}, 0.99 * touch}};
  EXPECT_NEAR(plate.Height(Press(plate, hold), {150, 120}), 0.01 * kHeight, 0.02 * 0.370);
  hold.bars.front().load_n = 1.2 * touch;
  const PlateSolution down = Press(plate, hold);
  EXPECT_NEAR(plate.Height(down, {150, 120}), 0.0, 1e-5);
  EXPECT_NEAR(plate.Height(down, {50, 120}), 2.0 * kHeight / 27.0, 0.02 * 0.370);
  EXPECT_NEAR(down.highest_mm, 2.0 * kHeight / 27.0, 0.02 * 0.370);
}

struct Even {
  double q, gap, contact, end;
};

/// Even pressure of q N per mm of length.
Even PressEvenly(const Plate& plate, double q) {
  Hold hold;
  hold.own_weight = false;
  hold.weights = {{q * kLength, {0, 0}, {kLength, kWidth}, false}};
  const PlateSolution solution = Press(plate, hold);
  double low = kLength, high = 0.0, end = 0.0;
  for (const ContactForce& force : solution.contacts) {
    const double x = force.at_mm.x();
    if (x < 2.0) {
      end += force.up_n;
    } else if (x < kLength - 2.0) {
      low = std::min(low, x);
      high = std::max(high, x);
    }
  }
  return {q, solution.highest_mm, std::max(0.0, high - low), end};
}

// Touch at q = 9.6 EI k0 / L^2 (23.3 N in all), 5 % of the bow left. From 16 on a zone lies flat;
// the free ends are s = 2 sqrt(EI k0 / q) long, the gap there 0.01758 k0 s^2, the end carries 1.5
// sqrt(EI k0 q).
TEST(Pressing, EvenPressure) {
  const auto plate = Plate::Make(Strip()).value();
  const double unit = kStiffness * kBow / (kLength * kLength);
  EXPECT_NEAR(9.6 * unit * kLength, 23.3, 0.05);
  EXPECT_NEAR(PressEvenly(plate, 9.6 * unit).gap, 0.05 * kHeight, 0.02 * 0.25);
  for (const auto& [factor, contact, gap, end] :
       {std::tuple{20.0, 31.7, 0.0281 * kHeight, 16.28}, {56.2, 139.9, 0.0100 * kHeight, 27.3}}) {
    const Even even = PressEvenly(plate, factor * unit);
    EXPECT_NEAR(even.contact, contact, 2.0 * kCell) << factor;  // one cell at each end of it
    EXPECT_NEAR(even.gap, gap, 0.02 * gap) << factor;
    EXPECT_NEAR(even.end, end, 0.01 * end) << factor;
  }
}

// Between rigid planes: point contact down to a third of the bow, F = 48 EI (h - g) / L^3; then F =
// 2 EI k0 / s with s = sqrt(6 g / k0): 9.71, 17.72, 25.06 and 56.05 N at g / h of 1/3, 0.1, 0.05,
// 0.01.
TEST(Pressing, BetweenTwoPlates) {
  const auto plate = Plate::Make(Strip(2.5)).value();
  for (const auto& [gap, force] :
       {std::pair{1.0 / 3.0, 9.71}, {0.1, 17.72}, {0.05, 25.06}, {0.01, 56.05}}) {
    Hold hold;
    hold.own_weight = false;
    hold.plate = Hold::TopPlate{gap * kHeight, 0.0};
    const PlateSolution linear = Press(plate, hold);
    EXPECT_NEAR(linear.plate_force_n, force, 0.01 * force) << gap;
    EXPECT_NEAR(linear.gap_mm(), gap * kHeight, 1e-4);
    // A cylinder bends without stretching: large deflection changes nothing.
    EXPECT_NEAR(Press(plate, hold, true).plate_force_n, force, 0.01 * force) << gap;
  }
}

// The work of the plate from first touch to flat is the energy of bending, EI k0^2 L / 2 = 48.55 N
// mm.
TEST(Pressing, WorkOfThePlateIsTheEnergy) {
  const auto plate = Plate::Make(Strip()).value();
  double work = 0.0, last_force = 0.0, last_gap = kHeight;
  PlateSolution last;
  for (int k = 1; k <= 60; ++k) {
    const double gap = kHeight * std::pow(0.93, k);
    Hold hold;
    hold.own_weight = false;
    hold.plate = Hold::TopPlate{gap, 0.0};
    last = Press(plate, hold);
    work += 0.5 * (last.plate_force_n + last_force) * (last_gap - gap);
    last_force = last.plate_force_n;
    last_gap = gap;
  }
  EXPECT_NEAR(work, last.bending_energy_n_mm, 0.02 * work);
  // From there to nothing the force grows as 1 / sqrt(g): twice its value times the gap.
  EXPECT_NEAR(
      work + 2.0 * last_force * last_gap, 0.5 * kStiffness * kBow * kBow * kLength, 0.02 * 48.55);
}

// A twist of R pressed flat by its two high corners: 4 D (1 - nu) R / (a b) in all, 1.649 N for 5
// mm on the board with nu 0.15. R is four times a corner's height over the middle.
TEST(Pressing, TwistFlattenedByItsCorners) {
  PlateModel model = Strip(20.0);
  model.board = Ply::Isotropic(20000, 0.15, 1.6);
  const auto plate = Plate::Make(model).value();
  const auto twist = [](const Eigen::Vector2d& at) {
    return 5.0 / (kLength * kWidth) * (at.x() - 0.5 * kLength) * (at.y() - 0.5 * kWidth);
  };
  Hold hold;
  hold.own_weight = false;
  hold.plate = Hold::TopPlate{0.001, 0.0};
  SolveOptions linear;
  linear.large_deflection = false;
  const auto solution = plate.Solve(twist, hold, linear).value();
  const double force = 4.0 * model.board.Bending()(0, 0) * 0.85 * 5.0 / (kLength * kWidth);
  EXPECT_NEAR(force, 1.649, 0.001);
  EXPECT_NEAR(solution.plate_force_n, force, 0.01 * force);
}

TEST(Pressing, AFlatBoardWithoutWeightFeelsNothing) {
  const auto plate = Plate::Make(Strip(20.0)).value();
  Hold hold;
  hold.own_weight = false;
  hold.plate = Hold::TopPlate{0.0, 0.0};
  hold.plate->gap_mm = 0.5;
  const auto solution = plate.Solve([](const Eigen::Vector2d&) { return 0.0; }, hold).value();
  EXPECT_EQ(solution.plate_force_n, 0.0);
  EXPECT_EQ(plate.LargestStrain(solution, 0.0), 0.0);
}

struct Figures {
  double force, strain, gap, joint;
};

/// A warped board with a part, pressed; turned by a quarter when `turned`, mirrored in x when
/// `mirrored`, everything with it.
Figures Turned(bool turned, bool mirrored, double stiffer) {
  const double l = 200, w = 150;
  const auto place = [&](Eigen::Vector2d at) {
    if (mirrored) at.x() = l - at.x();
    return turned ? Eigen::Vector2d(at.y(), at.x()) : at;
  };
  PlateModel model;
  const double a = turned ? w : l, b = turned ? l : w;
  model.outline_mm = {{0, 0}, {a, 0}, {a, b}, {0, b}};
  model.board =
      turned ? Ply{18000 * stiffer, 22000 * stiffer, 0.136 * 18.0 / 22.0, 4800 * stiffer, 1.6}
             : Ply{22000 * stiffer, 18000 * stiffer, 0.136, 4800 * stiffer, 1.6};
  const Eigen::Vector2d p = place({120, 60}), q = place({150, 90});
  model.stiffeners = {{"U1",
                       p.cwiseMin(q),
                       p.cwiseMax(q),
                       Side::kComponent,
                       Ply::Isotropic(20000 * stiffer, 0.3, 2.0),
                       JointLayout::kArea,
                       1.27,
                       2600 * stiffer,
                       1000 * stiffer}};
  model.cell_mm = 10;
  model.fine_mm = 5;
  const auto plate = Plate::Make(model).value();
  const auto shape = [&](const Eigen::Vector2d& at) {
    const Eigen::Vector2d here = turned ? Eigen::Vector2d(at.y(), at.x()) : at;
    const double x = (mirrored ? l - here.x() : here.x()) / l, y = here.y() / w;
    return 3.0 * x * (1.3 - x) + 1.5 * x * y + 0.8 * y * y * x;
  };
  Hold hold;
  hold.own_weight = false;
  hold.plate = Hold::TopPlate{0.4, 0.0};
  const auto solution = plate.Solve(shape, hold).value();
  double joint = 0.0;
  for (const JointLoad& load : plate.Joints(solution, 0))
    joint = std::max(joint, std::abs(load.axial_n));
  return {solution.plate_force_n, plate.LargestStrain(solution, 0.0), solution.gap_mm(), joint};
}

TEST(Pressing, NothingDependsOnHowTheBoardIsTurned) {
  const Figures plain = Turned(false, false, 1.0);
  constexpr double kSame =
      1e-6;  // contact is found in another order, to a few millionths of a millimetre
  for (const Figures& other : {Turned(true, false, 1.0), Turned(false, true, 1.0)}) {
    EXPECT_NEAR(other.force / plain.force, 1.0, 1e3 * kSame);
    EXPECT_NEAR(other.strain / plain.strain, 1.0, 1e3 * kSame);
    EXPECT_NEAR(other.joint / plain.joint, 1.0, 1e3 * kSame);
    EXPECT_NEAR(other.gap, plain.gap, 1e-5);
  }
  // Twice as stiff: twice the force, the same strain.
  const Figures stiffer = Turned(false, false, 2.0);
  EXPECT_NEAR(stiffer.force / plain.force, 2.0, kSame);
  EXPECT_NEAR(stiffer.strain / plain.strain, 1.0, kSame);
}

}  // namespace
}  // namespace lieflat
