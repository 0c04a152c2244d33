#pragma once
// From an edge's curve on the sheet to the board's profile: departures from the chord at twelfths
// of its edge with their covariance, the deepest place, and the curve itself for the picture.

#include "lieflat/photo/standing.h"

#include "photo/edge_curves.h"

namespace lieflat::internal {

struct EdgeOnSheet {
  const EdgeCurves& curves;    ///< away from the phone, printed mm
  double length_mm = 0.0;      ///< of the chord, printed mm
  double scale = 1.0;          ///< the board's mm a printed one
  bool first_is_left = false;  ///< the edge's first letter stands at the left, its component side
                               ///< towards the phone
};

/// Fills points, deepest, curve_mm, of the reading points and covariance; levels traces_mm to the
/// chord. The result's edge says which one of the board's it is.
/// @param view_mm2  what the view leaves uncertain, by mm along the chord, printed mm2.
/// @param scale_u  of the printed sheet, a share.
void WriteProfile(const EdgeOnSheet& seen,
                  const Eigen::MatrixXd& view_mm2,
                  double scale_u,
                  const Board& board,
                  StandingResult& out);

}  // namespace lieflat::internal
