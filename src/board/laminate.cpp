#include "lieflat/board/laminate.h"

namespace lieflat {
namespace {

double CopperModulusMpa(const Calib& calib) {
  constexpr double kMpaPerGpa = 1e3;
  return kMpaPerGpa * calib.Number("laminates", "/copper/modulus_gpa").value;
}

}  // namespace

double FlexuralModulus(double laminate_mpa,
                       double thickness_mm,
                       const std::vector<CopperPair>& copper,
                       const Calib& calib) {
  const double excess = CopperModulusMpa(calib) - laminate_mpa;
  double moment = 0.0;  // of the copper about the middle, a unit of width
  for (const CopperPair& pair : copper) {
    moment += 2.0 * pair.thickness_mm * pair.distance_mm * pair.distance_mm * pair.cover_share;
  }
  return laminate_mpa + 12.0 * moment * excess / (thickness_mm * thickness_mm * thickness_mm);
}

double TensileModulus(double laminate_mpa,
                      double thickness_mm,
                      const std::vector<CopperPair>& copper,
                      const Calib& calib) {
  const double excess = CopperModulusMpa(calib) - laminate_mpa;
  double section = 0.0;
  for (const CopperPair& pair : copper) section += 2.0 * pair.thickness_mm * pair.cover_share;
  return laminate_mpa + section * excess / thickness_mm;
}

}  // namespace lieflat
