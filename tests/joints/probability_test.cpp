// Damage probability, its words, and the rating drawn from it.

#include <cmath>

#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include "lieflat/base/random.h"
#include "lieflat/joints/rating.h"

#include "support/counts.h"

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

// Phi(ln(356 / 957) / sqrt(0.35^2 + (40/356)^2 + 0.05^2)) = Phi(-2.666) = 0.0038, and the same with
// medians of 1 321 (no 0.05) and 500 microstrain: 0.0002 and 0.18.
TEST(DamageProbability, WorkedExamples) {
  EXPECT_NEAR(DamageProbability(356e-6, 40e-6, 957e-6, 0.35, 0.05), 0.0038, 5e-5);
  EXPECT_NEAR(DamageProbability(356e-6, 40e-6, 1321e-6, 0.35, 0.0), 0.0002, 5e-5);
  EXPECT_NEAR(DamageProbability(356e-6, 40e-6, 500e-6, 0.35, 0.05), 0.18, 5e-3);
}

// Against the normal distribution of the GNU Scientific Library.
TEST(DamageProbability, AgreesWithAReferenceLibrary) {
  constexpr std::uint64_t kSeed = 23;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(1000, 100000); ++i) {
    const double strain = random.Uniform(1e-6, 5e-3);
    const double sd = random.Uniform(0.0, 1e-3);
    const double median = random.Uniform(2e-4, 5e-3);
    const double log_sd = random.Uniform(0.2, 0.6);
    const double thickness = random.Uniform(0.0, 0.1);
    const double s =
        std::sqrt(thickness * thickness + sd * sd / (strain * strain) + log_sd * log_sd);
    const double expected = gsl_cdf_ugaussian_P(std::log(strain / median) / s);
    constexpr double kTolShare =
        1e-9;  // two implementations, each good to about 1e-12 of far tails
    EXPECT_NEAR(DamageProbability(strain, sd, median, log_sd, thickness),
                expected,
                kTolShare * expected + 1e-300);
  }
}

TEST(DamageProbability, ZeroStrainAndSigns) {
  EXPECT_EQ(DamageProbability(0.0, 40e-6, 957e-6, 0.35, 0.05), 0.0);
  EXPECT_EQ(DamageProbability(-356e-6, 40e-6, 957e-6, 0.35, 0.05),
            DamageProbability(356e-6, 40e-6, 957e-6, 0.35, 0.05));
  // At the median half of the parts are damaged, however wide the spread.
  EXPECT_NEAR(DamageProbability(957e-6, 200e-6, 957e-6, 0.4, 0.05), 0.5, 1e-12);
}

TEST(RateJoint, LinesAndWhoSetThem) {
  struct Row {
    double share, probability;
    Rating rating;
    const char* set_by;
  };
  // low: share < 0.5 and probability < 1 %; moderate: share < 1 and probability < 10 %; else high
  // (calib/choice.json).
  const std::vector<Row> rows = {{0.0, 0.0, Rating::kLow, "share and probability"},
                                 {0.499, 0.0099, Rating::kLow, "share and probability"},
                                 {0.5, 0.0, Rating::kModerate, "share"},
                                 {0.2, 0.01, Rating::kModerate, "probability"},
                                 {0.7, 0.05, Rating::kModerate, "share and probability"},
                                 {1.0, 0.0, Rating::kHigh, "share"},
                                 {0.9, 0.10, Rating::kHigh, "probability"},
                                 {2.0, 0.50, Rating::kHigh, "share and probability"}};
  for (const Row& row : rows) {
    SCOPED_TRACE(row.share);
    std::string set_by;
    EXPECT_EQ(RateJoint(row.share, row.probability, 0.0, calib(), &set_by), row.rating);
    EXPECT_EQ(set_by, row.set_by);
  }
  EXPECT_STREQ(Name(Rating::kModerate), "moderate");
}

