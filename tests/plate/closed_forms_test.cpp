// The plate against closed forms and handbook tables: bending, supports, orthotropy, energies.

#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/plate/bend_field.h"
#include "lieflat/plate/solve.h"

namespace lieflat {
namespace {

constexpr double kGravity = 9.80665;

SolveOptions Linear() {
  SolveOptions options;
  options.large_deflection = false;
  return options;
}

PlateModel Rectangle(double a, double b, const Ply& ply, double cell) {
  PlateModel model;
  model.outline_mm = {{0, 0}, {a, 0}, {a, b}, {0, b}};
  model.board = ply;
  model.cell_mm = cell;
  model.fine_mm = cell;
  return model;
}

double Flat(const Eigen::Vector2d&) { return 0.0; }

/// A pressure q over the whole plate as mass.
void AddPressure(PlateModel& model, double q, double a, double b) {
  model.masses = {{{0, 0}, {0, 0}, q * a * b / (1e-3 * kGravity)}};
  model.gravity_m_s2 = kGravity;
}

/// Held on all four sides at every grid line, and, clamped, once more close beside.
Hold OnItsSides(double a, double b, double cell, bool clamped) {
  Hold hold;
  hold.table = false;
  // So near the edge that the slope left between the two is a few parts in ten thousand.
  constexpr double kBeside = 0.02;
  const auto line = [&](double x0, double y0, double x1, double y1) {
    const int steps = static_cast<int>(std::lround(std::hypot(x1 - x0, y1 - y0) / cell));
    for (int k = 0; k <= steps; ++k)
      hold.rests.push_back({{x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps}, 0.0, true});
  };
  line(0, 0, a, 0);
  line(a, cell, a, b);
  line(a - cell, b, 0, b);
  line(0, b - cell, 0, cell);
  if (clamped) {
    line(cell, kBeside, a - cell, kBeside);
    line(cell, b - kBeside, a - cell, b - kBeside);
    line(kBeside, cell, kBeside, b - cell);
    line(a - kBeside, cell, a - kBeside, b - cell);
  }
  return hold;
}

double CentreDeflection(
    const Plate& plate, const Hold& hold, double a, double b, const SolveOptions& options) {
  const auto solution = plate.Solve(Flat, hold, options);
  EXPECT_TRUE(solution) << solution.error().Text();
  return solution ? -plate.Displacement(*solution, {0.5 * a, 0.5 * b}) : 0.0;
}

// Formula E t^3 / (12 (1 - nu^2)): Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd
// ed., art. 2. 20 GPa, 1.6 mm, 0.15: 6983.8 N mm.
TEST(ClosedForms, StiffnessOfALayer) {
  EXPECT_NEAR(Ply::Isotropic(20000, 0.15, 1.6).Bending()(0, 0), 6983.8, 0.05);
}

// Timoshenko & Woinowsky-Krieger, 2nd ed., art. 30 and table 8 (even load: 0.00406 q a^4 / D; five
// digits by Navier's series summed here), art. 34 table 23 (force at the centre: 0.01160 P a^2 /
// D).
TEST(ClosedForms, SimplySupportedSquare) {
  const double a = 200.0, q = 1e-4;
  const double cell = a / 48.0;  // ACM errs by about 1 / n^2
  const Ply ply = Ply::Isotropic(20000, 0.3, 1.6);
  const double d = ply.Bending()(0, 0);
  PlateModel model = Rectangle(a, a, ply, cell);
  AddPressure(model, q, a, a);
  const auto plate = Plate::Make(model).value();
  Hold hold = OnItsSides(a, a, cell, false);
  double navier = 0.0;  // Navier: 16 q a^4 / (pi^6 D) sum sin sin / (m n (m^2 + n^2)^2)
  for (int m = 1; m < 60; m += 2) {
    for (int n = 1; n < 60; n += 2) {
      const double sign = ((m + n) / 2 - 1) % 2 == 0 ? 1.0 : -1.0;
      navier += sign * 16.0 / (std::pow(M_PI, 6) * m * n * std::pow(m * m + n * n, 2));
    }
  }
  EXPECT_NEAR(navier, 0.0040624, 5e-7);
  const double even = CentreDeflection(plate, hold, a, a, Linear());
  EXPECT_NEAR(even / (navier * q * std::pow(a, 4) / d), 1.0, 1e-3);
  hold.own_weight = false;
  hold.forces = {{{0.5 * a, 0.5 * a}, -10.0}};
  const double point = CentreDeflection(plate, hold, a, a, Linear());
  EXPECT_NEAR(point / (0.011600 * 10.0 * a * a / d), 1.0, 3e-3);
}

// Timoshenko & Woinowsky-Krieger, 2nd ed., art. 44, table 35 (0.00126 q a^4 / D) and table 37
// (0.00560 P a^2 / D); further digits computed with finer plates.
TEST(ClosedForms, ClampedSquare) {
  const double a = 200.0, q = 1e-4, cell = a / 48.0;
  const Ply ply = Ply::Isotropic(20000, 0.3, 1.6);
  const double d = ply.Bending()(0, 0);
  PlateModel model = Rectangle(a, a, ply, cell);
  AddPressure(model, q, a, a);
  const auto plate = Plate::Make(model).value();
  Hold hold = OnItsSides(a, a, cell, true);
  EXPECT_NEAR(CentreDeflection(plate, hold, a, a, Linear()) / (0.0012653 * q * std::pow(a, 4) / d),
              1.0,
              3e-3);
  hold.own_weight = false;
  hold.forces = {{{0.5 * a, 0.5 * a}, -10.0}};
  EXPECT_NEAR(
      CentreDeflection(plate, hold, a, a, Linear()) / (0.005612 * 10.0 * a * a / d), 1.0, 4e-3);
}

// Table 8 of the same, sides 1.25 to 1: 0.006027 q a^4 / D, D 7501.8 N mm: 0.2666 mm.
TEST(ClosedForms, SimplySupportedRectangle) {
  const double cell = 240.0 / 40.0;
  PlateModel model = Rectangle(300, 240, Ply::Isotropic(20000, 0.3, 1.6), cell);
  AddPressure(model, 1e-4, 300, 240);
  const auto plate = Plate::Make(model).value();
  EXPECT_NEAR(CentreDeflection(plate, OnItsSides(300, 240, cell, false), 300, 240, Linear()),
              0.2666,
              0.0005);
}

Hold OnCorners(double a, double b) {
  Hold hold;
  hold.table = false;
  for (const Eigen::Vector2d& at : {Eigen::Vector2d(0, 0), {a, 0}, {a, b}, {0, b}})
    hold.rests.push_back({at, 0.0, true});
  return hold;
}

// Timoshenko & Woinowsky-Krieger, 2nd ed., art. 54: 0.0257 q a^4 / D for nu 0.25; the other values
// computed with another plate element, 0.3 by a Ritz series of Legendre products as well
// (0.025506).
TEST(ClosedForms, SquareOnItsCorners) {
  const double a = 240.0, q = 1e-4;
  for (const auto& [poisson, coefficient] :
       {std::pair{0.0, 0.02820}, {0.15, 0.02634}, {0.25, 0.02567}, {0.3, 0.025506}}) {
    const Ply ply = Ply::Isotropic(20000, poisson, 1.6);
    PlateModel model = Rectangle(a, a, ply, a / 24);
    AddPressure(model, q, a, a);
    const auto plate = Plate::Make(model).value();
    const double deflection = CentreDeflection(plate, OnCorners(a, a), a, a, Linear());
    EXPECT_NEAR(deflection / (q * std::pow(a, 4) / ply.Bending()(0, 0)) / coefficient, 1.0, 0.01)
        << poisson;
  }
}

// 300 x 240 x 1.6 mm, E 20 GPa, nu 0.15, 8 kg/m2: four corners 1.692 mm (0.04537 q b^4 / D), with
// large deflection 1.656; on its two short edges 1.181 mm (0.01293 q L^4 / D). Computed with other
// plate elements; the square case of the same table is that of Timoshenko & Woinowsky-Krieger.
TEST(ClosedForms, SagOfADesktopBoard) {
  PlateModel model = Rectangle(300, 240, Ply::Isotropic(20000, 0.15, 1.6), 10);
  model.masses = {{{0, 0}, {0, 0}, 8.0 * 300 * 240 * 1e-3}};
  const auto plate = Plate::Make(model).value();
  EXPECT_NEAR(
      CentreDeflection(plate, OnCorners(300, 240), 300, 240, Linear()), 1.692, 0.01 * 1.692);
  EXPECT_NEAR(CentreDeflection(plate, OnCorners(300, 240), 300, 240, {}), 1.656, 0.01 * 1.656);
  Hold edges;
  edges.table = false;
  for (int k = 0; k <= 24; ++k) {
    edges.rests.push_back({{0, 10.0 * k}, 0.0, true});
    edges.rests.push_back({{300, 10.0 * k}, 0.0, true});
  }
  EXPECT_NEAR(CentreDeflection(plate, edges, 300, 240, Linear()), 1.181, 0.01 * 1.181);
}

// The same board, Ex 22, Ey 18, nu_xy 0.136, G 5 GPa, 8 kg/m2: 1.757 mm with the warp along 300 mm,
// 1.900 mm along 240; computed by a Ritz series of 12 x 12 Legendre products.
TEST(ClosedForms, SagOfAnOrthotropicBoard) {
  for (const bool along : {true, false}) {
    Ply ply{22000, 18000, 0.136, 5000, 1.6};
    if (!along) {
      std::swap(ply.modulus_x_mpa, ply.modulus_y_mpa);
      ply.poisson *= 18.0 / 22.0;
    }
    PlateModel model = Rectangle(300, 240, ply, 10);
    model.masses = {{{0, 0}, {0, 0}, 8.0 * 300 * 240 * 1e-3}};
    const double wanted = along ? 1.757 : 1.900;
    EXPECT_NEAR(
        CentreDeflection(Plate::Make(model).value(), OnCorners(300, 240), 300, 240, Linear()),
        wanted,
        0.01 * wanted);
  }
}

// Corner forces P twist a plate exactly into w = c x y with c = P / (2 D (1 - nu)): Timoshenko &
// Woinowsky-Krieger, 2nd ed., art. 11. P 0.8243 N: R = c a b = 5.000 mm.
TEST(ClosedForms, PureTwistIsExact) {
  PlateModel model = Rectangle(300, 240, Ply::Isotropic(20000, 0.15, 1.6), 30);
  const double p = 0.8243, c = p / (2.0 * model.board.Bending()(0, 0) * 0.85);
  const auto plate = Plate::Make(model).value();
  Hold hold;
  hold.table = hold.own_weight = false;
  hold.forces = {{{0, 0}, p}, {{300, 0}, -p}, {{300, 240}, p}, {{0, 240}, -p}};
  const auto solution = plate.Solve(Flat, hold, Linear()).value();
  constexpr double kRounding = 1e-9;
  for (const Eigen::Vector2d& at : {Eigen::Vector2d(33, 71), {150, 120}, {290, 5}}) {
    const Eigen::Vector3d curvature = plate.Curvature(solution, at);
    EXPECT_NEAR(curvature(0) / c, 0.0, kRounding);
    EXPECT_NEAR(curvature(1) / c, 0.0, kRounding);
    EXPECT_NEAR(curvature(2) / c, 1.0, kRounding);
  }
  const auto z = [&](double x, double y) { return plate.Displacement(solution, {x, y}); };
  EXPECT_NEAR(
      z(0, 0) - z(300, 0) + z(300, 240) - z(0, 240), 5.000, 0.002);  // P is given to four digits
}

// The same twist on the grid of a picture: principal strains +- c t / 2 everywhere, on both faces
// (Timoshenko & Woinowsky-Krieger, 2nd ed., art. 11).
TEST(ClosedForms, BendFieldOfPureTwist) {
  const double a = 300, b = 240, thick = 1.6, p = 0.8243;
  PlateModel model = Rectangle(a, b, Ply::Isotropic(20000, 0.15, thick), 30);
  const double c = p / (2.0 * model.board.Bending()(0, 0) * 0.85);
  const auto plate = Plate::Make(model).value();
  Hold hold;
  hold.table = hold.own_weight = false;
  hold.forces = {{{0, 0}, p}, {{a, 0}, -p}, {{a, b}, p}, {{0, b}, -p}};
  const BendField field = BendFieldOf(plate, plate.Solve(Flat, hold, Linear()).value(), 20);
  EXPECT_EQ(field.strain.cols(), 21);
  EXPECT_EQ(field.strain.rows(), 17) << "steps of 15 mm both ways";
  EXPECT_EQ(field.step_mm, Eigen::Vector2d(15, 15));
  const double expected = c * thick / 2;
  constexpr double kRounding = 1e-9;
  EXPECT_NEAR(field.strain.minCoeff() / expected, 1.0, kRounding);
  EXPECT_NEAR(field.strain.maxCoeff() / expected, 1.0, kRounding);
}

// Its own weight between two diagonal corners that carry half each: by reciprocity with the pure
// twist above R = W a b / (8 D (1 - nu)); 8 kg/m2: 8.57 mm, 1.11 % twist.
TEST(ClosedForms, WeightOnTwoCornersTwistsTheBoard) {
  PlateModel model = Rectangle(300, 240, Ply::Isotropic(20000, 0.15, 1.6), 20);
  model.masses = {{{0, 0}, {0, 0}, 8.0 * 300 * 240 * 1e-3}};
  const auto plate = Plate::Make(model).value();
  Hold hold;
  hold.table = false;
  hold.forces = {{{0, 0}, 0.5 * plate.weight_n()}, {{300, 240}, 0.5 * plate.weight_n()}};
  const auto solution = plate.Solve(Flat, hold, Linear()).value();
  const auto z = [&](double x, double y) { return plate.Displacement(solution, {x, y}); };
  const double r = z(0, 0) - z(300, 0) + z(300, 240) - z(0, 240);
  EXPECT_NEAR(r, plate.weight_n() * 300 * 240 / (8 * model.board.Bending()(0, 0) * 0.85), 1e-6 * r);
  EXPECT_NEAR(r, 8.57, 0.02);
  EXPECT_NEAR(100 * r / (2 * std::hypot(300, 240)), 1.11, 0.01);
}

// Simply supported square under even load, cells of a/6, a/12, a/24: the error falls with h^2.
TEST(ClosedForms, RefinementShowsSecondOrder) {
  const double a = 240.0, q = 1e-4;
  const Ply ply = Ply::Isotropic(20000, 0.3, 1.6);
  const double exact = 0.00406235 * q * std::pow(a, 4) / ply.Bending()(0, 0);  // Navier, as above
  std::vector<double> error;
  for (const int cells : {6, 12, 24}) {
    PlateModel model = Rectangle(a, a, ply, a / cells);
    AddPressure(model, q, a, a);
    error.push_back(std::abs(
        CentreDeflection(
            Plate::Make(model).value(), OnItsSides(a, a, a / cells, false), a, a, Linear()) -
        exact));
  }
  for (std::size_t k = 1; k < error.size(); ++k) {
    const double order = std::log2(error[k - 1] / error[k]);
    EXPECT_GT(order, 1.7);
    EXPECT_LT(order, 2.4);
  }
}

struct Energies {
  double bending, membrane;
};

/// Of pressing all but flat between a table and a plate. The free edges stay curled for about a
/// cell, so the energies miss a share that falls with the cell: taken to a cell of nothing from
/// two.
Energies PressedFlat(const HeightField& shape) {
  Energies fine{}, coarse{};
  for (const double cell : {10.0, 5.0}) {
    const auto plate =
        Plate::Make(Rectangle(300, 240, Ply::Isotropic(20000, 0.15, 1.6), cell)).value();
    Hold hold;
    hold.own_weight = false;
    hold.plate = Hold::TopPlate{0.0005, 0.0};
    const auto solution = plate.Solve(shape, hold).value();
    coarse = fine;
    fine = {solution.bending_energy_n_mm, solution.membrane_energy_n_mm};
  }
  return {2.0 * fine.bending - coarse.bending, 2.0 * fine.membrane - coarse.membrane};
}

// Energy of bending (D/2) INT (kx + ky)^2 - 2 (1 - nu)(kx ky - c^2) dA (Timoshenko &
// Woinowsky-Krieger, 2nd ed., art. 88): a cylinder of 5 mm over 300 mm 49.66 N mm, a twist of R 5
// mm 2.061, a dome of the same curvature both ways 114.2. Membrane energy when flat, E t K^2 / 2
// times the volume under a clamped plate (derived from the Airy function, which is a clamped
// plate's deflection): 0.740 of that for the dome, 0.0626 for a twist of R 8 mm.
TEST(ClosedForms, EnergiesOfPressingFlat) {
  const double k = 8 * 5.0 / (300.0 * 300.0);
  const auto dome = [&](const Eigen::Vector2d& at) {
    return 10.0 - 0.5 * k * ((at.x() - 150) * (at.x() - 150) + (at.y() - 120) * (at.y() - 120));
  };
  const auto cylinder = [&](const Eigen::Vector2d& at) {
    return 6.0 - 0.5 * k * (at.x() - 150) * (at.x() - 150);
  };
  const auto twist = [&](double r) {
    return [r](const Eigen::Vector2d& at) {
      return r / (300.0 * 240.0) * (at.x() - 150) * (at.y() - 120);
    };
  };
  const Energies flat_dome = PressedFlat(dome);
  EXPECT_NEAR(flat_dome.bending, 114.2, 0.02 * 114.2);
  EXPECT_NEAR(flat_dome.membrane / flat_dome.bending, 0.740, 0.02 * 0.740);
  EXPECT_NEAR(PressedFlat(cylinder).bending, 49.66, 0.02 * 49.66);
  EXPECT_NEAR(PressedFlat(twist(5.0)).bending, 2.061, 0.02 * 2.061);
  const Energies flat_twist = PressedFlat(twist(8.0));
  EXPECT_NEAR(flat_twist.membrane / flat_twist.bending, 0.0626, 0.02 * 0.0626);
}

// Clamped plates: INT w dA = C q b^4 A / D with C = 3.891e-4 for the square, 5.670e-4 for 1.25 to 1
// (computed with C1 plate elements): the volume under the deflection.
TEST(ClosedForms, VolumeUnderAClampedPlate) {
  for (const auto& [ratio, volume] : {std::pair{1.0, 3.891e-4}, {1.25, 5.670e-4}}) {
    const double b = 200, a = ratio * b, q = 1e-4, cell = b / 40;
    const Ply ply = Ply::Isotropic(20000, 0.3, 1.6);
    PlateModel model = Rectangle(a, b, ply, cell);
    AddPressure(model, q, a, b);
    const auto plate = Plate::Make(model).value();
    const auto solution = plate.Solve(Flat, OnItsSides(a, b, cell, true), Linear()).value();
    double sum = 0.0;
    constexpr int kFine = 100;
    for (int i = 0; i < kFine; ++i) {
      for (int j = 0; j < kFine; ++j)
        sum -= plate.Displacement(solution, {(i + 0.5) * a / kFine, (j + 0.5) * b / kFine});
    }
    const double mean = sum / (kFine * kFine);
    EXPECT_NEAR(mean / (q * std::pow(b, 4) / ply.Bending()(0, 0)) / volume, 1.0, 3e-3) << ratio;
  }
}

}  // namespace
}  // namespace lieflat
