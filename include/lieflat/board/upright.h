#pragma once
// A board that stands on its lower edge: its own weight presses it down along its height and leans
// it a little further the way it is bent already.

#include <optional>

namespace lieflat {

/// Height at which a strip held upright at its foot would bend over under its own weight, mm: (7.84
/// D / q)^(1/3).
/// @param stiffness_n_mm  D, per unit width; @param pressure_mpa  q, weight by area: 8 kg/m2
/// is 7.85e-5 MPa. Source: Timoshenko & Gere, Theory of Elastic Stability, 2nd ed., art. 2.12 (bar
/// bent by its own weight: q H^3 = 7.837 E I).
double CriticalHeight(double stiffness_n_mm, double pressure_mpa);

/// By how much its own weight enlarges the bend of a board on edge: 1 / (1 - (H / Hc)^3). Nothing
/// from Hc on: it would not stand. Source: derived, the usual 1 / (1 - P / P_cr) of a bent strut;
/// the load goes as the cube of the height.
std::optional<double> LeanFactor(double height_mm, double critical_height_mm);

}  // namespace lieflat
