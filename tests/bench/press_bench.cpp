// How long a preview takes. Workload: 305 x 244 mm, four parts, two slots, about 17 000 unknowns.
//   Path          four load steps under two weights, large deflection
//   Linear        the same as for small bends
//   LinearDraws   plates at 1 mm with 1 000 linear draws
//   Samples       the same with 100 nonlinear samples: ten times that for the thousand
//   ThreeWeights  gentler places for three weights

#include <benchmark/benchmark.h>

#include "lieflat/press/optimise.h"

#include "press/pressed_boards.h"

namespace lieflat {
namespace {

using namespace testing;

const UnderWeights kThree{{{0.8, {120, 140}, {60, 60}, false},
                           {0.6, {200, 90}, {60, 60}, false},
                           {0.5, {80, 60}, {60, 60}, false}}};

/// As readings leave it open: a bow and a twist known to a tenth.
Surface SurfaceWithDraws(const Board& board) {
  Random random(20260302);
  std::vector<Height> draws;
  constexpr int kDraws = 600;
  for (int k = 0; k < kDraws; ++k) {
    const double bow = 1.0 + 0.05 * random.Normal(), twist = 0.3 * random.Normal();
    draws.push_back([shape = Warped(board), bow, twist](double x, double y) {
      return bow * shape(x, y) + twist * (x / 152.5 - 1.0) * (y / 122.0 - 1.0);
    });
  }
  return SurfaceOf(board, Warped(board), draws);
}

void Run(benchmark::State& state, const PressWay& way, const PressOptions& options) {
  const Board board = BoardWithParts();
  const Surface surface = SurfaceWithDraws(board);
  for (auto _ : state) {
    auto pressing = PressBoard(board, surface, way, Numbers(), options);
    LIEFLAT_CHECK(pressing, pressing ? "" : pressing.error().Text());
    state.counters["unknowns"] = pressing->unknowns;
  }
}

void PreviewPath(benchmark::State& state) { Run(state, kThree, {}); }
BENCHMARK(PreviewPath)->Unit(benchmark::kMillisecond);

void PreviewLinear(benchmark::State& state) {
  PressOptions options;
  options.large_deflection = false;
  Run(state, kThree, options);
}
BENCHMARK(PreviewLinear)->Unit(benchmark::kMillisecond);

void PreviewLinearDraws(benchmark::State& state) {
  PressOptions options;
  options.draws = 1000;
  Run(state, BetweenPlates{1.0, 0.0}, options);
}
BENCHMARK(PreviewLinearDraws)->Unit(benchmark::kMillisecond);

void PreviewSamples(benchmark::State& state) {
  PressOptions options;
  options.samples = 100;
  Run(state, BetweenPlates{1.0, 0.0}, options);
}
BENCHMARK(PreviewSamples)->Unit(benchmark::kMillisecond);

void OptimiseThreeWeights(benchmark::State& state) {
  const Board board = BoardWithParts();
  const Surface surface = SurfaceOf(board, Warped(board));
  PressOptions options;
  for (const PartRating& rating : RateParts(board, surface, true, 2026, Numbers()))
    options.limits.push_back(LimitOf(rating));
  for (auto _ : state) {
    auto found = OptimiseWay(board, surface, kThree, Numbers(), options);
    LIEFLAT_CHECK(found, found ? "" : found.error().Text());
    state.counters["holds"] = found->searched;
  }
}
BENCHMARK(OptimiseThreeWeights)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace lieflat
