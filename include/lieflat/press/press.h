#pragma once
// What a way of holding does to a board, worked out before it is tried: load and gap in steps on
// the way, contact, strain and joint load of every part at the worst moment and at the end.
//
//   Surface (stress-free) + PressWay -> plate, solved step by step -> Pressing
//
// Strains and joint loads are changes from the stress-free board: its joints have crept free of
// load in the shape it has. All loads of a way grow together. Units mm, N; strain a plain ratio.
//
// Uncertainty: draws of the surface and of the plate's numbers, as lieflat/joints/plate_draws.h;
// linear about the solved moments, or each solved anew (PressOptions::samples). Mass is taken as
// known. The same seed gives the same bytes.

#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/base/statistics.h"
#include "lieflat/board/board.h"
#include "lieflat/joints/at_parts.h"
#include "lieflat/joints/rating.h"
#include "lieflat/plate/bend_field.h"
#include "lieflat/press/way.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

struct PressOptions {
  bool own_weight = true;
  Side up = Side::kComponent;              ///< the face that looks up
  bool large_deflection = true;            ///< false: as a flat plate, for a quick look
  std::vector<Eigen::Vector2d> points_mm;  ///< where height and strain are read off
  std::vector<PartLimit> limits;           ///< in the board's order; empty: no shares
  int draws = 0;                           ///< of the linear uncertainty; 0: none
  int samples = 0;  ///< so many nonlinear answers in place of the linear ones; 0: none
  std::uint64_t seed = 20260302;
  double cell_mm = 0.0, fine_mm = 0.0;        ///< 0: those of calib/joints.json, "flatten"
  std::function<void(double done)> progress;  ///< 0 to 1
  std::stop_token stop;
};

struct PressedPartAt {
  StrainAtPart strain;
  std::optional<JointsAtPart> joints;  ///< of parts that stiffen the board
};

struct PressStep {
  double share = 0.0;           ///< of the way
  double load_n = 0.0;          ///< that presses, own weight left out; screws: what they pull down
  double gap_mm = 0.0;          ///< of the mid-surface, highest less lowest
  double highest_mm = 0.0;      ///< of the mid-surface over table or stand-offs
  double contact_n = 0.0;       ///< of table and stand-offs, upwards
  double largest_strain = 0.0;  ///< principal, magnitude, away from the rim (calib/press.json)
  std::vector<PressedPartAt> parts;  ///< in the board's order
};

/// A force on the board, with the middle of where it acts.
struct PressForce {
  std::string on;  ///< "table", "plate", "weight 1", "bar AB", "hole 2", "own weight"
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
  double up_n = 0.0;  ///< negative: presses it down
};

struct PressPoint {
  Eigen::Vector2d at_mm;
  double height_mm = 0.0;       ///< of the mid-surface, over the table or stand-offs
  Eigen::Vector2d top, bottom;  ///< principal strains of the faces that look up and down
};

struct PressedPart {
  std::string ref;
  std::size_t worst_step = 0;  ///< of its strain, in Pressing::steps
  double strain = 0.0;         ///< there, signed, as it counts for the part
  double share = 0.0;          ///< of its allowed strain; 0 without limits
  double damage_probability = 0.0;
  Rating rating = Rating::kHigh;              ///< by share and probability of this one press
  std::optional<Interval> strain95, share95;  ///< with draws
};

struct Pressing {
  std::string way;
  double warp_mm = 0.0;          ///< of the stress-free board over its best plane
  double flat_mm = 0.0;          ///< a gap up to this counts as flat (calib/joints.json)
  std::vector<PressStep> steps;  ///< at least four when all were found
  std::size_t worst = 0;         ///< the step at which a part's share (or the strain) is largest
  std::optional<double> flat_load_n;    ///< that presses when the gap first counts as flat
  std::vector<PressedPart> parts;       ///< in the board's order
  double any_damage_probability = 0.0;  ///< that at least one part is damaged
  std::vector<PressForce> forces;       ///< at the end; they balance
  Hold hold;                            ///< at the end
  BendField field;                      ///< bend all over the board and contacts, at the end
  std::vector<PressPoint> points;       ///< at the end
  struct HoleGap {
    int hole = 0;
    double mm = 0.0;
  };
  /// On stand-offs: between board and bare stand-off at each hole, lying there unforced under its
  /// own weight. Fill these and the screws bend nothing.
  std::vector<HoleGap> unforced_gaps;
  double lower_over_s = 0.0;          ///< take at least so long to bring the load on
  bool reached = true;                ///< false: the last step found is not all of the way
  std::vector<std::string> validity;  ///< what was not reached or left out
  int unknowns = 0;
  [[nodiscard]] const PressStep& end() const { return steps.back(); }
  [[nodiscard]] bool flat() const;  ///< at the end, to a few millionths of a millimetre
};

/// @error as CheckWay; kNoFigure: no step was found, "stopped"; kRefused: as MakePlateModel and
/// Plate::Make, a point off the board.
Result<Pressing> PressBoard(const Board& board,
                            const Surface& surface,
                            const PressWay& way,
                            const Calib& calib,
                            const PressOptions& options = {});

}  // namespace lieflat
