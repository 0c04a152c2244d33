#pragma once
// The boards that are solved twice.

#include <string>
#include <vector>

#include "calculix/compare.h"

namespace lieflat::testing {

/// A stress-free shape over a rectangle long x wide, lowest places at height 0.
struct Warp {
  enum class Kind { kFlat, kBow, kTwist, kDome };
  Kind kind = Kind::kFlat;
  /// Bow, dome: rise of the middle over the ends or corners. Twist: lift of the fourth corner with
  /// the other three held to a plane; over its best plane the board then stands half of it high.
  double size_mm = 0.0;

  [[nodiscard]] HeightField Over(double long_mm, double wide_mm) const;
  [[nodiscard]] const char* Name() const;
};

/// A bare rectangular board on an even grid, not held yet.
SolidCase EvenBoard(double long_mm, double wide_mm, int columns, int rows, const Ply& ply);

// Small ones, a few seconds each: 120 x 100 x 1.57 mm on cells of 5 mm.
SolidCase SagOnCorners(const Ply& ply);
SolidCase WeightsOnHighCorners();
SolidCase PureTwist();
SolidCase BetweenPlates(Warp::Kind kind);
/// A square body on joints all over, in the middle of a board 100 x 100 mm bent by four lines.
struct PartSpec {
  double body_mm = 30;
  Ply body = Ply::Isotropic(20000, 0.25, 2);
  double joint_mm = 1.25;  ///< pitch of the joints and of the grid there
  double axial_n_per_mm3 = 8000, shear_n_per_mm3 = 3000;  ///< of the joints, per area
};
SolidCase PartInFourLineBend(const PartSpec& part);
PartSpec SmallPart();  ///< joints on pads that give
/// Stiff joints, solder alone; then softer ones, a thicker body, a ceramic one.
std::vector<PartSpec> FineParts();
/// Where strain beside a part is compared: off its footprint.
inline constexpr double kBesideFromMm = 2.0, kBesideToMm = 5.0;

/// All small ones but the part.
std::vector<SolidCase> SmallCases();

/// 305 x 244 x 1.57 mm, 20 GPa, on 24 x 20 cells times `finer`; between plates at a gap, a share of
/// the warp's size.
SolidCase LargeBetweenPlates(const Warp& warp, double gap_share, int finer);
/// On the table under its own weight and 10 N on the middle.
SolidCase LargeUnderWeight(const Warp& warp, int finer);
struct LargeCase {
  Warp warp;
  SolidCase which;
};
/// A warp of 3, 6 and 9 mm: plates at 0.3 and 0.1 of it, and the weight.
std::vector<LargeCase> LargeCases(Warp::Kind kind, int finer);
inline constexpr int kFiner = 2;

/// Strain is compared over vertices this many rows in from the edge: two rows of cells twice as
/// large.
inline constexpr int kRowsIn = 4;
/// 305 x 244 mm with four parts and two slots, bowed and twisted, on the table under 10 N.
SolidCase FullBoard();

}  // namespace lieflat::testing
