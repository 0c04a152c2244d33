#include "lieflat/joints/rating.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "lieflat/base/text.h"
#include "lieflat/joints/beams.h"
#include "lieflat/joints/fatigue.h"
#include "lieflat/joints/flatten.h"

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
constexpr double kInTheDraws =
    0.0;  ///< the spread of the thickness, where it is drawn with the rest

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

/// Pressed flat by the curvature of the surface alone.
void FlattenByCurvature(
    const Bend& bend, const PartClass& kind, double median, double relative_t, PartRating& rating) {
  rating.flatten_strain = bend.flatten;
  rating.flatten_strain95 = Holding(ShortestInterval(bend.flatten_with_thickness()), bend.flatten);
  rating.share = std::abs(bend.flatten) / rating.allowed_strain;
  rating.share95 =
      ShareInterval(bend.flatten_with_thickness(), bend.flatten, rating.allowed_strain);
  // Most kinds count tension and compression alike, so that the chance is the same and need not be
  // worked out twice.
  rating.damage_probability =
      bend.flatten_draws.cwiseAbs() == bend.found_draws.cwiseAbs()
          ? rating.found_damage_probability
          : MeanProbability(bend.flatten_draws, median, kind.log_sd, relative_t);
}

/// Presses overnight until the joints that take the gap themselves have used their median life.
void CountCycles(const Part& part, const Board& board, const Calib& calib, PartRating& rating) {
  const auto height =
      calib.Find("part_classes", "/classes/" + part.part_class + "/joint_height_mm");
  if (!height || !part.size_mm) return;
  const auto hold = [&](const char* key) {
    return calib.Number("joints", std::string("/hold/") + key).value;
  };
  const double curvature = 2.0 * std::abs(rating.flatten_strain) / board.thickness_mm.value;
  const double shear = ExtensionShear(
      CreepExtension(curvature, 0.5 * part.size_mm->maxCoeff()), height->value, calib);
  const double life = CyclesToFailure(shear, hold("temperature_c"), hold("dwell_minutes"), calib);
  if (!std::isfinite(life)) return;
  rating.cycles_to_failure = life;
  rating.fatigue = FatigueDamage(hold("cycles"), life);
}

/// Pressed flat by the plate model.
void FlattenByPlate(const FlattenedPart& pressed,
                    double thickness_mm,
                    const Calib& calib,
                    PartRating& rating) {
  rating.by_plate = true;
  rating.flatten_strain = pressed.strain.value;
  rating.flatten_strain95 = pressed.strain.interval95;
  rating.share = std::abs(pressed.strain.value) / rating.allowed_strain;
  rating.share95 = ShareInterval(pressed.strain.draws, pressed.strain.value, rating.allowed_strain);
  rating.damage_probability = DamageProbability(pressed.strain.draws, LimitOf(rating));
  if (!pressed.joints) return;
  rating.joint_force_n = pressed.joints->axial_n.value;
  rating.joint_force95_n = pressed.joints->axial_n.interval95;
  rating.joint_shear_n = std::abs(pressed.joints->shear_n.value);
  for (const JointsAtPart::Corner& corner : pressed.joints->corners)
    rating.corner_patch_n = std::max(rating.corner_patch_n, std::abs(corner.axial_n));
  if (pressed.joints->beams) {
    const double curvature = 2.0 * std::abs(rating.found_strain) / thickness_mm;
    rating.found_joint_force_n =
        BendJoinedBeams(*pressed.joints->beams, curvature, calib).corner_joint_n;
  }
}

