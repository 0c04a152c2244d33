#include "photo/light_runs.h"

#include <algorithm>
#include <cmath>

namespace lieflat::internal {
namespace {

/// Less the lower quarter of what lies within 4 mm: dirt and light change slowly, conductors do
/// not.
std::vector<double> OverItsGround(const std::vector<double>& light) {
  constexpr int kReach = 40;
  const int n = static_cast<int>(light.size());
  std::vector<double> over;
  for (int i = 0; i < n; ++i) {
    std::vector<double> around(light.begin() + std::max(0, i - kReach),
                               light.begin() + std::min(n, i + kReach + 1));
    const auto quarter = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 4);
    std::nth_element(around.begin(), quarter, around.end());
    over.push_back(light[static_cast<std::size_t>(i)] - *quarter);
  }
  return over;
}

struct Levels {
  double low, high, within;
};

/// The two levels that the values gather about, and how closely (two means, Lloyd's iteration).
Levels LevelsOf(const std::vector<double>& values) {
  double low = *std::min_element(values.begin(), values.end()),
         high = *std::max_element(values.begin(), values.end());
  for (int pass = 0; pass < 10; ++pass) {
    double sum[2] = {0.0, 0.0}, count[2] = {1e-9, 1e-9};
    for (const double v : values) {
      const int k = v > 0.5 * (low + high) ? 1 : 0;
      sum[k] += v;
      count[k] += 1.0;
    }
    low = sum[0] / count[0];
    high = sum[1] / count[1];
  }
  double squares = 0.0;
  for (const double v : values) squares += std::pow(v - (v > 0.5 * (low + high) ? high : low), 2);
  return {low, high, std::sqrt(squares / static_cast<double>(values.size()))};
}

}  // namespace

LightRuns CountLighterRuns(std::vector<double> light) {
  light = OverItsGround(light);
  const Levels levels = LevelsOf(light);
  constexpr double kLeastStep = 0.10, kClear = 3.0;
  const double step = levels.high - levels.low;
  if (step < kLeastStep) return {0, Told::kNo};
  if (step < kClear * levels.within) return {0, Told::kNotResolved};
  LightRuns out{0, Told::kYes};
  constexpr int kLeastRun = 2;
  int run = 0;
  for (const double v : light) {
    run = v > 0.5 * (levels.low + levels.high) ? run + 1 : 0;
    if (run == kLeastRun) ++out.runs;
  }
  return out;
}

}  // namespace lieflat::internal
