#pragma once
// What pressing a board flat between two rigid plates does at each part, by the plate model, with
// what is not known carried along.
//
//   Surface (stress-free) -> plate model -> plates closing in steps -> per part the worst moment
//
// "Flat" is a height that is left (calib/joints.json, "flatten"): to press an evenly bowed board
// down to nothing takes forces without bound at its edges. The board's own weight is left out:
// between the plates it decides nothing, and either face may look up. Parts whose bend is largest
// on the way and not when flat are rated at that moment.
//
// Uncertainty: draws of the surface, of modulus, shear modulus, thickness and joint stiffness; the
// answer is taken as linear about the nonlinear one, or solved anew for each draw
// (FlattenOptions::samples) on a coarser mesh, whose differences are put on the fine one's answer.
// The same seed gives the same bytes.

#include <cstdint>
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
#include "lieflat/joints/plate_draws.h"
#include "lieflat/plate/bend_field.h"
#include "lieflat/shape/surface.h"

namespace lieflat {

struct FlattenOptions {
  int draws = 1000;  ///< of the linear uncertainty
  int samples = 0;   ///< so many nonlinear answers in place of the linear ones; 0: none
  std::uint64_t seed = 20260302;
  double cell_mm = 0.0, fine_mm = 0.0;        ///< 0: those of calib/joints.json
  std::function<void(double done)> progress;  ///< 0 to 1
  std::stop_token stop;
};

/// One figure at a part with its draws.
struct DrawnFigure {
  double value = 0.0;
  Interval interval95;
  Eigen::VectorXd draws;
};

struct FlattenedJoints {
  std::vector<JointsAtPart::Corner> corners;  ///< at the worst moment of the axial force
  DrawnFigure axial_n;  ///< of the worst single joint, tension +; its draws are signed as well
  DrawnFigure shear_n;
  std::optional<JoinedBeams> beams;  ///< area arrays: for the closed form
};

struct FlattenedPart {
  std::string ref;
  DrawnFigure strain;       ///< signed, as it counts for the part, at its worst moment
  StrainAtPart worst;       ///< the same moment
  double gap_mm = 0.0;      ///< between the plates at that moment
  double end_strain = 0.0;  ///< when flat
  std::optional<FlattenedJoints> joints;  ///< of parts that stiffen the board
};

struct Flattening {
  double warp_mm = 0.0;              ///< height of the board over its best plane
  double gap_mm = 0.0;               ///< left when it counts as flat
  DrawnFigure force_n;               ///< of the plate then
  std::vector<FlattenedPart> parts;  ///< in the board's order
  BendField field;                   ///< when flat
  bool sampled = false;              ///< draws are nonlinear answers
  int unknowns = 0;
  std::vector<std::string> notes;
};

/// @error kNoFigure: the board is as good as flat already; no equilibrium was found; "stopped".
///        kRefused: as MakePlateModel and Plate::Make. kBadUse: a number of samples out of range.
Result<Flattening> FlattenBetweenPlates(const Board& board,
                                        const Surface& surface,
                                        const Calib& calib,
                                        const FlattenOptions& options = {});

/// The height of the stress-free board over its best plane, mm.
/// @return kNoFigure where the bend is beyond `most_warp_share` of the board's diagonal: the
/// plate's
///         equations hold for gentle slopes, and no laminate bends that far and stays whole.
Result<double> WarpToPress(const Board& board,
                           const std::function<double(const Eigen::Vector2d& at_mm)>& height_mm,
                           const Calib& calib);

}  // namespace lieflat
