#pragma once
// Where a board's mass sits: bare laminate by its area, the rest over the parts' footprints by area
// x height.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "lieflat/board/board.h"

namespace lieflat {

struct MassModel {
  Uncertain total_g;
  double bare_g = 0.0;        ///< laminate (and copper)
  Eigen::Vector2d centre_mm;  ///< centre of mass
  bool assumed = false;       ///< the mass was not weighed: 6 to 10 kg/m2 taken
  [[nodiscard]] double areal_kg_m2(const Board& board) const;
};

/// A part is given no more than its volume can weigh; what is left over is spread evenly, as it is
/// without parts.
/// @error kRefused when the stated mass is below the bare laminate's (by more than thickness and
/// density leave open).
Result<MassModel> DistributeMass(const Board& board, const Calib& calib);

/// Where that mass sits, so that the plate and the centre of mass agree.
struct MassLayout {
  struct OnPart {
    std::size_t part = 0;  ///< its number in board.parts; it has a place
    double mass_g = 0.0;   ///< over its footprint
  };
  std::vector<OnPart> parts;
  double even_g = 0.0;  ///< over the board's area: bare laminate and what no part was given
  double bare_g = 0.0;  ///< the bare laminate's share of it
};

/// @param mass  as DistributeMass gave it for this board.
/// @param split_factor  multiplies what lies on the parts, from 0 to all that is not bare laminate;
/// the total stays.
MassLayout LayOutMass(const Board& board,
                      const MassModel& mass,
                      const Calib& calib,
                      double split_factor = 1.0);

/// Bending stiffness of a plate per unit width, E t^3 / (12 (1 - nu^2)), in N mm for E in MPa and t
/// in mm. Source: Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., art. 2.
double PlateStiffness(double modulus_mpa, double thickness_mm, double poisson);

/// An upper estimate of how far the board's own weight can bend it on the supports of a reading, in
/// mm between highest and lowest, from closed forms of plate theory (corner supports, as the worst
/// usual case); its standard uncertainty carries modulus, thickness and mass. Source: Timoshenko &
/// Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., art. 54 (square plate on corners);
/// other aspect ratios computed by the same theory, see calib/supports.json.
Uncertain LargestSag(const Board& board, const MassModel& mass, const Calib& calib);

}  // namespace lieflat
