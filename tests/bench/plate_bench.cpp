// What the plate costs on one core. Workloads:
//   Solve       mesh, stiffness, contact and large deflection from nothing: bare boards of 5 000
//   and
//               100 000 unknowns, and a 305 x 244 mm board with four parts and two slots of about
//               17 000, bowed 4 mm and twisted 3 mm, pressed to 0.3 mm between two plates; that one
//               linear too
//   Flatten     pressing such a board flat as an assessment does, steps and uncertainty: 1 000
//   linear
//               draws, and 1 000 nonlinear samples on the coarser mesh that is theirs

#include <benchmark/benchmark.h>

#include "lieflat/base/check.h"
#include "lieflat/board/board.h"
#include "lieflat/joints/flatten.h"
#include "lieflat/plate/solve.h"

#include "support/simulated_board.h"

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

double Shape(const Eigen::Vector2d& at) {
  const double x = 2 * at.x() / kLongMm - 1, y = 2 * at.y() / kWideMm - 1;
  constexpr double kBowMm = 4, kTwistMm = 3;
  return kBowMm * (1 - x * x) + kTwistMm / 4 * x * y;
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
  const Hold hold = BetweenPlates();
  SolveOptions options;
  options.large_deflection = large_deflection;
  int unknowns = 0;
  for (auto _ : state) {
    const Plate plate = Must(Plate::Make(model));
    unknowns = plate.unknowns();
    benchmark::DoNotOptimize(Must(plate.Solve(Shape, hold, options)));
  }
  state.counters["unknowns"] = unknowns;
}

// Cells for the number of unknowns wanted.
constexpr double kCellOf5k = 8.8, kCellOf100k = 1.85;
constexpr double kPartsCell = 9.0, kPartsFine = 5.0;

void SolveBare5k(benchmark::State& state) { SolveOnce(state, Bare(kCellOf5k), true); }
void SolveBare100k(benchmark::State& state) { SolveOnce(state, Bare(kCellOf100k), true); }
void SolveParts(benchmark::State& state) {
  SolveOnce(state, WithParts(kPartsCell, kPartsFine), true);
}
void SolvePartsLinear(benchmark::State& state) {
  SolveOnce(state, WithParts(kPartsCell, kPartsFine), false);
}

Board BoardToFlatten() {
  Board board = Must(PresetBoard("atx", Calib::Embedded()));
  board.mass_g = Uncertain{640.0, 5.0};
  const auto add = [&board](const char* ref,
                            const char* kind,
                            const Eigen::Vector2d& centre,
                            const Eigen::Vector2d& size) {
    Part part;
    part.ref = ref;
    part.part_class = kind;
    part.centre_mm = centre;
    part.size_mm = size;
    board.parts.push_back(part);
  };
  add("U1", "pbga", {147, 157}, {35, 35});
  add("U2", "pbga", {213, 163}, {27, 27});
  add("U3", "pbga", {72, 182}, {25, 25});
  add("U4", "qfp", {235, 75}, {30, 30});
  add("J1", "slot", {46, 84}, {12, 138});
  add("J2", "slot", {66, 84}, {12, 138});
  return board;
}

void Flatten(benchmark::State& state, int samples) {
  const Calib& calib = Calib::Embedded();
  const Board board = BoardToFlatten();
  constexpr std::uint64_t kSeed = 20260302;
  Random random(kSeed);
  constexpr double kBowPercent = 1.3;
  const auto shape = testing::RandomShape(board, kBowPercent, random);
  const Gauge reading =
      testing::TakeReadings(board, shape, Rest::kFree, testing::Stations::kGrid25, random);
  const auto read = Must(ToSamples(reading, board, calib, std::nullopt, "grid"));
  const Surface surface = Must(FitSurface(board, read, calib));
  FlattenOptions options;
  options.samples = samples;
  for (auto _ : state) {
    const Flattening press = Must(FlattenBetweenPlates(board, surface, calib, options));
    state.counters["unknowns"] = press.unknowns;
  }
}

void FlattenLinear(benchmark::State& state) { Flatten(state, 0); }
void FlattenSampled(benchmark::State& state) {
  constexpr int kSamples = 1000;
  Flatten(state, kSamples);
}

BENCHMARK(SolveBare5k)->Unit(benchmark::kMillisecond);
BENCHMARK(SolveParts)->Unit(benchmark::kMillisecond);
BENCHMARK(SolvePartsLinear)->Unit(benchmark::kMillisecond);
BENCHMARK(SolveBare100k)->Unit(benchmark::kMillisecond)->Iterations(2);
BENCHMARK(FlattenLinear)->Unit(benchmark::kMillisecond)->Iterations(3);
BENCHMARK(FlattenSampled)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace lieflat
