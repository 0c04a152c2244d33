// Ratings of parts on boards whose shape is known.

#include "lieflat/joints/rating.h"

#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/joints/beams.h"
#include "lieflat/joints/flatten.h"
#include "lieflat/joints/share_words.h"

#include "joints/known_surface.h"

namespace lieflat {
namespace {

using testing::Height;
using testing::PartAt;
using testing::ReferenceBoard;
using testing::SurfaceOf;

constexpr int kYearNow = 2026;
constexpr double kMicrostrain = 1e-6;
constexpr double kTolStrain = 1e-12;  // the fit of a known polynomial, strains near 1e-3

const Calib& calib() { return Calib::Embedded(); }

/// A bow of h over the 300 mm of the board, middle towards the component side.
Height Bow(double h) {
  return [h](double x, double) { return h * (1.0 - std::pow((x - 150.0) / 150.0, 2)); };
}

// 5 mm over 300 mm is 4 t h / L^2 = 355.6 microstrain. Allowed strains of calib/part_classes.json
// times 0.7 for a board of unknown age: through-hole 1 050, leads 700, chip capacitor 525, plastic
// ball-grid 350, ceramic 175 microstrain. Flattening stretches the solder side, where the chip
// capacitor counts in full, and compresses the component side, where it counts half.
TEST(RateParts, WorkedExamples) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("J1", "slot", {150, 120}, {138, 12}),
                 PartAt("U2", "qfp", {60, 60}, {28, 28}),
                 PartAt("C3", "mlcc", {200, 100}, {3.2, 1.6}),
                 PartAt("C4", "mlcc", {220, 100}, {3.2, 1.6}),
                 PartAt("U5", "pbga", {120, 180}, {27, 27}),
                 PartAt("U6", "cbga", {240, 200}, {25, 25})};
  board.parts[2].side = Side::kSolder;
  const auto ratings = RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib());
  const double strain = 4.0 * 1.6 * 5.0 / (300.0 * 300.0);
  struct Row {
    double flatten_ue, share;
    Rating rating;
  };
  const double full = strain / kMicrostrain;
  const std::vector<Row> rows = {{-full, full / 1050, Rating::kLow},
                                 {-full, full / 700, Rating::kModerate},
                                 {full, full / 525, Rating::kModerate},
                                 {-0.5 * full, 0.5 * full / 525, Rating::kLow},
                                 {-full, full / 350, Rating::kHigh},
                                 {-full, full / 175, Rating::kHigh}};
  ASSERT_EQ(ratings.size(), rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    SCOPED_TRACE(ratings[i].ref);
    EXPECT_TRUE(ratings[i].measured);
    EXPECT_EQ(ratings[i].where_taken, "at its place");
    EXPECT_NEAR(ratings[i].flatten_strain, rows[i].flatten_ue * kMicrostrain, kTolStrain);
    EXPECT_NEAR(ratings[i].share, rows[i].share, 1e-8);
    EXPECT_EQ(ratings[i].rating, rows[i].rating);
    // Nothing is uncertain here.
    EXPECT_NEAR(ratings[i].flatten_strain95.half_width(), 0.0, kTolStrain);
  }
  // As found the component side is stretched.
  EXPECT_NEAR(ratings[4].found_strain, strain, kTolStrain);
  EXPECT_NEAR(ratings[3].found_strain, strain, kTolStrain) << "a chip on the stretched face";
  EXPECT_NEAR(ratings[2].found_strain, -0.5 * strain, kTolStrain)
      << "a chip on the compressed face";
  EXPECT_EQ(ratings[4].set_by, "share");
  EXPECT_NEAR(ratings[4].found_share, ratings[4].share, 1e-9);
}

