#pragma once
// Published lines on how far a board may bend: by rate and thickness, in shock, and for chip
// capacitors by the bend test. Strain is a plain ratio, rate a ratio per second; the numbers stand
// in calib/joints.json with source and confidence. None of them is about slow bending of old boards
// by hand: they check the working limits of calib/part_classes.json.

#include <string>

#include "lieflat/base/calib.h"

namespace lieflat {

/// Largest principal strain a ball-grid part stands by the rate of bending: sqrt(2.35 / t) (1900 -
/// 300 log10(rate)), in microstrain and microstrain a second; the bare line, at any rate above 0.
/// Source: IPC/JEDEC-9704 (2005), appendix A, from memory; revision A dropped it.
double RateLineStrain(double thickness_mm, double rate_per_s, const Calib& calib);
/// The same as this program uses it: a slower rate counts as 500 microstrain a second, and what the
/// line gives below 0 as 0.
double RateStrainLimit(double thickness_mm, double rate_per_s, const Calib& calib);

/// What a limit for a 1.6 mm board is multiplied by on another thickness: sqrt(1.6 / t). Source:
/// the form of the line above.
double ThicknessFactor(double thickness_mm, const Calib& calib);

/// Strain at the middle of a strip bent between two supports and a presser: 6 t d / L^2.
/// Source: derived, simply supported beam with a load in the middle, curvature 12 d / L^2 there.
double ThreePointBendStrain(double thickness_mm, double deflection_mm, double span_mm);
/// The deflection in the bend test of chip parts (IEC 60068-2-21, test Ue1: 1.6 mm board, 90 mm
/// span) at this strain, mm.
double BendTestDeflection(double strain, const Calib& calib);

/// Chip capacitors cracked in that test: 1 - exp(-(d / scale)^slope).
struct ChipBendLaw {
  std::string size;  ///< "0805", "1206"
  double slope = 0.0, scale_mm = 0.0;
};
/// The law for chips of this length: up to 2.0 mm that of size 0805, above that of 1206.
ChipBendLaw ChipBendLawOf(double chip_length_mm, const Calib& calib);
/// Of one chip, in tension; 0 for compression.
double ChipCrackProbability(double strain, const ChipBendLaw& law, const Calib& calib);
/// That at least one of `count` alike is damaged: 1 - (1 - p)^count.
double AnyOfProbability(double probability, int count);

enum class ShockBand { kLow, kMedium, kHigh };
const char* Name(ShockBand band);  ///< "low", "medium", "high"
/// Band of a strain in shock (smallest principal, magnitude; 1.57 mm board). Not for handling or
/// pressing. Source: a chipset's thermal and mechanical design guide, table 8-1.
ShockBand ShockBandOf(double strain, const Calib& calib);

}  // namespace lieflat