TEST(ProbabilityInWords, Steps) {
  EXPECT_EQ(ProbabilityInWords(0.0), "under 1 in 100");
  EXPECT_EQ(ProbabilityInWords(0.00999), "under 1 in 100");
  EXPECT_EQ(ProbabilityInWords(0.01), "about 1 in 100");
  EXPECT_EQ(ProbabilityInWords(0.03), "about 1 in 30");
  EXPECT_EQ(ProbabilityInWords(0.08), "about 1 in 10");
  EXPECT_EQ(ProbabilityInWords(0.30), "about 1 in 3");
  EXPECT_EQ(ProbabilityInWords(0.49), "about 1 in 3");
  EXPECT_EQ(ProbabilityInWords(0.50), "more likely than not");
  EXPECT_EQ(ProbabilityInWords(1.0), "more likely than not");
  // The words stand for the steps of calib/choice.json.
  const std::vector<std::pair<const char*, const char*>> steps = {{"first", "about 1 in 100"},
                                                                  {"second", "about 1 in 30"},
                                                                  {"third", "about 1 in 10"},
                                                                  {"fourth", "about 1 in 3"}};
  for (const auto& [name, words] : steps) {
    EXPECT_EQ(ProbabilityInWords(
                  calib().Number("choice", std::string("/probability_steps/") + name).value),
              words);
  }
}

// 1 - 0.9 * 0.8 * 0.5.
TEST(AnyDamageProbability, OfIndependentParts) {
  EXPECT_NEAR(AnyDamageProbability({0.1, 0.2, 0.5}), 0.64, 1e-15);
  EXPECT_EQ(AnyDamageProbability({}), 0.0);
}

// Parts that share their draws come to harm together: the chance that any does is the mean of
// 1 - prod(1 - p) over the draws, here of two draws with p from a normal table: Phi(0) = 0.5,
// Phi(1) = 0.8413, Phi(-1) = 0.1587.
TEST(DamageProbability, OfAnyPartDrawByDraw) {
  const double e = std::exp(1.0);
  const std::vector<PartLimit> limits = {{1e-3, 1e-3, 1.0}, {2e-3, 2e-3, 1.0}};
  const std::vector<Eigen::VectorXd> draws = {Eigen::Vector2d(1e-3, -1e-3 * e),
                                              Eigen::Vector2d(2e-3 / e, 2e-3)};
  const double first = 1.0 - (1.0 - 0.5) * (1.0 - 0.1587), second = 1.0 - (1.0 - 0.8413) * 0.5;
  EXPECT_NEAR(AnyDamageProbability(draws, limits), 0.5 * (first + second), 1e-4);
  EXPECT_EQ(AnyDamageProbability(std::vector<Eigen::VectorXd>{}, {}), 0.0);
}

// A chance goes to the nearest step on a log scale: the lines between lie at the geometric means,
// 0.01732, 0.05477 and 0.1732.
TEST(ProbabilityInWords, TheNearestOnALogScale) {
  EXPECT_EQ(ProbabilityInWords(0.0173), "about 1 in 100");
  EXPECT_EQ(ProbabilityInWords(0.0174), "about 1 in 30");
  EXPECT_EQ(ProbabilityInWords(0.0547), "about 1 in 30");
  EXPECT_EQ(ProbabilityInWords(0.0549), "about 1 in 10");
  EXPECT_EQ(ProbabilityInWords(0.1731), "about 1 in 10");
  EXPECT_EQ(ProbabilityInWords(0.1734), "about 1 in 3");
}

// What a part stands is handed on as it was rated, and draws without more spread than the class's.
TEST(DamageProbability, OfOnePartsDraws) {
  PartRating rating;
  rating.allowed_strain = 2e-4;
  rating.median_strain = 1e-3;
  rating.log_sd = 0.5;
  const PartLimit limit = LimitOf(rating);
  EXPECT_EQ(limit.allowed, 2e-4);
  const double e = std::exp(0.5);
  const Eigen::VectorXd draws = Eigen::Vector3d(1e-3, -1e-3 * e, 0.0);
  // Phi(0), Phi(1) and nothing for no strain.
  EXPECT_NEAR(DamageProbability(draws, limit), (0.5 + 0.84134) / 3.0, 1e-5);
}

}  // namespace
}  // namespace lieflat
