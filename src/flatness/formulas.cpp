#include "lieflat/flatness/formulas.h"

#include <cmath>

namespace lieflat {

double BowPercent(double gap_mm, double edge_mm) { return 100.0 * gap_mm / edge_mm; }
double BowGap(double percent, double edge_mm) { return edge_mm * percent / 100.0; }
double TwistPercent(double lift_mm, double diagonal_mm) {
  return 100.0 * std::abs(lift_mm) / (2.0 * diagonal_mm);
}
double TwistLift(double percent, double diagonal_mm) { return 2.0 * diagonal_mm * percent / 100.0; }
double RefereeTwistPercent(double highest_mm, double lowest_mm, double diagonal_mm) {
  return 100.0 * (highest_mm - lowest_mm) / diagonal_mm;
}
double CornerTwist(double a_mm, double b_mm, double c_mm, double d_mm) {
  return a_mm - b_mm + c_mm - d_mm;
}

double ArcStrain(double sagitta_mm, double chord_mm, double thickness_mm) {
  return 4.0 * sagitta_mm * thickness_mm / (chord_mm * chord_mm);
}
double ArcRadius(double sagitta_mm, double chord_mm) {
  return chord_mm * chord_mm / (8.0 * sagitta_mm) + sagitta_mm / 2.0;
}
double ArcStrainExact(double sagitta_mm, double chord_mm, double thickness_mm) {
  return thickness_mm / (2.0 * ArcRadius(sagitta_mm, chord_mm));
}
double TwistCurvature(double q_mm, double length_mm, double width_mm) {
  return q_mm / (length_mm * width_mm);
}
double ThreePointStrain(double deflection_mm, double span_mm, double thickness_mm) {
  return 6.0 * thickness_mm * deflection_mm / (span_mm * span_mm);
}

}  // namespace lieflat
