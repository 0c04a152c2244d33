#pragma once
// One board solved twice: by the plate and by solid elements on the plate's own grid lines.
//
// CalculiX is not asked to find the contacts. It gets those of the plate as supports; then the sign
// of every reaction and every gap is looked at, the set is put right, and it runs again until all
// hold.

#include <string>
#include <vector>

#include "lieflat/plate/solve.h"

#include "calculix/solid_model.h"

namespace lieflat::testing {

struct SolidCase {
  std::string name;
  /// Joints with the stiffness of their metal alone: what the two bodies give is the solids' own,
  /// and the plate gets it in series (`WithBodiesGiving`).
  PlateModel model;
  HeightField shape;
  Hold hold;  ///< component side up; weights soft; a top plate at a gap; rests and forces at grid
              ///< lines
  bool large_deflection = true;
  double first_increment = 0.25;
  int most_passes = 12;
};

/// What a layer of solids gives under a joint and a plate does not: squeeze and shear of half its
/// thickness, in series with the joint, for joints all over a footprint.
Stiffener WithBodiesGiving(Stiffener joints_alone, const Ply& board);
/// The same for every part of that kind.
PlateModel WithBodiesGiving(PlateModel joints_alone);

/// A figure twice.
struct Pair {
  double plate = 0.0, solid = 0.0;
  [[nodiscard]] double Off() const;       ///< plate less solid
  [[nodiscard]] double OffShare() const;  ///< of the solid's
};

struct Compared {
  Plate plate;
  PlateSolution solution;
  SolidModel solid_model;
  SolidAnswer solid{};
  int passes = 0;
  bool verified = false;   ///< no pull, no gap below 0, in the last pass
  double balance_n = 0.0;  ///< sum of the solid's reactions less the load
  double plate_cpu_s = 0.0;

  [[nodiscard]] Pair PlateForce() const;
  [[nodiscard]] Pair Highest() const;
  [[nodiscard]] Pair HeightAt(const Eigen::Vector2d& at_mm) const;
  /// Largest principal strain on either face, over vertices at least that many rows in from the
  /// edge.
  [[nodiscard]] Pair LargestStrain(int rows_in) const;
  /// Largest and rms difference of principal strains over the same vertices, as shares of the
  /// largest.
  struct Field {
    double largest = 0.0, rms = 0.0;
  };
  [[nodiscard]] Field StrainField(int rows_in) const;
  /// The same over vertices from `nearest_mm` to `farthest_mm` off a part's footprint.
  [[nodiscard]] Field StrainBeside(int part, double nearest_mm, double farthest_mm) const;
  struct JointFigures {
    Pair axial_rms_n, shear_rms_n, largest_axial_n;
    double axial_difference = 0.0, shear_difference = 0.0;  ///< rms of it over the solid's rms
  };
  [[nodiscard]] JointFigures Joints(int part) const;

 private:
  template <typename Keep>
  [[nodiscard]] Field FieldOver(const Keep& keep) const;
};

/// @error as Plate::Make, Plate::Solve and SolveSolid; kInternal when a contact stands at no
/// vertex.
Result<Compared> Compare(const SolidCase& which);

}  // namespace lieflat::testing
