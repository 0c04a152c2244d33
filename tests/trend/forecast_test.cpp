// The fit against numbers worked out independently, and its properties.

#include "lieflat/trend/forecast.h"

#include <array>
#include <cmath>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

constexpr std::array<double, 13> kHours = {0, 0, 0, 24, 24, 48, 48, 72, 72, 96, 96, 120, 120};
constexpr std::array<bool, 13> kFreed = {
    false, false, false, true, false, true, false, true, false, true, false, true, false};
constexpr std::array<double, 13> kRead = {
    5.02, 4.95, 5.06, 4.41, 4.72, 4.38, 4.58, 4.27, 4.55, 4.21, 4.41, 4.13, 4.43};

std::vector<TrendPoint> Points() {
  std::vector<TrendPoint> points;
  for (std::size_t i = 0; i < kHours.size(); ++i)
    points.push_back({kHours[i], kFreed[i], kRead[i]});
  return points;
}

TrendPrior Prior() {
  return {.first_mm = 5.01, .height_mm = 5.0, .repeat_sd_mm = 0.08, .repeat_dof = 6.0};
}

TrendSettings Settings() { return ReadTrendSettings(Calib::Embedded()); }

// One shape, t^0.22: the conjugate update of Gelman et al., Bayesian Data Analysis, 3rd ed., 14.8,
// worked out with numpy for these 13 readings: mean, standard deviation of scale, a and b.
TEST(TrendModel, OneShapeMatchesTheClosedForm) {
  TrendSettings settings = Settings();
  settings.shapes = {{TrendShape::Law::kPower, 0.22, 0.0}};
  const TrendModel model(Points(), Prior(), settings);
  const auto& fit = model.fits().front();
  const Eigen::Vector3d mean(5.0276, 0.5454, 0.2475), sd(0.0352, 0.0477, 0.0387);
  constexpr double kDigits = 5.1e-5;  // four decimals are given
  for (int i = 0; i < 3; ++i) {
    EXPECT_NEAR(fit.mean(i), mean(i), kDigits);
    EXPECT_NEAR(std::sqrt(fit.scale2() * fit.covariance(i, i)), sd(i), kDigits);
  }
  EXPECT_DOUBLE_EQ(fit.a, 9.5);
  EXPECT_NEAR(fit.b, 0.03707, 5.1e-6);
}

// All 25 shapes, nothing added for what lies ahead: 5, 50 and 95 % at 192 h, by numpy and scipy.
TEST(TrendModel, TheMixtureMatches) {
  TrendSettings settings = Settings();
  ASSERT_EQ(settings.shapes.size(), 25U);
  settings.extrapolation_share = 0.0;
  const TrendModel model(Points(), Prior(), settings);
  constexpr double kDigits = 6e-4;
  const StudentMixture state = model.State(192.0), reading = model.Reading(192.0, false);
  EXPECT_NEAR(state.Quantile(0.05), 4.193, kDigits);
  EXPECT_NEAR(state.Quantile(0.50), 4.293, kDigits);
  EXPECT_NEAR(state.Quantile(0.95), 4.400, kDigits);
  EXPECT_NEAR(reading.Quantile(0.05), 4.156, kDigits);
  EXPECT_NEAR(reading.Quantile(0.50), 4.293, kDigits);
  EXPECT_NEAR(reading.Quantile(0.95), 4.436, kDigits);
}

TEST(TrendModel, QuantilesAndDistributionAgree) {
  const TrendModel model(Points(), Prior(), Settings());
  const StudentMixture state = model.State(192.0);
  for (const double p : {0.05, 0.25, 0.5, 0.75, 0.95})
    EXPECT_NEAR(state.Cdf(state.Quantile(p)), p, 1e-9);
}

// Mirrored readings, and readings of a bend in other units, give mirrored and scaled answers.
TEST(TrendModel, ShiftsAndScales) {
  TrendPrior prior = Prior();
  auto points = Points();
  const double before = TrendModel(points, prior, Settings()).State(192.0).Quantile(0.3);
  for (auto& point : points) point.value_mm += 2.0;
  prior.first_mm += 2.0;
  EXPECT_NEAR(TrendModel(points, prior, Settings()).State(192.0).Quantile(0.3), before + 2.0, 1e-9);
}

// What lies ahead is less sure than what was read, and ever less.
TEST(TrendModel, TheFutureIsWider) {
  const TrendModel model(Points(), Prior(), Settings());
  double width = 0.0;
  for (const double hours : {120.0, 144.0, 192.0, 360.0}) {
    const StudentMixture state = model.State(hours);
    const double now = state.Quantile(0.95) - state.Quantile(0.05);
    EXPECT_GT(now, width);
    width = now;
  }
  EXPECT_GT(model.ComesBack().Quantile(0.05), 0.0) << "a quarter of a millimetre comes back";
}

}  // namespace
}  // namespace lieflat