// Factors of calib/part_classes.json: a board of known year under 15 keeps its limits; a 0.8 mm
// board has limits higher by sqrt(1.6 / 0.8), on the allowed strain and on the median alike.
TEST(RateParts, AgeAndThickness) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "pbga", {120, 180}, {27, 27})};
  const auto allowed = [&] {
    return RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib())[0].allowed_strain /
           kMicrostrain;
  };
  EXPECT_NEAR(allowed(), 350.0, 1e-9);
  board.year = 2015;
  EXPECT_NEAR(allowed(), 500.0, 1e-9);
  board.year = 2011;
  EXPECT_NEAR(allowed(), 350.0, 1e-9);
  board.year = 2015;
  board.thickness_mm.value = 0.8;
  EXPECT_NEAR(allowed(), 500.0 * std::sqrt(2.0), 1e-9);
}

// Damage beside a part acts on what it is allowed and on the median alike: of the ball-grid chip of
// a board of unknown age 175 and 0.7 x 1300 / 2 = 455 microstrain are left.
TEST(RateParts, DamageBesideAPartActsOnBothLimits) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "pbga", {120, 180}, {27, 27}),
                 PartAt("U6", "pbga", {220, 180}, {27, 27})};
  const auto ratings =
      RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib(), nullptr, {{"U5", 0.5}});
  EXPECT_NEAR(ratings[0].allowed_strain, 175e-6, kTolStrain);
  EXPECT_EQ(ratings[0].damage_factor, 0.5);
  const double strain = 4.0 * 1.6 * 5.0 / (300.0 * 300.0);
  EXPECT_NEAR(
      ratings[0].damage_probability, DamageProbability(strain, 0.0, 455e-6, 0.35, 0.0), 1e-9);
  EXPECT_NEAR(ratings[1].allowed_strain, 350e-6, kTolStrain);
  EXPECT_EQ(ratings[1].damage_factor, 1.0);
}

TEST(RateParts, AFlatBoardStrainsNothing) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "cbga", {120, 180}, {27, 27})};
  const auto flat =
      RateParts(board,
                SurfaceOf(board, [](double x, double y) { return 0.01 * x - 0.02 * y; }),
                true,
                kYearNow,
                calib());
  EXPECT_NEAR(flat[0].found_strain, 0.0, kTolStrain);
  EXPECT_NEAR(flat[0].share, 0.0, 1e-8);
  EXPECT_NEAR(flat[0].damage_probability, 0.0, 1e-12);
  EXPECT_EQ(flat[0].rating, Rating::kLow);
}

TEST(RateParts, WithoutKnownCurvatureStrainsAreLeftOut) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "pbga", {120, 180}, {27, 27})};
  const auto ratings = RateParts(board, SurfaceOf(board, Bow(5.0)), false, kYearNow, calib());
  EXPECT_FALSE(ratings[0].measured);
  EXPECT_EQ(ratings[0].share, 0.0);
  EXPECT_EQ(ratings[0].set_by, "not measured");
  EXPECT_NEAR(ratings[0].allowed_strain, 350e-6, kTolStrain);
}

// zxx = a x: the bend is largest at the right edge. The strain t a x / 2 of a part is that 3 mm
// outside its right side; of a region that at the region's right border; of a part without a place
// that at the board's edge.
TEST(RateParts, PlaceRegionOrWholeBoard) {
  constexpr double kA = 2e-6;
  Board board = ReferenceBoard();
  board.parts = {PartAt("U1", "pbga", {150, 120}, {30, 30})};
  for (const char* region : {"top-left", "middle-centre", "bottom-right", ""}) {
    Part part;
    part.ref = std::string("R") + region;
    part.part_class = "pbga";
    part.region = region;
    board.parts.push_back(part);
  }
  const auto cubic = [](double x, double) { return kA * x * x * x / 6.0; };
  const auto ratings = RateParts(board, SurfaceOf(board, cubic), true, kYearNow, calib());
  const std::vector<double> rightmost = {150.0 + 15.0 + 3.0, 100.0, 200.0, 300.0, 300.0};
  for (std::size_t i = 0; i < rightmost.size(); ++i) {
    EXPECT_NEAR(ratings[i].found_strain, -0.8 * kA * rightmost[i], kTolStrain) << ratings[i].ref;
  }
  EXPECT_EQ(ratings[1].where_taken, "largest in its region (top-left)");
  EXPECT_EQ(ratings[4].where_taken, "largest on the board");
}

