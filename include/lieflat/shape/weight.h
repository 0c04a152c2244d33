#pragma once
// Takes the board's own weight out of readings: what lies on points or on a table is bent by its
// weight, what stands upright leans. The plate model says by how much, and how that follows from
// the stress-free shape that is looked for.
//
//   seen(P) = z(P) + sag(P; z, mass, stiffness)
//
// The sag is linearised about the shape that explains the readings best (found by a few rounds);
// each reading then carries what its sag changes by when the shape does (Sample::response), and
// errors shared by all readings for mass, split of the mass, modulus, shear modulus and thickness.
// Flip pairs need no special case: there these errors have opposite signs. Where the board lies on
// the table with much of its face, readings there say nothing of its shape: the intervals show it.
// Validity: the contact found is kept for small changes; how well the intervals hold, see
// DEVELOPERS.md.

#include <string>
#include <vector>

#include "lieflat/shape/surface.h"

namespace lieflat {

struct Unweighed {
  SampleSet samples;            ///< the same readings, weight_out set
  std::vector<double> sag_mm;   ///< by reading, as taken off
  double largest_sag_mm = 0.0;  ///< of the board while it was read: highest less lowest of its sag
  double largest_sag_u_mm = 0.0;
  bool mass_assumed = false;
  /// Share of a bow along AB, of a twist, of a bow along BC that still shows in the readings: 1 all
  /// of it.
  double bow_ab_shown = 1.0, twist_shown = 1.0, bow_bc_shown = 1.0;
  int rounds = 0;
};

struct WeightOptions {
  int most_rounds = 10;       ///< 1: linearised about the shape as seen
  double cells_along = 18.0;  ///< the longer side: sag is smooth

  /// For a look while typing.
  static WeightOptions Quick() { return {1, 12.0}; }
};

/// @error kRefused as DistributeMass; kNoFigure when the board would tip on its rests, or no
/// equilibrium was found.
Result<Unweighed> TakeWeightOut(const Board& board,
                                const SampleSet& samples,
                                const Calib& calib,
                                const WeightOptions& options = {});

}  // namespace lieflat
