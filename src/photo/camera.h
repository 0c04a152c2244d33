#pragma once
// The bundle's unknowns, and what is seen or printed where for a value of them, with derivatives.
// The unknowns of lens, print, shots and pages come scaled by their priors, so that one damping
// suits all.

#include "lieflat/photo/bundle.h"

namespace lieflat::internal {

constexpr int kPrint = 7;  ///< f cx cy k1 k2 p1 p2 before it; print_y, print_shear
constexpr int kRest = 9;   ///< the smooth rest, x then y a term
constexpr int kShared = kRest + 2 * kRestTerms;
constexpr int kOwn = 9;   ///< of a shot: turn 3, position 3, df, dcx, dcy
constexpr int kPage = 4;  ///< of a page after the first: place 2, turn, scale
constexpr double kTurnScale = 1e-2, kShiftScaleMm = 1.0;

using Row2 = Eigen::Matrix<double, 2, kShared + kOwn>;

struct Unknowns {
  Lens lens;
  double print_y = 1.0, print_shear = 0.0;
  std::vector<Shot> shots;
  std::vector<SheetPage> pages;
  std::vector<Eigen::Vector3d> points;
};

/// How much smaller a term of the smooth rest is believed to be than one of degree 2.
double RestScale(int term);

Eigen::Matrix3d Turn(const Eigen::Vector3d& by);

/// Projection with its derivatives by the scaled unknowns and by the point.
struct Linear {
  Eigen::Vector2d at;
  Row2 by_camera = Row2::Zero();
  Eigen::Matrix<double, 2, 3> by_point;
};
/// Nothing behind the camera.
std::optional<Linear> Linearise(const Unknowns& u,
                                const Shot& shot,
                                const Eigen::Vector3d& point,
                                double f_start,
                                const BundlePriors& priors);

/// Where a point of the sheet lies in the plane when the paper keeps to its print, with its
/// derivatives by the scaled unknowns.
struct PrintedPlace {
  Eigen::Vector2d at;
  Eigen::Matrix2d by_print;                 ///< print_y, print_shear
  Eigen::Matrix<double, 2, kPage> by_page;  ///< of the page's own; without meaning on the first
};
PrintedPlace PlaceOf(const Unknowns& u, const SheetPoint& point, const BundlePriors& priors);

}  // namespace lieflat::internal
