#pragma once
// Surface strain from curvature. Strain is a plain ratio; curvature (zxx, zyy, zxy) in 1/mm, z
// towards the component side. Thin plate: strain on the component face = -(t/2) curvature (the
// concave face is compressed), on the solder face the opposite. Source: Timoshenko &
// Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., art. 9 and 11.

#include <array>

#include <Eigen/Core>

#include "lieflat/board/board.h"

namespace lieflat {

using Curvature = Eigen::Vector3d;  ///< zxx, zyy, zxy

/// exx, eyy, exy (tensor shear) on a face of a board of thickness t.
Eigen::Vector3d SurfaceStrain(const Curvature& curvature, double thickness_mm, Side face);
/// Principal strains, larger first.
std::array<double, 2> Principal(const Eigen::Vector3d& strain);
/// The signed principal strain of largest magnitude.
double LargestPrincipal(const Eigen::Vector3d& strain);
/// exx, eyy, exy from three strain gauges at 0, 45 and 90 degrees to x, counter-clockwise.
/// Source: derived, e(a) = exx cos^2 a + eyy sin^2 a + 2 exy sin a cos a.
Eigen::Vector3d FromRosette45(double e0, double e45, double e90);
/// The same at 0, 60 and 120 degrees.
Eigen::Vector3d FromRosette60(double e0, double e60, double e120);
/// The strain along a package's two diagonals, the larger magnitude: max(|e2|, |e1 + e3 - e2|) with
/// e2 the element of a 0/45/90 rosette laid along the package's diagonal. Source: Joyce, Board Test
/// Workshop 2005 [read].
double DiagonalStrain(double e1, double e2, double e3);
double DiagonalStrain(const Eigen::Vector3d& strain, double rotation_rad);

}  // namespace lieflat
