#pragma once
// The plain formulas of bow and twist, one line each.
// Source: IPC-TM-650 2.4.22 revision C (June 1999), 5.1.2 (bow), 5.2.2 and 5.2.7 (twist,
// production), 5.3 (twist, referee; its formula from memory, its agreement with the production form
// proved in tests/flatness/formulas_test.cpp).

namespace lieflat {

/// Bow in percent of an edge of length L whose largest gap is R.
double BowPercent(double gap_mm, double edge_mm);
/// The gap that a bow limit allows.
double BowGap(double percent, double edge_mm);
/// Twist in percent from the fourth corner's lift R over the diagonal D: 100 R / (2 D).
double TwistPercent(double lift_mm, double diagonal_mm);
double TwistLift(double percent, double diagonal_mm);
/// Referee form: 100 (R1 - R2) / D.
double RefereeTwistPercent(double highest_mm, double lowest_mm, double diagonal_mm);
/// q = zA - zB + zC - zD: the lift of the fourth corner over the plane of the other three.
double CornerTwist(double a_mm, double b_mm, double c_mm, double d_mm);

/// Small-slope surface strain of an arc of sagitta s over chord L in a board of thickness t: 4 s t
/// / L^2 (a plain ratio).
double ArcStrain(double sagitta_mm, double chord_mm, double thickness_mm);
/// With the exact radius L^2/(8 s) + s/2.
double ArcStrainExact(double sagitta_mm, double chord_mm, double thickness_mm);
double ArcRadius(double sagitta_mm, double chord_mm);
/// Pure twist: curvature zxy = q / (L W).
double TwistCurvature(double q_mm, double length_mm, double width_mm);
/// Centre-loaded three-point bend: 6 t d / S^2.
double ThreePointStrain(double deflection_mm, double span_mm, double thickness_mm);

}  // namespace lieflat
