// The distributions are held against an independent implementation: the GNU Scientific Library 2.7,
// gsl_cdf_*.

#include "lieflat/base/statistics.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "support/counts.h"

namespace lieflat {
namespace {

using testing::Count;

// Both libraries state accuracies near 1e-15; the tails lose a few digits in each.
constexpr double kTolRelative = 1e-11;

void ExpectClose(double value, double reference) {
  EXPECT_NEAR(value, reference, kTolRelative * std::max(std::abs(reference), 1e-300));
}

TEST(Statistics, NormalAgreesWithReference) {
  for (double z = -8.0; z <= 8.0; z += 0.25) {
    SCOPED_TRACE(z);
    ExpectClose(NormalCdf(z), gsl_cdf_ugaussian_P(z));
  }
  for (const double p : {1e-9, 1e-4, 0.025, 0.05, 0.3, 0.7, 0.95, 0.975, 1.0 - 1e-6}) {
    SCOPED_TRACE(p);
    ExpectClose(NormalQuantile(p), gsl_cdf_ugaussian_Pinv(p));
  }
}

TEST(Statistics, StudentAgreesWithReference) {
  for (const double nu : {1.0, 2.0, 3.0, 4.5, 10.0, 50.0, 1000.0}) {
    for (const double p : {0.001, 0.025, 0.2, 0.8, 0.975, 0.999}) {
      SCOPED_TRACE(::testing::Message() << nu << " " << p);
      ExpectClose(StudentQuantile(p, nu), gsl_cdf_tdist_Pinv(p, nu));
    }
  }
}

TEST(Statistics, ChiSquaredAgreesWithReference) {
  for (const double nu : {1.0, 2.0, 3.0, 7.0, 40.0}) {
    for (const double value : {0.0, 0.1, 1.0, 5.0, 30.0, 100.0}) {
      SCOPED_TRACE(::testing::Message() << nu << " " << value);
      ExpectClose(ChiSquaredTail(value, nu), gsl_cdf_chisq_Q(value, nu));
    }
  }
}

TEST(Statistics, ImpossibleRequestsAreOurMistake) {
  EXPECT_THROW(NormalQuantile(0.0), std::logic_error);
  EXPECT_THROW(NormalQuantile(1.0), std::logic_error);
  EXPECT_THROW(StudentQuantile(0.5, 0.0), std::logic_error);
  EXPECT_THROW(ChiSquaredTail(-1.0, 1.0), std::logic_error);
  EXPECT_THROW(Quantile(Eigen::VectorXd(), 0.5), std::logic_error);
  EXPECT_THROW(ShortestInterval(Eigen::VectorXd::Zero(19)), std::logic_error);
}

// By hand: order statistics 1 2 3 4 5, place 4 p.
TEST(Statistics, QuantileIsLinearBetweenOrderStatistics) {
  Eigen::VectorXd draws(5);
  draws << 4, 1, 5, 2, 3;
  EXPECT_EQ(Quantile(draws, 0.0), 1.0);
  EXPECT_EQ(Quantile(draws, 0.5), 3.0);
  EXPECT_EQ(Quantile(draws, 1.0), 5.0);
  EXPECT_EQ(Quantile(draws, 0.125), 1.5);
  EXPECT_EQ(Quantile(Eigen::VectorXd::Constant(1, 7.0), 0.3), 7.0);
}

// By hand, JCGM 101:2008, 7.7: of 100 draws q = 95, intervals y(r) .. y(r + 95). The draws 0 1 2
// ... 98 and one at 1000: every interval without the last is 95 long, r = 1 comes first.
TEST(Statistics, ShortestIntervalLeavesTheFarDrawOut) {
  Eigen::VectorXd draws = Eigen::VectorXd::LinSpaced(100, 99, 0);
  draws[0] = 1000;
  const Interval interval = ShortestInterval(draws);
  EXPECT_EQ(interval.low, 0.0);
  EXPECT_EQ(interval.high, 95.0);
  EXPECT_EQ(interval.half_width(), 47.5);
}

TEST(Statistics, ShortestIntervalOfSkewedDrawsIsNotCentral) {
  // Exponential law: the shortest 95 % interval starts at 0 and ends at -ln 0.05 = 2.9957.
  const int count = Count(20000, 200000);
  constexpr std::uint64_t kSeed = 20260302;
  SCOPED_TRACE(::testing::Message() << "seed " << kSeed);
  Random random(kSeed);
  Eigen::VectorXd draws(count);
  for (double& draw : draws) draw = -std::log(random.Uniform());
  const Interval interval = ShortestInterval(draws);
  // The end's standard deviation is about sqrt(0.05 0.95 / n) / 0.05 = 0.031 at 20 000; the minimum
  // over r lowers it a bit.
  constexpr double kTol = 0.12;
  EXPECT_NEAR(interval.low, 0.0, 0.02);
  EXPECT_NEAR(interval.high, -std::log(0.05), kTol);
}

TEST(Random, MomentsOfUniformAndNormal) {
  const int count = Count(200000, 2000000);
  constexpr std::uint64_t kSeed = 7;
  SCOPED_TRACE(::testing::Message() << "seed " << kSeed);
  Random random(kSeed);
  double uniform = 0.0;
  double sum = 0.0;
  double squares = 0.0;
  double fourths = 0.0;
  for (int i = 0; i < count; ++i) {
    const double u = random.Uniform();
    ASSERT_GT(u, 0.0);
    ASSERT_LT(u, 1.0);
    uniform += u;
    const double z = random.Normal();
    sum += z;
    squares += z * z;
    fourths += z * z * z * z;
  }
  const double n = count;
  // Five standard deviations of each mean: 1/sqrt(12), 1, sqrt 2 and sqrt 96, over sqrt n.
  const double five = 5.0 / std::sqrt(n);
  EXPECT_NEAR(uniform / n, 0.5, five / std::sqrt(12.0));
  EXPECT_NEAR(sum / n, 0.0, five);
  EXPECT_NEAR(squares / n, 1.0, five * std::sqrt(2.0));
  EXPECT_NEAR(fourths / n, 3.0, five * std::sqrt(96.0));
}

// The 10 000th draw of a default-seeded std::mt19937_64 is 9981545732273789042 (C++20,
// [rand.predef]); ours must be its upper 52 bits, so that seeds mean the same on every machine.
TEST(Random, StreamIsTheStandardsOwn) {
  Random random(5489);
  double last = 0.0;
  for (int i = 0; i < 10000; ++i) last = random.Uniform();
  EXPECT_EQ(last, (static_cast<double>(9981545732273789042ULL >> 12U) + 0.5) * 0x1p-52);
}

TEST(Random, BelowCoversItsRange) {
  Random random(3);
  Eigen::VectorXi seen = Eigen::VectorXi::Zero(6);
  for (int i = 0; i < 6000; ++i) {
    const int side = random.Below(6);
    ASSERT_GE(side, 0);
    ASSERT_LT(side, 6);
    ++seen[side];
  }
  // 1000 each, standard deviation sqrt(6000 (1/6) (5/6)) = 29; five of them.
  EXPECT_GT(seen.minCoeff(), 1000 - 145);
  EXPECT_LT(seen.maxCoeff(), 1000 + 145);
}

}  // namespace
}  // namespace lieflat