// Points that lie off the board are passed over: of a part in the lower right corner the right side
// is not read.
TEST(RateParts, PointsOffTheBoardArePassedOver) {
  constexpr double kA = 2e-6;
  Board board = ReferenceBoard();
  board.parts = {PartAt("U1", "pbga", {290, 120}, {20, 20})};
  const auto cubic = [](double x, double) { return kA * x * x * x / 6.0; };
  const auto ratings = RateParts(board, SurfaceOf(board, cubic), true, kYearNow, calib());
  EXPECT_NEAR(ratings[0].found_strain, -0.8 * kA * 290.0, kTolStrain)
      << "the middles of upper and lower side remain";
}

// Under a part of side P a uniform bow stands k P^2 / 8 high over its own plane.
TEST(RateParts, LocalFlatness) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U1", "pbga", {100, 100}, {35, 35})};
  const auto ratings = RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib());
  const double k = 8.0 * 5.0 / (300.0 * 300.0);
  EXPECT_NEAR(ratings[0].local_flatness_mm, k * 35.0 * 35.0 / 8.0, 1e-9);
  EXPECT_NEAR(ratings[0].local_flatness_u95_mm, 0.0, 1e-9);
}

// Bows whose height is log-normal about 5 mm with 20 %: the chance of damage is Phi(ln(eps /
// median) / s) with s^2 = 0.35^2 + 0.2^2, and 95 % of the strains lie within 1.96 times 20 %.
TEST(RateParts, DrawsGiveIntervalAndProbability) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U1", "pbga", {150, 120}, {27, 27})};
  constexpr int kDraws = 600;
  constexpr double kSpread = 0.2;
  std::vector<Height> draws;
  draws.reserve(kDraws);
  for (int i = 0; i < kDraws; ++i) {
    draws.push_back(Bow(5.0 * std::exp(kSpread * NormalQuantile((i + 0.5) / kDraws))));
  }
  const auto ratings = RateParts(board, SurfaceOf(board, Bow(5.0), draws), true, kYearNow, calib());
  const double strain = 4.0 * 1.6 * 5.0 / (300.0 * 300.0);
  const double expected = DamageProbability(strain, kSpread * strain, 0.7 * 1300e-6, 0.35, 0.0);
  constexpr double kTolShare = 0.01;  // 600 evenly spaced draws in place of the whole law
  EXPECT_NEAR(ratings[0].damage_probability, expected, kTolShare * expected);
  EXPECT_NEAR(ratings[0].found_damage_probability, expected, kTolShare * expected);
  // The shortest interval of a log-normal law lies left of the equal-tailed one and is a little
  // shorter.
  const double equal_tailed = 0.5 * strain * (std::exp(1.96 * kSpread) - std::exp(-1.96 * kSpread));
  EXPECT_NEAR(ratings[0].found_strain95.half_width(), equal_tailed, 0.05 * equal_tailed);
  EXPECT_NEAR(ratings[0].share95.half_width(),
              ratings[0].found_strain95.half_width() / ratings[0].allowed_strain,
              1e-9);
  EXPECT_LT(ratings[0].flatten_strain95.high, 0.0);
}

// Not knowing the thickness widens the strain by as much, and nothing else here is uncertain: 1.96
// times 5 %.
TEST(RateParts, ThicknessWidensTheStrain) {
  Board board = ReferenceBoard();
  board.thickness_mm.u = 0.05 * 1.6;
  board.parts = {PartAt("U1", "pbga", {150, 120}, {27, 27})};
  const Surface surface = SurfaceOf(board, Bow(5.0), std::vector<Height>(2000, Bow(5.0)));
  const auto ratings = RateParts(board, surface, true, kYearNow, calib());
  const double expected = 1.96 * 0.05 * ratings[0].found_strain;
  EXPECT_NEAR(ratings[0].found_strain95.half_width(), expected, 0.1 * expected);  // 2 000 draws
}

