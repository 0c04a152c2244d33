#pragma once
// What repeated pressing and releasing does to solder joints. In a hold of hours the solder lets go
// of its load and the gap that the bend opens under the part stays: that gap, not the elastic
// force, sets the strain of a cycle. Strain is a plain ratio, curvature in 1/mm. Only for joints
// that take the gap themselves (balls, leadless pads); leads bend. The numbers stand in
// calib/joints.json. Full relaxation is taken, so life comes out low.

#include "lieflat/base/calib.h"

namespace lieflat {

/// The most a joint is drawn out when the board below a rigid flat part changes its curvature: k
/// a^2 / 3, mm.
/// @param half_span_mm  a, from the middle of the part to its outermost joint.
/// Source: derived, a parabola k x^2 / 2 against the flat at its mean height over -a to a: k a^2 /
/// 2 - k a^2 / 6.
double CreepExtension(double curvature_per_mm, double half_span_mm);
/// Equivalent shear strain of that: sqrt(3) extension / height. Source: engineering choice (von
/// Mises).
double ExtensionShear(double extension_mm, double joint_height_mm, const Calib& calib);

/// Exponent c of Engelmaier's law for tin-lead solder: -0.442 - 6e-4 T + 1.74e-2 ln(1 + 360 / t_D).
/// A dwell under a minute counts as one. Source: Engelmaier, IEEE Trans. CHMT 6 (1983) 232, from
/// memory.
double FatigueExponent(double temperature_c, double dwell_minutes, const Calib& calib);
/// Median cycles to failure at a cyclic shear strain: (shear / 0.65)^(1/c) / 2; infinite without
/// strain.
double CyclesToFailure(double shear_strain,
                       double temperature_c,
                       double dwell_minutes,
                       const Calib& calib);
/// Share of the median life that `cycles` use: n / N_f. Source: Miner's rule.
double FatigueDamage(double cycles, double cycles_to_failure);

}  // namespace lieflat
