#pragma once
// Boards held day after day whose course is known: for the coverage of the forecast.

#include <cmath>
#include <functional>
#include <vector>

#include "lieflat/base/random.h"
#include "lieflat/trend/forecast.h"

namespace lieflat::testing {

enum class Family { kPower, kLogarithm, kStretched, kOnGrid, kTwoExponentials, kHyperbola };
inline constexpr std::array<Family, 6> kFamilies = {Family::kOnGrid,
                                                    Family::kPower,
                                                    Family::kLogarithm,
                                                    Family::kStretched,
                                                    Family::kTwoExponentials,
                                                    Family::kHyperbola};
inline const char* NameOf(Family family) {
  constexpr std::array<const char*, 6> kNames = {
      "power", "logarithm", "stretched", "on-grid", "two exponentials", "hyperbola"};
  return kNames.at(static_cast<std::size_t>(family));
}

/// A course scaled to 1 at 96 h, its parameters between those of the fit's list.
inline std::function<double(double)> DrawCourse(Family family,
                                                const TrendSettings& settings,
                                                Random& random) {
  const auto log_uniform = [&](double low, double high) {
    return std::exp(random.Uniform(std::log(low), std::log(high)));
  };
  std::function<double(double)> raw;
  switch (family) {
    case Family::kPower: {
      const double n = random.Uniform(0.1, 0.5);
      raw = [n](double t) { return std::pow(t, n); };
      break;
    }
    case Family::kLogarithm: {
      const double t0 = log_uniform(0.2, 20.0);
      raw = [t0](double t) { return std::log1p(t / t0); };
      break;
    }
    case Family::kStretched: {
      const double tau = log_uniform(8.0, 400.0), b = random.Uniform(0.3, 1.0);
      raw = [tau, b](double t) { return 1.0 - std::exp(-std::pow(t / tau, b)); };
      break;
    }
    case Family::kOnGrid: {
      const TrendShape shape = settings.shapes[static_cast<std::size_t>(
          random.Below(static_cast<int>(settings.shapes.size())))];
      raw = [shape](double t) { return shape.At(t); };
      break;
    }
    case Family::kTwoExponentials: {
      const double fast = log_uniform(4.0, 40.0), slow = log_uniform(80.0, 800.0);
      const double share = random.Uniform(0.2, 0.8);
      raw = [=](double t) {
        return share * (1.0 - std::exp(-t / fast)) + (1.0 - share) * (1.0 - std::exp(-t / slow));
      };
      break;
    }
    case Family::kHyperbola: {
      const double tau = log_uniform(10.0, 300.0);
      raw = [tau](double t) { return t / (t + tau); };
      break;
    }
  }
  const double scale = raw(96.0);
  return [raw, scale](double t) { return t > 0.0 ? raw(t) / scale : 0.0; };
}

/// One board: 5 mm, three readings first, then each day a hold of 24 h, a reading just after
/// release and a rested one; error 0.08 mm, which the reader knows within a factor of 0.75 to 1.35.
struct HeldBoard {
  HeldBoard(Family family, const TrendSettings& settings, Random& random)
      : course(DrawCourse(family, settings, random)) {
    first = 5.0;
    gain = first * (settings.gain_mean_share + settings.gain_sd_share * random.Normal());
    back = first * (settings.back_mean_share + settings.back_sd_share * random.Normal());
    sd = 0.08;
    told_sd = sd * random.Uniform(0.75, 1.35);
  }
  [[nodiscard]] double State(double hours) const { return first - gain * course(hours); }
  [[nodiscard]] double Read(double hours, bool freed, Random& random) const {
    return State(hours) - (freed ? back : 0.0) + sd * random.Normal();
  }
  std::function<double(double)> course;
  double first, gain, back, sd, told_sd;
};

inline constexpr double kDay = 24.0;

inline std::vector<TrendPoint> ReadOver(const HeldBoard& board, int holds, Random& random) {
  std::vector<TrendPoint> points;
  for (int i = 0; i < 3; ++i) points.push_back({0.0, false, board.Read(0.0, false, random)});
  for (int k = 1; k <= holds; ++k) {
    for (const bool freed : {true, false})
      points.push_back({k * kDay, freed, board.Read(k * kDay, freed, random)});
  }
  return points;
}

inline TrendPrior PriorOf(const std::vector<TrendPoint>& points, double told_sd) {
  double mean = 0.0;
  for (std::size_t i = 0; i < 3; ++i) mean += points[i].value_mm / 3.0;
  return {
      .first_mm = mean, .height_mm = std::abs(mean), .repeat_sd_mm = told_sd, .repeat_dof = 6.0};
}

}  // namespace lieflat::testing