TEST(RateJoint, NamesAndWithoutAskingWhatSetIt) {
  EXPECT_STREQ(Name(Rating::kLow), "low");
  EXPECT_STREQ(Name(Rating::kModerate), "moderate");
  EXPECT_STREQ(Name(Rating::kHigh), "high");
  EXPECT_THROW((void)Name(static_cast<Rating>(3)), std::logic_error);
  EXPECT_EQ(RateJoint(0.2, 0.05, 0.0, calib()), Rating::kModerate);
  std::string set_by;
  EXPECT_EQ(RateJoint(2.0, 0.5, 0.2, calib(), &set_by), Rating::kHigh);
  EXPECT_EQ(set_by, "share, probability and fatigue");
  EXPECT_EQ(RateJoint(0.1, 0.001, 0.0, calib(), &set_by), Rating::kLow);
  EXPECT_EQ(set_by, "share and probability") << "no wear is no reason";
  EXPECT_EQ(RateJoint(0.1, 0.001, 0.07, calib(), &set_by), Rating::kModerate);
  EXPECT_EQ(set_by, "fatigue");
}

// Pressed by the plate model: share, interval and chance come from its strain, forces from its
// joints. The largest corner's magnitude is given, whichever its sign.
TEST(RateParts, ByThePlateModel) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "pbga", {120, 180}, {27, 27}),
                 PartAt("J1", "connector", {200, 60}, {40, 8})};
  Flattening pressed;
  pressed.parts.resize(2);
  pressed.parts[0].strain.value = -140e-6;
  pressed.parts[0].strain.draws = Eigen::VectorXd::Constant(20, -140e-6);
  pressed.parts[0].strain.interval95 = {-150e-6, -130e-6};
  pressed.parts[1].strain = pressed.parts[0].strain;
  FlattenedJoints joints;
  joints.axial_n.value = 1.5;
  joints.axial_n.interval95 = {1.0, 2.0};
  joints.shear_n.value = -0.7;
  joints.corners.resize(4);
  joints.corners[0].axial_n = 0.4;
  joints.corners[2].axial_n = -0.9;
  pressed.parts[0].joints = joints;
  const auto ratings =
      RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib(), &pressed);
  EXPECT_TRUE(ratings[0].by_plate);
  EXPECT_EQ(ratings[0].flatten_strain, -140e-6);
  EXPECT_NEAR(ratings[0].share, 140.0 / 350.0, 1e-9);
  EXPECT_EQ(ratings[0].flatten_strain95.low, -150e-6);
  EXPECT_NEAR(ratings[0].damage_probability,
              DamageProbability(140e-6, 0.0, ratings[0].median_strain, ratings[0].log_sd, 0.0),
              1e-12);
  EXPECT_EQ(ratings[0].joint_force_n, 1.5);
  EXPECT_EQ(ratings[0].joint_force95_n.high, 2.0);
  EXPECT_EQ(ratings[0].joint_shear_n, 0.7);
  EXPECT_EQ(ratings[0].corner_patch_n, 0.9);
  EXPECT_FALSE(ratings[0].found_joint_force_n) << "not two beams";
  EXPECT_FALSE(ratings[1].joint_force_n) << "it stiffens nothing";
  // As two joined beams: bent by the curvature 2 e / t that the board has now, not by the pressing.
  pressed.parts[0].joints->beams = JoinedBeams{8000.0, 4000.0, 5000.0, 1.27};
  const auto beams =
      RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib(), &pressed);
  const double curvature = 8.0 * 5.0 / (300.0 * 300.0);  // of a parabola: 8 h / L^2
  ASSERT_TRUE(beams[0].found_joint_force_n);
  EXPECT_NEAR(*beams[0].found_joint_force_n,
              BendJoinedBeams(*pressed.parts[0].joints->beams, curvature, calib()).corner_joint_n,
              1e-9);
}

