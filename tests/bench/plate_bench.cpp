// What the plate costs on one core. Workloads:
//   Solve       mesh, stiffness, contact and large deflection from nothing: bare boards of 5 000
//   and
//               100 000 unknowns, and a 305 x 244 mm board with four parts and two slots of about
//               17 000, bowed 4 mm and twisted 3 mm, pressed to 0.3 mm between two plates; that one
//               linear too
//   NearOne     a sample near a solved case of that board: linear, and nonlinear by its chord

#include <cmath>

#include <benchmark/benchmark.h>

#include "lieflat/base/check.h"
#include "lieflat/base/random.h"
#include "lieflat/plate/neighbourhood.h"

namespace lieflat {
namespace {

constexpr double kLongMm = 305, kWideMm = 244, kThickMm = 1.57;

PlateModel Bare(double cell_mm) {
  PlateModel model;
  model.outline_mm = {{0, 0}, {kLongMm, 0}, {kLongMm, kWideMm}, {0, kWideMm}};
  model.board = Ply::Isotropic(20000, 0.15, kThickMm);
  model.cell_mm = model.fine_mm = cell_mm;
  model.masses = {{.mass_g = 640}};
  return model;
}

PlateModel WithParts(double cell_mm, double fine_mm) {
  PlateModel model = Bare(cell_mm);
  model.fine_mm = fine_mm;
  const auto add = [&model](const char* ref,
                            const Eigen::Vector2d& low,
                            const Eigen::Vector2d& size,
                            const Ply& ply,
                            JointLayout layout) {
    model.stiffeners.push_back({.ref = ref,
                                .low_mm = low,
                                .high_mm = low + size,
                                .ply = ply,
                                .layout = layout,
                                .axial_n_per_mm = 2600,
                                .shear_n_per_mm = 1000});
  };
  const Ply chip = Ply::Isotropic(20000, 0.25, 2), slot = Ply::Isotropic(4000, 0.35, 11);
  add("U1", {130, 140}, {35, 35}, chip, JointLayout::kArea);
  add("U2", {200, 150}, {27, 27}, chip, JointLayout::kArea);
  add("U3", {60, 170}, {25, 25}, chip, JointLayout::kArea);
  add("U4", {220, 60}, {30, 30}, chip, JointLayout::kPerimeter);
  add("J1", {40, 15}, {12, 138}, slot, JointLayout::kLine);
  add("J2", {60, 15}, {12, 138}, slot, JointLayout::kLine);
  return model;
}

/// Bow, twist and a little of a random term, so that samples differ.
HeightField Shape(double random = 0.0) {
  return [random](const Eigen::Vector2d& at) {
    const double x = 2 * at.x() / kLongMm - 1, y = 2 * at.y() / kWideMm - 1;
    constexpr double kBowMm = 4, kTwistMm = 3, kSampleMm = 0.1;
    return kBowMm * (1 - x * x) + kTwistMm / 4 * x * y +
           kSampleMm * random * (x * x - y * y + x * y * y);
  };
}

Hold BetweenPlates() {
  Hold hold;
  hold.own_weight = false;
  hold.plate = Hold::TopPlate{.gap_mm = 0.3};
  return hold;
}

template <typename T>
T Must(Result<T> result) {
  LIEFLAT_CHECK(result, result ? "" : result.error().Text());
  return *std::move(result);
}

void SolveOnce(benchmark::State& state, const PlateModel& model, bool large_deflection) {
  const HeightField shape = Shape();
  const Hold hold = BetweenPlates();
  SolveOptions options;
  options.large_deflection = large_deflection;
  int unknowns = 0;
  for (auto _ : state) {
    const Plate plate = Must(Plate::Make(model));
    unknowns = plate.unknowns();
    benchmark::DoNotOptimize(Must(plate.Solve(shape, hold, options)));
  }
  state.counters["unknowns"] = unknowns;
}

// Cells for the number of unknowns wanted.
constexpr double kCellOf5k = 8.8, kCellOf100k = 1.93;
constexpr double kPartsCell = 9.0, kPartsFine = 5.0;

void SolveBare5k(benchmark::State& state) { SolveOnce(state, Bare(kCellOf5k), true); }
void SolveBare100k(benchmark::State& state) { SolveOnce(state, Bare(kCellOf100k), true); }
void SolveParts(benchmark::State& state) {
  SolveOnce(state, WithParts(kPartsCell, kPartsFine), true);
}
void SolvePartsLinear(benchmark::State& state) {
  SolveOnce(state, WithParts(kPartsCell, kPartsFine), false);
}

/// A thousand samples of shape, modulus and thickness.
void Samples(benchmark::State& state, bool linear, double cell_mm, double fine_mm) {
  const PlateModel model = WithParts(cell_mm, fine_mm);
  constexpr int kSamples = 1000;
  constexpr std::uint64_t kSeed = 20260302;
  int unknowns = 0;
  for (auto _ : state) {
    auto near = Must(Neighbourhood::Make(Must(Plate::Make(model)), Shape(), BetweenPlates()));
    unknowns = near.plate().unknowns();
    Random random(kSeed);
    for (int i = 0; i < kSamples; ++i) {
      const HeightField shape = Shape(random.Normal());
      benchmark::DoNotOptimize(
          Must(linear ? near.Linear(nullptr, shape) : near.Full(nullptr, shape)));
    }
  }
  state.counters["unknowns"] = unknowns;
}

void LinearSamples(benchmark::State& state) { Samples(state, true, kPartsCell, kPartsFine); }
// The mesh that nonlinear samples of an assessment take.
constexpr double kSampleCell = 20, kSampleFine = 15;
void NonlinearSamples(benchmark::State& state) { Samples(state, false, kSampleCell, kSampleFine); }

BENCHMARK(SolveBare5k)->Unit(benchmark::kMillisecond);
BENCHMARK(SolveParts)->Unit(benchmark::kMillisecond);
BENCHMARK(SolvePartsLinear)->Unit(benchmark::kMillisecond);
BENCHMARK(SolveBare100k)->Unit(benchmark::kMillisecond)->Iterations(2);
BENCHMARK(LinearSamples)->Unit(benchmark::kMillisecond)->Iterations(2);
BENCHMARK(NonlinearSamples)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace lieflat
