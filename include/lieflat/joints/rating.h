#pragma once
// A first rating of each part from the curvature of the board near it. The plate model replaces the
// mechanics, not this interface: `found` is the bend at the part now, `flatten` what pressing flat
// would add.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/calib.h"
#include "lieflat/joints/strain.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

struct Flattening;

enum class Rating { kLow, kModerate, kHigh };
const char* Name(Rating rating);

/// How a part class stands bending. Strains as plain ratios, for slow bending of a 1.6 mm board.
struct PartClass {
  std::string name, plain, trade;  ///< "pbga", "ball-grid chip, plastic", "PBGA"
  double allowed_strain = 0.0;     ///< eps_a
  double median_strain = 0.0;      ///< eps_50
  double log_sd = 0.35;
  bool area_array = false;  ///< takes the diagonal strain too
  bool chip = false;        ///< tension in full, compression halved
  std::string source;       ///< with confidence
};
/// Accounts for size: large plastic ball-grid parts and small chips have limits of their own.
PartClass ClassOf(const Part& part, const Calib& calib);

struct PartRating {
  std::string ref, part_class;
  bool measured = false;  ///< false: no curvature is known there; the strains are absent
  std::string
      where_taken;  ///< "at its place", "largest in its region (top-left)", "largest on the board"
  double found_strain = 0.0;  ///< signed, on the face that carries the part
  Interval found_strain95;
  double found_share = 0.0, found_damage_probability = 0.0;
  double flatten_strain = 0.0;  ///< signed change, tension +
  Interval flatten_strain95;
  double allowed_strain = 0.0;                ///< with age, damage and thickness factors
  double median_strain = 0.0, log_sd = 0.35;  ///< of its damage, with the same factors
  double damage_factor = 1.0;                 ///< of these, that of damage beside it
  double share = 0.0;                         ///< |flatten| / allowed
  Interval share95;
  double damage_probability = 0.0;
  double local_flatness_mm = 0.0,
         local_flatness_u95_mm = 0.0;  ///< of the surface under its footprint
  /// By the plate model (lieflat/joints/flatten.h); else by the curvature of the surface alone.
  bool by_plate = false;
  std::optional<double> joint_force_n;  ///< axial, of the worst single joint, tension +
  Interval joint_force95_n;
  double joint_shear_n = 0.0;
  double corner_patch_n =
      0.0;  ///< area arrays: the largest of the four corners' patches, a magnitude
  std::optional<double>
      found_joint_force_n;  ///< the same now, had it been assembled flat and nothing crept
  std::optional<double>
      cycles_to_failure;  ///< presses overnight, median; joints that take the gap themselves
  double fatigue = 0.0;   ///< share of that which one press uses
  Rating rating = Rating::kHigh;
  std::string
      set_by;  ///< of share, probability, fatigue those that set it, "share and probability"
};

/// Phi(ln(strain / median) / s), s^2 = (sd_t/t)^2 + (sd_strain/strain)^2 + log_sd^2; 0 for zero
/// strain.
double DamageProbability(double strain,
                         double sd_strain,
                         double median_strain,
                         double log_sd,
                         double relative_sd_thickness);

/// low: share < 0.5, probability < 1 %, fatigue < 0.05; moderate: share < 1, probability < 10 %,
/// fatigue at most 0.10; else high. Thresholds in calib/choice.json.
Rating RateJoint(double share,
                 double probability,
                 double fatigue,
                 const Calib& calib,
                 std::string* set_by = nullptr);

/// "under 1 in 100", "about 1 in 30", ... : a rule of thumb, printed in steps (under 1, 1, 3, 10,
/// 30 %, more).
std::string ProbabilityInWords(double probability);

/// All parts of the board. `year_now` ages the board (unknown year counts as old).
/// @param curvature_known  false: strains are left out (four corners alone show no bow).
/// @param damage_factors  by reference of a part: on what it stands, allowed and median alike;
/// absent: 1.
/// @param flattening  what pressing flat does by the plate model; null: the change of the surface's
/// curvature, part by part.
std::vector<PartRating> RateParts(const Board& board,
                                  const Surface& surface,
                                  bool curvature_known,
                                  int year_now,
                                  const Calib& calib,
                                  const Flattening* flattening = nullptr,
                                  const std::map<std::string, double>& damage_factors = {});
/// That at least one part is damaged: 1 - prod(1 - p).
double AnyDamageProbability(const std::vector<double>& probabilities);

/// What one part stands: lognormal about the median (plain strain).
struct PartLimit {
  double allowed = 0.0, median = 0.0, log_sd = 0.35;
};
PartLimit LimitOf(const PartRating& rating);
/// Mean of DamageProbability over draws in which the thickness is drawn with the rest.
double DamageProbability(const Eigen::VectorXd& strain_draws, const PartLimit& limit);
/// The same of at least one part: parts share the draws, so that they come to harm together.
/// @param strain_draws  by part, one length.
double AnyDamageProbability(const std::vector<Eigen::VectorXd>& strain_draws,
                            const std::vector<PartLimit>& limits);

}  // namespace lieflat