PartRating RateOne(const Part& part,
                   const Board& board,
                   BendAtParts& bends,
                   bool curvature_known,
                   double limit_factor,
                   double damage_factor,
                   const FlattenedPart* pressed,
                   const Calib& calib) {
  const PartClass kind = ClassOf(part, calib);
  const double allowed = kind.allowed_strain * limit_factor * damage_factor;
  const double median = kind.median_strain * limit_factor * damage_factor;
  const double relative_t = board.thickness_mm.u / board.thickness_mm.value;
  PartRating rating;
  rating.ref = part.ref;
  rating.part_class = part.part_class;
  rating.allowed_strain = allowed;
  rating.damage_factor = damage_factor;
  rating.median_strain = median;
  rating.log_sd = kind.log_sd;
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
  if (pressed != nullptr) {
    FlattenByPlate(*pressed, board.thickness_mm.value, calib, rating);
  } else {
    FlattenByCurvature(bend, kind, median, relative_t, rating);
  }
  CountCycles(part, board, calib, rating);
  rating.rating =
      RateJoint(rating.share, rating.damage_probability, rating.fatigue, calib, &rating.set_by);
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

Rating RateJoint(
    double share, double probability, double fatigue, const Calib& calib, std::string* set_by) {
  const auto line = [&](const char* pointer) { return calib.Number("choice", pointer).value; };
  const double most_fatigue = line("/fatigue/high");  // itself still moderate
  const std::array<std::pair<const char*, int>, 3> levels = {
      {{"share", LevelOf(share, line("/rating/low/share"), line("/rating/moderate/share"))},
       {"probability",
        LevelOf(
            probability, line("/rating/low/probability"), line("/rating/moderate/probability"))},
       {"fatigue",
        fatigue < line("/fatigue/moderate") ? 0
        : fatigue <= most_fatigue           ? 1
                                            : 2}}};
  int worst = 0;
  for (const auto& [name, level] : levels) worst = std::max(worst, level);
  if (set_by != nullptr) {
    std::vector<std::string> names;
    for (const auto& [name, level] : levels) {
      // At the lowest level there is nothing that wear alone could have set.
      if (level == worst && (worst > 0 || std::string(name) != "fatigue")) names.emplace_back(name);
    }
    *set_by =
        names.size() == 3 ? names[0] + ", " + names[1] + " and " + names[2] : Join(names, " and ");
  }
  return static_cast<Rating>(worst);
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
                                  const Calib& calib,
                                  const Flattening* flattening,
                                  const std::map<std::string, double>& damage_factors) {
  BendAtParts bends(board, surface, calib);
  const double limit_factor = LimitFactor(board, year_now, calib);
  std::vector<PartRating> ratings;
  ratings.reserve(board.parts.size());
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    const FlattenedPart* pressed = flattening != nullptr ? &flattening->parts[i] : nullptr;
    const auto damaged = damage_factors.find(board.parts[i].ref);
    ratings.push_back(RateOne(board.parts[i],
                              board,
                              bends,
                              curvature_known,
                              limit_factor,
                              damaged == damage_factors.end() ? 1.0 : damaged->second,
                              pressed,
                              calib));
  }
  return ratings;
}

double AnyDamageProbability(const std::vector<double>& probabilities) {
  double none = 1.0;
  for (const double probability : probabilities) none *= 1.0 - probability;
  return 1.0 - none;
}

PartLimit LimitOf(const PartRating& rating) {
  return {rating.allowed_strain, rating.median_strain, rating.log_sd};
}

double DamageProbability(const Eigen::VectorXd& strain_draws, const PartLimit& limit) {
  return MeanProbability(strain_draws, limit.median, limit.log_sd, kInTheDraws);
}

double AnyDamageProbability(const std::vector<Eigen::VectorXd>& strain_draws,
                            const std::vector<PartLimit>& limits) {
  LIEFLAT_CHECK(strain_draws.size() == limits.size(), "draws and limits of the same parts");
  if (strain_draws.empty()) return 0.0;
  const Eigen::Index draws = strain_draws.front().size();
  double any = 0.0;
  for (Eigen::Index k = 0; k < draws; ++k) {
    double none = 1.0;
    for (std::size_t i = 0; i < limits.size(); ++i)
      none *= 1.0 - DamageProbability(
                        strain_draws[i](k), 0.0, limits[i].median, limits[i].log_sd, kInTheDraws);
    any += 1.0 - none;
  }
  return any / static_cast<double>(draws);
}

}  // namespace lieflat
