#include "lieflat/joints/rating.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "joints/bend_at_part.h"
#include "joints/limits.h"

namespace lieflat {
namespace {

// The steps of calib/choice.json, "probability_steps", and the words for them. A chance is put to
// the nearest step on a log scale, save that only what is below the first step is called "under".
constexpr std::array<std::pair<double, const char*>, 4> kSteps = {{{0.01, "about 1 in 100"},
                                                                   {0.03, "about 1 in 30"},
                                                                   {0.10, "about 1 in 10"},
                                                                   {0.30, "about 1 in 3"}}};
constexpr double kMoreThanTheSteps = 0.5;

int LevelOf(double value, double low, double moderate) {
  if (value < low) return 0;
  return value < moderate ? 1 : 2;
}

/// The largest share of the probability that thickness and the class's own spread leave, over the
/// draws.
double MeanProbability(const Eigen::VectorXd& strains,
                       double median_strain,
                       double log_sd,
                       double relative_sd_thickness) {
  double sum = 0.0;
  for (const double strain : strains) {
    sum += DamageProbability(strain, 0.0, median_strain, log_sd, relative_sd_thickness);
  }
  return sum / static_cast<double>(strains.size());
}

Interval Holding(Interval interval, double figure) {
  return {std::min(interval.low, figure), std::max(interval.high, figure)};
}

Interval ShareInterval(const Eigen::VectorXd& strains, double figure, double allowed) {
  return Holding(ShortestInterval(strains.cwiseAbs() / allowed), std::abs(figure) / allowed);
}

PartRating RateOne(const Part& part,
                   const Board& board,
                   BendAtParts& bends,
                   bool curvature_known,
                   double limit_factor,
                   const Calib& calib) {
  const PartClass kind = ClassOf(part, calib);
  const double allowed = kind.allowed_strain * limit_factor;
  const double median = kind.median_strain * limit_factor;
  const double relative_t = board.thickness_mm.u / board.thickness_mm.value;
  PartRating rating;
  rating.ref = part.ref;
  rating.part_class = part.part_class;
  rating.allowed_strain = allowed;
  rating.where_taken = WhereTaken(part);
  if (!curvature_known) {
    rating.set_by = "not measured";
    return rating;
  }
  rating.measured = true;
  const Bend& bend = bends.At(part, kind);
  rating.found_strain = bend.found;
  rating.found_strain95 = Holding(ShortestInterval(bend.found_with_thickness()), bend.found);
  rating.found_share = std::abs(bend.found) / allowed;
  rating.found_damage_probability =
      MeanProbability(bend.found_draws, median, kind.log_sd, relative_t);
  rating.flatten_strain = bend.flatten;
  rating.flatten_strain95 = Holding(ShortestInterval(bend.flatten_with_thickness()), bend.flatten);
  rating.share = std::abs(bend.flatten) / allowed;
  rating.share95 = ShareInterval(bend.flatten_with_thickness(), bend.flatten, allowed);
  // Most kinds count tension and compression alike, so that the chance is the same and need not be
  // worked out twice.
  rating.damage_probability =
      bend.flatten_draws.cwiseAbs() == bend.found_draws.cwiseAbs()
          ? rating.found_damage_probability
          : MeanProbability(bend.flatten_draws, median, kind.log_sd, relative_t);
  rating.rating = RateJoint(rating.share, rating.damage_probability, calib, &rating.set_by);
  if (part.has_place()) {
    const LocalFlatness local = bends.FlatnessUnder(part);
    rating.local_flatness_mm = local.mm;
    rating.local_flatness_u95_mm = local.u95_mm;
  }
  return rating;
}

}  // namespace

const char* Name(Rating rating) {
  switch (rating) {
    case Rating::kLow:
      return "low";
    case Rating::kModerate:
      return "moderate";
    case Rating::kHigh:
      return "high";
  }
  LIEFLAT_CHECK(false, "a rating is one of three");
}

double DamageProbability(double strain,
                         double sd_strain,
                         double median_strain,
                         double log_sd,
                         double relative_sd_thickness) {
  const double size = std::abs(strain);
  if (size == 0.0) return 0.0;
  const double s = std::hypot(relative_sd_thickness, sd_strain / size, log_sd);
  return NormalCdf(std::log(size / median_strain) / s);
}

Rating RateJoint(double share, double probability, const Calib& calib, std::string* set_by) {
  const auto line = [&](const char* pointer) { return calib.Number("choice", pointer).value; };
  const int by_share = LevelOf(share, line("/rating/low/share"), line("/rating/moderate/share"));
  const int by_probability =
      LevelOf(probability, line("/rating/low/probability"), line("/rating/moderate/probability"));
  if (set_by != nullptr) {
    *set_by = by_share == by_probability  ? "share and probability"
              : by_share > by_probability ? "share"
                                          : "probability";
  }
  return static_cast<Rating>(std::max(by_share, by_probability));
}

std::string ProbabilityInWords(double probability) {
  if (probability < kSteps.front().first) return "under 1 in 100";
  if (probability >= kMoreThanTheSteps) return "more likely than not";
  const auto nearest =
      std::min_element(kSteps.begin(), kSteps.end(), [&](const auto& a, const auto& b) {
        return std::abs(std::log(a.first / probability)) <
               std::abs(std::log(b.first / probability));
      });
  return nearest->second;
}

std::vector<PartRating> RateParts(const Board& board,
                                  const Surface& surface,
                                  bool curvature_known,
                                  int year_now,
                                  const Calib& calib) {
  BendAtParts bends(board, surface, calib);
  const double limit_factor = LimitFactor(board, year_now, calib);
  std::vector<PartRating> ratings;
  ratings.reserve(board.parts.size());
  for (const Part& part : board.parts) {
    ratings.push_back(RateOne(part, board, bends, curvature_known, limit_factor, calib));
  }
  return ratings;
}

double AnyDamageProbability(const std::vector<double>& probabilities) {
  double none = 1.0;
  for (const double probability : probabilities) none *= 1.0 - probability;
  return 1.0 - none;
}

}  // namespace lieflat
