#include "lieflat/joints/fatigue.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

namespace lieflat {
namespace {

double Number(const Calib& calib, const char* key) {
  return calib.Number("joints", std::string("/fatigue/") + key).value;
}

}  // namespace

double CreepExtension(double curvature_per_mm, double half_span_mm) {
  return std::abs(curvature_per_mm) * half_span_mm * half_span_mm / 3.0;
}

double ExtensionShear(double extension_mm, double joint_height_mm, const Calib& calib) {
  return Number(calib, "shear_per_axial") * extension_mm / joint_height_mm;
}

double FatigueExponent(double temperature_c, double dwell_minutes, const Calib& calib) {
  const double dwell = std::max(dwell_minutes, Number(calib, "least_dwell_minutes"));
  return Number(calib, "base") + Number(calib, "a_degree_per_c") * temperature_c +
         Number(calib, "a_log") * std::log1p(Number(calib, "half_cycle_minutes") / dwell);
}

double CyclesToFailure(double shear_strain,
                       double temperature_c,
                       double dwell_minutes,
                       const Calib& calib) {
  if (shear_strain == 0.0) return std::numeric_limits<double>::infinity();
  const double share = std::abs(shear_strain) / (2.0 * Number(calib, "ductility"));
  return 0.5 * std::pow(share, 1.0 / FatigueExponent(temperature_c, dwell_minutes, calib));
}

double FatigueDamage(double cycles, double cycles_to_failure) { return cycles / cycles_to_failure; }

}  // namespace lieflat
