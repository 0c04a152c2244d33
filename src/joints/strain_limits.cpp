#include "lieflat/joints/strain_limits.h"

#include <algorithm>
#include <cmath>

namespace lieflat {
namespace {

constexpr double kMicrostrain = 1e-6;

double Number(const Calib& calib, const std::string& pointer) {
  return calib.Number("joints", pointer).value;
}

}  // namespace

double RateLineStrain(double thickness_mm, double rate_per_s, const Calib& calib) {
  const double at_one = Number(calib, "/rate_line/at_one_ue_per_s_ue");
  const double decade = Number(calib, "/rate_line/a_decade_ue");
  const double reference_mm = Number(calib, "/rate_line/reference_thickness_mm");
  const double decades = std::log10(rate_per_s / kMicrostrain);
  return kMicrostrain * std::sqrt(reference_mm / thickness_mm) * (at_one - decade * decades);
}

double RateStrainLimit(double thickness_mm, double rate_per_s, const Calib& calib) {
  const double least = kMicrostrain * Number(calib, "/rate_line/least_rate_ue_per_s");
  return std::max(0.0, RateLineStrain(thickness_mm, std::max(rate_per_s, least), calib));
}

double ThicknessFactor(double thickness_mm, const Calib& calib) {
  const double reference_mm = calib.Number("part_classes", "/factors/thickness_reference_mm").value;
  return std::sqrt(reference_mm / thickness_mm);
}

double ThreePointBendStrain(double thickness_mm, double deflection_mm, double span_mm) {
  return 6.0 * thickness_mm * deflection_mm / (span_mm * span_mm);
}

double BendTestDeflection(double strain, const Calib& calib) {
  const double a_millimetre = ThreePointBendStrain(
      Number(calib, "/bend_test/board_thickness_mm"), 1.0, Number(calib, "/bend_test/span_mm"));
  return strain / a_millimetre;
}

ChipBendLaw ChipBendLawOf(double chip_length_mm, const Calib& calib) {
  const bool small = chip_length_mm <= Number(calib, "/chip_bend/small_to_length_mm");
  ChipBendLaw law;
  law.size = small ? "0805" : "1206";
  const std::string at = "/chip_bend/" + law.size;
  law.slope = Number(calib, at + "/slope");
  law.scale_mm = Number(calib, at + "/scale_mm");
  return law;
}

double ChipCrackProbability(double strain, const ChipBendLaw& law, const Calib& calib) {
  if (strain <= 0.0) return 0.0;
  const double share = BendTestDeflection(strain, calib) / law.scale_mm;
  return -std::expm1(-std::pow(share, law.slope));  // keeps its digits when it is small
}

double AnyOfProbability(double probability, int count) {
  if (count <= 0) return 0.0;
  return -std::expm1(count * std::log1p(-probability));
}

const char* Name(ShockBand band) {
  switch (band) {
    case ShockBand::kLow:
      return "low";
    case ShockBand::kMedium:
      return "medium";
    case ShockBand::kHigh:
      return "high";
  }
  LIEFLAT_CHECK(false, "a band is one of three");
}

ShockBand ShockBandOf(double strain, const Calib& calib) {
  const double size_ue = std::abs(strain) / kMicrostrain;
  if (size_ue < Number(calib, "/shock_bands/low_below_ue")) return ShockBand::kLow;
  return size_ue > Number(calib, "/shock_bands/high_above_ue") ? ShockBand::kHigh
                                                               : ShockBand::kMedium;
}

}  // namespace lieflat
