// Two beams on joint springs: closed forms against beam elements on single springs.

#include "lieflat/joints/beams.h"

#include <cmath>

#include <Eigen/Dense>
#include <gtest/gtest.h>

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

// Plastic ball-grid part on a 1.6 mm board, E 20 GPa both: E t^3 / 12 = 6 827 and (1.73 mm) 8 629 N
// mm per mm; 5 mm of bow over 300 mm.
constexpr double kCurvature = 4.45e-4;
JoinedBeams BallGrid(double axial_n_per_mm) { return {6827.0, 8629.0, axial_n_per_mm, 1.27}; }

struct Discrete {
  double end_joint_n = 0.0;
  double end_extension_mm = 0.0;
  double middle_share = 0.0;  ///< curvature of the part in its middle over k0
};

/// The opening d between both as one beam of stiffness S: energy S p / 2 int (d'' + k0)^2 + sum k
/// d^2 / 2, cubic elements of one pitch, a spring at every node. Solved for a strip one pitch wide.
Discrete SolveOnSprings(const JoinedBeams& beams, Eigen::Index pitches) {
  const double p = beams.pitch_mm;
  const double both = 1.0 / (1.0 / beams.board_n_mm + 1.0 / beams.part_n_mm);
  const double stiffness = both * p;
  Eigen::Matrix4d element;
  element << 12, 6 * p, -12, 6 * p,         //
      6 * p, 4 * p * p, -6 * p, 2 * p * p,  //
      -12, -6 * p, 12, -6 * p,              //
      6 * p, 2 * p * p, -6 * p, 4 * p * p;
  element *= stiffness / (p * p * p);
  const Eigen::Index unknowns = 2 * (pitches + 1);
  Eigen::MatrixXd k = Eigen::MatrixXd::Zero(unknowns, unknowns);
  for (Eigen::Index i = 0; i < pitches; ++i) k.block<4, 4>(2 * i, 2 * i) += element;
  for (Eigen::Index i = 0; i <= pitches; ++i) k(2 * i, 2 * i) += beams.joint_axial_n_per_mm;
  // -S p k0 int N'' dx leaves a moment at each end.
  Eigen::VectorXd load = Eigen::VectorXd::Zero(unknowns);
  load(1) = stiffness * kCurvature;
  load(unknowns - 1) = -stiffness * kCurvature;
  const Eigen::VectorXd d = k.ldlt().solve(load);
  Discrete solved;
  solved.end_extension_mm = std::abs(d(0));
  solved.end_joint_n = beams.joint_axial_n_per_mm * solved.end_extension_mm;
  const Eigen::Index middle = 2 * (pitches / 2);
  const double bend = (d(middle + 3) - d(middle + 1)) / p;  // mean of d'' over an element
  solved.middle_share = both * (bend + kCurvature) / beams.part_n_mm / kCurvature;
  return solved;
}

// 4 beta^4 = k (1/EI_b + 1/EI_c), k = 2600 / 1.27^2: beta 0.570, f p^2 = k0 sqrt(k S) p^2 = 1.78 N,
// half of it 0.89 N; far from the ends EI_b / (EI_b + EI_c) = 0.442.
TEST(JoinedBeams, BallGridPart) {
  const JoinedBend bend = BendJoinedBeams(BallGrid(2600.0), kCurvature, calib());
  EXPECT_NEAR(bend.decay_per_mm, 0.570, 5e-4);
  EXPECT_NEAR(1.0 / bend.decay_per_mm, 1.75, 5e-3);
  EXPECT_NEAR(bend.peak_stress_mpa * 1.27 * 1.27, 1.78, 5e-3);
  EXPECT_NEAR(bend.half_pitch_joint_n, 0.89, 5e-3);
  EXPECT_NEAR(bend.middle_share, 0.442, 5e-4);
  EXPECT_EQ(bend.corner_joint_n, 2.0 * bend.end_joint_n);
  EXPECT_NEAR(
      bend.end_extension_mm, kCurvature / (2.0 * bend.decay_per_mm * bend.decay_per_mm), 1e-15);
  // The outermost joints in pull: stress is stiffness by area times extension.
  EXPECT_NEAR(bend.peak_stress_mpa, 2600.0 / (1.27 * 1.27) * bend.end_extension_mm, 1e-12);
}

// On 20 single joints (beam elements above): 0.86 N at the end, 0.442 in the middle.
TEST(JoinedBeams, SingleJoints) {
  const Discrete solved = SolveOnSprings(BallGrid(2600.0), 19);
  EXPECT_NEAR(solved.end_joint_n, 0.86, 5e-3);
  constexpr double kTolMiddle = 1e-3;  // what is left of the ends six decay lengths in
  EXPECT_NEAR(solved.middle_share, 6827.0 / (6827.0 + 8629.0), kTolMiddle);
}

// The closed form of the outermost row against the same beam elements, whatever the stiffness of
// the joints; 60 joints are 12 decay lengths at the softest.
TEST(JoinedBeams, EndJointAgainstBeamElements) {
  for (const double axial : {60.0, 300.0, 1500.0, 2600.0, 10000.0, 1e5, 1e6}) {
    SCOPED_TRACE(axial);
    const JoinedBend bend = BendJoinedBeams(BallGrid(axial), kCurvature, calib());
    const double expected = SolveOnSprings(BallGrid(axial), 59).end_joint_n;
    constexpr double kTolShare = 1e-4;  // exp(-12), and the elimination
    EXPECT_NEAR(bend.end_joint_n, expected, kTolShare * expected);
  }
}

// Half a pitch for the outermost row: 4 % too high at 1 / beta = 1.4 pitches, 40 % too high at
// 10 000 N/mm, and half of it for soft joints.
TEST(JoinedBeams, HalfAPitchIsARoughRule) {
  const auto ratio = [](double axial) {
    const JoinedBend bend = BendJoinedBeams(BallGrid(axial), kCurvature, calib());
    return bend.half_pitch_joint_n / bend.end_joint_n;
  };
  EXPECT_NEAR(ratio(2600.0), 1.04, 0.02);
  EXPECT_NEAR(ratio(10000.0), 1.4, 0.05);
  EXPECT_NEAR(ratio(1e-3), 0.5, 0.02);
}

// Joints of the same stiffness by area on an ever finer pitch: the closed form to a share of pitch.
TEST(JoinedBeams, FinePitchConverges) {
  const JoinedBend bend = BendJoinedBeams(BallGrid(2600.0), kCurvature, calib());
  double last_error = 1.0;
  for (const int finer : {2, 8, 32}) {
    JoinedBeams fine = BallGrid(2600.0 / (finer * finer));
    fine.pitch_mm /= finer;
    const double error =
        std::abs(SolveOnSprings(fine, 19L * finer).end_extension_mm / bend.end_extension_mm - 1.0);
    EXPECT_LT(error, 0.6 * last_error) << finer;
    last_error = error;
  }
  constexpr double kTolShare = 0.03;  // half a pitch of the last, over the decay length
  EXPECT_LT(last_error, kTolShare);
}

}  // namespace
}  // namespace lieflat
