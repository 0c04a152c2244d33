#pragma once
// A board and a part on it as two beams joined by joints that give along their axis, bent by a far
// moment. Closed forms for a part longer than about four decay lengths; they check the plate model
// and give a first figure where no plate is solved. Source: derived, d'''' + 4 beta^4 d = 0 for the
// opening d, 4 beta^4 = k (1 / EI_b + 1 / EI_c); at the part's end d'' = -k0, d''' = 0. The same
// problem: Barker & Sidharth, J. Electron. Packag. 116 (1994) 92-97.

#include "lieflat/base/calib.h"

namespace lieflat {

/// Stiffness per unit width of both, N mm, and the joints between.
struct JoinedBeams {
  double board_n_mm = 0.0;            ///< EI_b: E t^3 / 12
  double part_n_mm = 0.0;             ///< EI_c
  double joint_axial_n_per_mm = 0.0;  ///< of one joint, its pads included
  double pitch_mm = 0.0;              ///< both ways
};

struct JoinedBend {
  double decay_per_mm = 0.0;      ///< beta
  double end_extension_mm = 0.0;  ///< of joints smeared over the area, at the end: k0 / (2 beta^2)
  double peak_stress_mpa = 0.0;   ///< f, there: k0 sqrt(k S), 1 / S = 1 / EI_b + 1 / EI_c
  /// Of the outermost row of single joints: f p^2 times the root of the product of the two decay
  /// ratios from one joint to the next (about exp(-beta p)). Exact for a long part.
  double end_joint_n = 0.0;
  /// 0.5 f p^2, the outermost row standing for half a pitch: near end_joint_n where 1 / beta is 1.4
  /// pitches, too low for softer joints (by half in the limit), too high for stiffer ones.
  double half_pitch_joint_n = 0.0;
  double corner_joint_n = 0.0;  ///< under bending both ways: twice that [prior]
  double middle_share = 0.0;    ///< curvature far from the ends as a share of k0, joints without
                                ///< shear: EI_b / (EI_b + EI_c)
};

/// @param curvature_per_mm  k0 of the board beside the part, 1/mm; magnitudes come out.
JoinedBend BendJoinedBeams(const JoinedBeams& beams, double curvature_per_mm, const Calib& calib);

}  // namespace lieflat
