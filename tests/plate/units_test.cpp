// The plate knows no unit of length: the same board told in another one answers the same.

#include <cmath>

#include <gtest/gtest.h>

#include "plates.h"

namespace lieflat {
namespace {

using namespace testing;

/// 160 x 120 x 1.6 mm with one ball-grid body, told in a unit of `unit` mm; forces stay in N.
struct Told {
  double unit;

  [[nodiscard]] double Length(double mm) const { return mm / unit; }
  [[nodiscard]] double Stress(double mpa) const { return mpa * unit * unit; }
  [[nodiscard]] double PerLength(double n_per_mm) const { return n_per_mm * unit; }
  [[nodiscard]] Eigen::Vector2d At(double x_mm, double y_mm) const {
    return {Length(x_mm), Length(y_mm)};
  }

  [[nodiscard]] PlateModel Model() const {
    PlateModel model = BareBoard(Length(160),
                                 Length(120),
                                 Ply::Isotropic(Stress(kBoardModulus), kBoardPoisson, Length(1.6)),
                                 Length(10));
    Stiffener part;
    part.ref = "U1";
    part.low_mm = At(60, 40);
    part.high_mm = At(95, 75);
    part.ply = Ply::Isotropic(Stress(20000), 0.3, Length(2));
    part.pitch_mm = Length(1.27);
    part.axial_n_per_mm = PerLength(10000);
    part.shear_n_per_mm = PerLength(4000);
    model.stiffeners = {part};
    model.masses = {{Eigen::Vector2d::Zero(), Eigen::Vector2d::Zero(), 120.0}};
    model.fine_mm = Length(5);
    return model;
  }

  [[nodiscard]] HeightField Shape() const {
    return [unit = unit](const Eigen::Vector2d& at) {
      const Eigen::Vector2d mm = at * unit;
      const double u = mm.x() / 80 - 1, v = mm.y() / 60 - 1;
      return (-2.0 * u * u + 0.7 * u * v + 0.3 * v * v * v) / unit;
    };
  }
};

struct Answer {
  PlateSolution solution;
  Eigen::Vector3d strain;
  double joint_n = 0.0;
};

Answer Of(const Told& told, const Hold& hold) {
  const Plate plate = Plate::Make(told.Model()).value();
  Answer answer{plate.Solve(told.Shape(), hold).value(), Eigen::Vector3d::Zero(), 0.0};
  answer.strain = plate.Strain(answer.solution, told.At(50, 57), Side::kComponent);
  for (const JointLoad& joint : plate.Joints(answer.solution, 0))
    answer.joint_n = std::max(answer.joint_n, joint.axial_n);
  return answer;
}

void ExpectSame(const Answer& told, const Answer& mm, double unit, const char* what) {
  constexpr double kSame = 1e-6;  // solved to 1e-9 of the largest force
  const double scale = mm.strain.cwiseAbs().maxCoeff();
  EXPECT_GT(scale, 1e-6) << what;
  EXPECT_GT(mm.joint_n, 0.0) << what;
  EXPECT_LT((told.strain - mm.strain).cwiseAbs().maxCoeff(), kSame * scale) << what;
  EXPECT_NEAR(told.joint_n, mm.joint_n, kSame * mm.joint_n) << what;
  EXPECT_NEAR(told.solution.gap_mm() * unit, mm.solution.gap_mm(), kSame) << what;
  EXPECT_NEAR(told.solution.plate_force_n, mm.solution.plate_force_n, kSame * 10) << what;
  EXPECT_EQ(told.solution.contacts.size(), mm.solution.contacts.size()) << what;
}

TEST(Units, AnInchIsAsGoodAsAMillimetre) {
  const Told mm{1.0}, inch{25.4}, tenth{0.1};
  for (const Told& told : {inch, tenth}) {
    const auto press = [](const Told& in) {
      Hold hold;
      hold.plate = Hold::TopPlate{in.Length(0.6), 0.0};
      hold.own_weight = false;
      return Of(in, hold);
    };
    ExpectSame(press(told), press(mm), told.unit, "between plates");
    const auto load = [](const Told& in) {
      Hold hold;
      hold.weights = {{8.0, in.At(70, 50), in.At(100, 80), false}};
      return Of(in, hold);
    };
    ExpectSame(load(told), load(mm), told.unit, "under a weight");
  }
}

}  // namespace
}  // namespace lieflat
