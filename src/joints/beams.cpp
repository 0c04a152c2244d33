#include "lieflat/joints/beams.h"

#include <cmath>
#include <complex>

namespace lieflat {

namespace {

/// The decay ratio, below 1, of opening and moment from one joint to the next.
/// @param z  ratio + 1 / ratio - 2
std::complex<double> DecayRatio(std::complex<double> z) {
  const std::complex<double> middle = 1.0 + 0.5 * z;
  const std::complex<double> root = std::sqrt(middle * middle - 1.0);
  const std::complex<double> ratio = middle + root;
  return std::abs(ratio) < 1.0 ? ratio : middle - root;
}

/// What the outermost of a long row of joints carries of f p^2, by a = k p^4 / S.
//
// Between joints moments m are straight lines. Equilibrium at a joint and the same slope on both
// its sides, for solutions that go as ratio^n with z = ratio + 1 / ratio - 2:
//   z m = -k p^3 d,   z d = (p^2 / 6 S) (6 + z) m   ->   z^2 + a z / 6 + a = 0.
// At the end m = -S k0 and (m_1 - m_0) / p = -k p d_0; the two decaying solutions then give
//   F = S k0 (1 - ratio_1) (1 - ratio_2), and as (1 - ratio)^2 = z ratio, z_1 z_2 = a:
//   F = S k0 sqrt(a ratio_1 ratio_2) = f p^2 sqrt(ratio_1 ratio_2).
double EndShare(double a) {
  const std::complex<double> root = std::sqrt(std::complex<double>(a * a / 144.0 - a));
  const std::complex<double> first = DecayRatio(-a / 12.0 + root);
  const std::complex<double> second = DecayRatio(-a / 12.0 - root);
  return std::sqrt(std::abs(first * second));
}

}  // namespace

JoinedBend BendJoinedBeams(const JoinedBeams& beams, double curvature_per_mm, const Calib& calib) {
  const double k0 = std::abs(curvature_per_mm);
  const double joint_area_mm2 = beams.pitch_mm * beams.pitch_mm;
  const double foundation_n_per_mm3 = beams.joint_axial_n_per_mm / joint_area_mm2;
  const double both_n_mm = 1.0 / (1.0 / beams.board_n_mm + 1.0 / beams.part_n_mm);
  JoinedBend bend;
  bend.decay_per_mm = std::pow(foundation_n_per_mm3 / (4.0 * both_n_mm), 0.25);
  bend.end_extension_mm = k0 / (2.0 * bend.decay_per_mm * bend.decay_per_mm);
  bend.peak_stress_mpa = k0 * std::sqrt(foundation_n_per_mm3 * both_n_mm);
  const double full_n = bend.peak_stress_mpa * joint_area_mm2;
  bend.half_pitch_joint_n = 0.5 * full_n;
  bend.end_joint_n =
      full_n * EndShare(foundation_n_per_mm3 * joint_area_mm2 * joint_area_mm2 / both_n_mm);
  bend.corner_joint_n = calib.Number("joints", "/corner_factor").value * bend.end_joint_n;
  bend.middle_share = beams.board_n_mm / (beams.board_n_mm + beams.part_n_mm);
  return bend;
}

}  // namespace lieflat