// Its interval reaches from about half to one and a half times the share: tens are what it bears.
TEST(Rating, AShareIsPrintedInTens) {
  EXPECT_EQ(ShareInWords(0.084), "8 %");
  EXPECT_EQ(ShareInWords(0.194), "19 %");
  EXPECT_EQ(ShareInWords(0.2), "20 %");
  EXPECT_EQ(ShareInWords(0.947), "90 %");
  EXPECT_EQ(ShareInWords(0.96), "just under 100 %");
  EXPECT_EQ(ShareInWords(1.0), "100 %");
  EXPECT_EQ(ShareInWords(1.04), "just over 100 %");
  EXPECT_EQ(ShareInWords(1.16), "120 %");
}

// Engelmaier, IEEE Trans. CHMT 6 (1983) 232 (from memory): c = -0.442 - 6e-4 T + 0.0174 ln(1 + 360
// / t), N = (g / (2 x 0.325))^(1/c) / 2, overnight at 25 C for 720 minutes. Joints of a plastic
// ball-grid chip are 0.55 mm high (calib/part_classes.json); over half a span a = 13.5 mm a
// curvature k extends them by k a^2 / 3, and shear is sqrt(3) of that over the height.
TEST(RateParts, WearOfOnePress) {
  Board board = ReferenceBoard();
  board.parts = {PartAt("U5", "pbga", {120, 180}, {20, 27}),
                 PartAt("J1", "slot", {150, 60}, {138, 12})};
  Part placeless = board.parts[0];
  placeless.size_mm.reset();
  board.parts.push_back(placeless);
  const auto ratings = RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib());
  const double k = 8.0 * 5.0 / (300.0 * 300.0);
  const double shear = std::sqrt(3.0) * (k * 13.5 * 13.5 / 3.0) / 0.55;
  const double c = -0.442 - 6e-4 * 25.0 + 0.0174 * std::log(1.0 + 360.0 / 720.0);
  const double cycles = 0.5 * std::pow(shear / 0.65, 1.0 / c);
  EXPECT_EQ(ratings[0].ref, "U5");
  EXPECT_EQ(ratings[1].ref, "J1");
  EXPECT_EQ(ratings[1].part_class, "slot");
  ASSERT_TRUE(ratings[0].cycles_to_failure);
  EXPECT_NEAR(*ratings[0].cycles_to_failure, cycles, 1e-6 * cycles);
  EXPECT_NEAR(ratings[0].fatigue, 1.0 / cycles, 1e-6);
  EXPECT_FALSE(ratings[1].cycles_to_failure) << "a slot's pins give";
  EXPECT_EQ(ratings[1].fatigue, 0.0);
  EXPECT_FALSE(ratings[2].cycles_to_failure) << "its size is not known";
  // Pressing that changes nothing at it wears nothing.
  Flattening pressed;
  pressed.parts.resize(3);
  for (FlattenedPart& part : pressed.parts) part.strain.draws = Eigen::VectorXd::Zero(20);
  const auto still =
      RateParts(board, SurfaceOf(board, Bow(5.0)), true, kYearNow, calib(), &pressed);
  EXPECT_FALSE(still[0].cycles_to_failure);
  EXPECT_EQ(still[0].fatigue, 0.0);
  EXPECT_EQ(still[0].damage_probability, 0.0);
}

// Wear from 0.05 is moderate, over 0.10 high; 0.10 itself is moderate (calib/choice.json).
TEST(RateJoint, LinesOfWear) {
  EXPECT_EQ(RateJoint(0.0, 0.0, 0.049, calib()), Rating::kLow);
  EXPECT_EQ(RateJoint(0.0, 0.0, 0.05, calib()), Rating::kModerate);
  EXPECT_EQ(RateJoint(0.0, 0.0, 0.10, calib()), Rating::kModerate);
  EXPECT_EQ(RateJoint(0.0, 0.0, 0.101, calib()), Rating::kHigh);
  std::string set_by;
  EXPECT_EQ(RateJoint(0.6, 0.0, 0.07, calib(), &set_by), Rating::kModerate);
  EXPECT_EQ(set_by, "share and fatigue");
}

}  // namespace
}  // namespace lieflat
