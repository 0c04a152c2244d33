#pragma once
// What copper adds to a laminate's stiffness. Layers are smeared: each counts with the share of its
// area that is copper.

#include <vector>

#include "lieflat/base/calib.h"

namespace lieflat {

/// Two copper layers alike, one above and one below the middle of the board.
struct CopperPair {
  double thickness_mm = 0.0;  ///< of each
  double distance_mm = 0.0;   ///< of each from the middle
  double cover_share = 0.0;   ///< 0 to 1
};

/// Modulus in bending, MPa: E0 + sum 2 t_i z_i^2 c_i (E_Cu - E0) / (t^3 / 12). An upper bound where
/// the copper is broken into traces or drilled. Source: derived, second moment of area of layers
/// laid symmetrically (parallel axes, the layer's own t_i^3 / 12 left out).
/// @param laminate_mpa  E0, of the laminate without copper; @param thickness_mm  t, of the whole
/// board.
double FlexuralModulus(double laminate_mpa,
                       double thickness_mm,
                       const std::vector<CopperPair>& copper,
                       const Calib& calib);
/// Modulus in tension, MPa: E0 + sum 2 t_i c_i (E_Cu - E0) / t. Source: derived, rule of mixtures.
double TensileModulus(double laminate_mpa,
                      double thickness_mm,
                      const std::vector<CopperPair>& copper,
                      const Calib& calib);

}  // namespace lieflat
