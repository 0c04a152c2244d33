// What a reading is worth: the parts of its error and how they add up.

#include <cmath>

#include "readings/support.h"

#include "support/counts.h"

namespace lieflat {
namespace {

using testing::Board305;
using testing::HeightRow;
using testing::UprightRow;

constexpr double kTolPrinted = 1e-3;  // relative: the expected values are printed to four figures
constexpr auto kRectangular = ErrorPart::Law::kRectangular;
constexpr auto kNormal = ErrorPart::Law::kNormal;

const ErrorPart* FindPart(const Sample& sample, const std::string& cause) {
  for (const auto& part : sample.errors) {
    if (part.cause == cause) {
      return &part;
    }
  }
  return nullptr;
}

double Size(const Sample& sample, const std::string& cause) {
  const ErrorPart* part = FindPart(sample, cause);
  return part == nullptr ? 0.0 : part->size_mm;
}

Gauge UprightPair(double go, double no_go, int blades = 1) {
  Gauge gauge;
  GaugeRow row;
  row.edge = Edge::kAB;
  row.side = Side::kSolder;
  row.go_mm = go;
  row.no_go_mm = no_go;
  row.blades = blades;
  gauge.rows = {row};
  return gauge;
}

Gauge LyingPair(double go, double no_go) {
  Gauge gauge;
  gauge.rest = Rest::kTable;
  gauge.face = Face::kUnder;
  gauge.lead_tail_mm = 0.0;
  GaugeRow row;
  row.station = "A";
  row.go_mm = go;
  row.no_go_mm = no_go;
  gauge.rows = {row};
  return gauge;
}

Sample Only(const Gauge& gauge,
            const Board& board = Board305(),
            std::optional<double> repeatability_mm = {}) {
  const auto set = ToSamples(gauge, board, Calib::Embedded(), repeatability_mm, "up.csv");
  EXPECT_TRUE(set) << set.error().Text();
  EXPECT_EQ(set->samples.size(), 1U);
  return set->samples.at(0);
}

// JCGM 100:2008, 4.3.7: a rectangular law of half-width a has u = a / sqrt(3); a = 1.5 gives
// 0.8660.
TEST(Errors, RectangularLaw) {
  const ErrorPart part{"resolution", kRectangular, 1.5, "", 1.0};
  EXPECT_NEAR(part.sd_mm(), 0.8660, 0.8660 * kTolPrinted);
}

// A blade of 2.20 mm goes in, 2.25 does not; blade half-width 0.009, plate half-width 0.0075 (DIN
// 876 grade 1, 500 mm: 15 um zone). R = 2.225, a = 0.025; u = sqrt((0.025^2 + 0.009^2 + 0.0075^2) /
// 3) = 0.01594, U = 2 u = 0.0319 mm (JCGM 100:2008, 4.3.7 and 6.2).
TEST(Errors, BracketedGap) {
  Sample sample = Only(UprightPair(2.20, 2.25));
  EXPECT_NEAR(sample.value_mm, 2.225, 1e-12);
  EXPECT_NEAR(Size(sample, "between two blades"), 0.025, 1e-12);
  EXPECT_NEAR(Size(sample, "blade thickness"), 0.009, 1e-12);
  Sample bracket;
  for (const char* cause : {"between two blades", "blade thickness"}) {
    bracket.errors.push_back(*FindPart(sample, cause));
  }
  bracket.errors.push_back({"plate", kRectangular, 0.0075, "plate", 1.0});
  EXPECT_NEAR(bracket.sd_mm(), 0.01594, 0.01594 * kTolPrinted);
  EXPECT_NEAR(2.0 * bracket.sd_mm(), 0.0319, 0.0319 * kTolPrinted);
}

// Ten inch blades of 0.010 in, each up to 0.00035 in thick: 0.1035 in before the air between them
// (a blade maker's page); with it they read 0.105 to 0.106 in. The tolerances add, and the reading
// lies between the nominal sum and those figures.
TEST(Errors, StackedBlades) {
  constexpr double kInch = 25.4;
  const Sample sample = Only(UprightPair(0.100 * kInch, 0.110 * kInch, 10));
  const double tolerance = Size(sample, "blade thickness");
  EXPECT_NEAR((0.100 * kInch + tolerance) / kInch, 0.1035, 0.1035 * kTolPrinted);
  const double air = Size(sample, "air between stacked blades");
  const double middle =
      sample.value_mm - 0.5 * (0.100 + 0.110) * kInch;  // what was added for the air
  EXPECT_GT(middle, 0.0);
  EXPECT_LE(middle - air, 0.01 * 0.100 * kInch + 1e-12);
  EXPECT_GE(middle + air, 0.06 * 0.100 * kInch - 1e-12);
  EXPECT_EQ(Size(Only(UprightPair(2.20, 2.25)), "air between stacked blades"), 0.0);
}

// Nothing of 0.05 mm went in. Upright that is a rectangular law of half-width 0.025 about 0.025, u
// = 0.025 / sqrt(3). Under a board that lies it may be touching: the widest law between the same
// bounds has half its mass at either, u = 0.025 (of all laws on [a, b] that about the middle; T.
// Popoviciu, Mathematica 9 (1935), from memory).
TEST(Errors, WhereNothingWentInUnderALyingBoard) {
  const Sample upright = Only(UprightPair(0.0, 0.05));
  EXPECT_NEAR(FindPart(upright, "between two blades")->sd_mm(), 0.025 / std::sqrt(3.0), 1e-12);

  Gauge lying = LyingPair(0.0, 0.05);
  const Sample may_touch = Only(lying);
  EXPECT_NEAR(may_touch.value_mm, 0.025, 1e-12);
  EXPECT_NEAR(FindPart(may_touch, "between two blades")->sd_mm(), 0.025, 1e-12);
  const Sample stands_off = Only(LyingPair(0.05, 0.10));
  EXPECT_NEAR(FindPart(stands_off, "between two blades")->sd_mm(), 0.025 / std::sqrt(3.0), 1e-12);

  Sample alone;
  alone.errors = {*FindPart(may_touch, "between two blades")};
  SampleSet set;
  set.samples = {alone};
  Random random(11);
  constexpr int kDraws = 4000;
  const Eigen::MatrixXd draws = set.DrawErrors(kDraws, random);
  EXPECT_TRUE((draws.array().abs() - 0.025).abs().maxCoeff() < 1e-12) << "one end or the other";
  // Of 4000 fair draws the mean lies within four standard errors, 4 x 0.025 / sqrt(4000) = 0.0016.
  EXPECT_NEAR(draws.mean(), 0.0, 0.0016);
}

// DIN 876: grades 0 to 3, longest side 500 mm: 6, 15, 30, 60 um; 1000 mm: 8, 20, 40, 80 um (the
// standard's table).
TEST(Errors, SurfacePlates) {
  const std::array<std::array<double, 4>, 2> um = {{{6, 15, 30, 60}, {8, 20, 40, 80}}};
  auto board = RectangularBoard(500, 400, Calib::Embedded());
  ASSERT_TRUE(board);
  board->populated = false;
  for (int grade = 0; grade < 4; ++grade) {
    const auto column = static_cast<std::size_t>(grade);
    const std::string name = "plate-grade-" + std::to_string(grade);
    const auto number = [&](const std::string& key) {
      return Calib::Embedded().Number("gauges", "/surfaces/" + name + "/" + key).value;
    };
    for (const std::size_t row : {0U, 1U}) {
      const double length = row == 0 ? 500.0 : 1000.0;
      const double zone = number("flatness_mm_base") + number("flatness_mm_per_mm") * length;
      EXPECT_NEAR(zone * 1000.0, um.at(row).at(column), 1e-9);
    }
    Gauge gauge;
    gauge.rest = Rest::kTable;
    gauge.surface = name;
    gauge.rows = {HeightRow("AB", 1.0)};
    EXPECT_NEAR(Size(Only(gauge, *board), "surface bow x") * 1000.0, um[0].at(column), 1e-9);
  }
}

// A bow of the surface along x shows at mid-edge of AB in full, at the corners not at all; its
// twist in q alone.
TEST(Errors, SurfaceIsSharedByAllThatIsReadOnIt) {
  Gauge gauge;
  gauge.rest = Rest::kTable;
  gauge.lead_tail_mm = 2.0;
  gauge.surface = "worktop";
  for (const char* station : {"A", "B", "C", "D", "AB", "CD"}) {
    gauge.rows.push_back(HeightRow(station, 1.0));
  }
  const auto set = ToSamples(gauge, Board305(), Calib::Embedded(), {}, "up.csv");
  ASSERT_TRUE(set) << set.error().Text();
  const double zone = 0.1 + 0.001 * 305.0;  // calib/gauges.json, worktop
  const Eigen::MatrixXd covariance = set->Covariance();
  const double variance = zone * zone / 3.0;  // rectangular, half-width zone
  constexpr double kTol = 1e-12;
  EXPECT_NEAR(covariance(4, 5), variance, kTol);          // AB and CD share the bow along x
  EXPECT_NEAR(covariance(0, 4), 0.0, kTol);               // a corner and a middle share nothing
  EXPECT_NEAR(covariance(0, 2), 0.25 * variance, kTol);   // A and C rise together in a twist
  EXPECT_NEAR(covariance(0, 1), -0.25 * variance, kTol);  // A and B part
  const Eigen::RowVectorXd q = (Eigen::RowVectorXd(6) << 1, -1, 1, -1, 0, 0).finished();
  const double own = covariance(0, 0) - 0.25 * variance;
  EXPECT_NEAR((q * covariance * q.transpose())(0, 0), 4.0 * variance + 4.0 * own, kTol);
}

// The straightedge's own bow cancels between the two faces: + on the solder face, - on the
// component face.
TEST(Errors, StraightedgeTurnsWithTheFace) {
  Gauge gauge;
  gauge.surface = "steel-rule-edge";
  gauge.rows = {UprightRow(Edge::kAB, Side::kSolder, {}, 1.0),
                UprightRow(Edge::kAB, Side::kComponent, 0.0, 1.0),
                UprightRow(Edge::kAB, Side::kComponent, 305.0, 1.0)};
  const auto set = ToSamples(gauge, Board305(), Calib::Embedded(), {}, "up.csv");
  ASSERT_TRUE(set) << set.error().Text();
  ASSERT_EQ(set->samples.size(), 2U);
  const double zone = 0.02 + 0.0002 * 305.0;  // calib/gauges.json, steel-rule-edge
  EXPECT_NEAR(set->Covariance()(0, 1), -zone * zone / 3.0, 1e-12);
}

// A stated u stands alone; without it the instrument's own, and the reader's own trial in place of
// the usual.
TEST(Errors, WhoseRepeatability) {
  GaugeRow row = UprightRow(Edge::kAB, Side::kSolder, {}, 1.0);
  Gauge gauge;
  gauge.rows = {row};
  gauge.rows[0].u_mm = 0.2;
  EXPECT_NEAR(Size(Only(gauge), "as stated"), 0.2, 1e-12);
  EXPECT_EQ(FindPart(Only(gauge, Board305(), 0.05), "reading repeated"), nullptr);
  gauge.rows = {row};
  gauge.instrument = "steel-rule";
  EXPECT_NEAR(Size(Only(gauge), "steel rule, by eye"), 0.3, 1e-12);
  EXPECT_NEAR(Size(Only(gauge, Board305(), 0.12), "reading repeated"), 0.12, 1e-12);
  EXPECT_NEAR(Size(Only(UprightPair(1.0, 1.05)), "reading repeated"), 0.015, 1e-12);
  EXPECT_NEAR(
      Size(Only(UprightPair(1.0, 1.05), Board305(), 0.04), "reading repeated"), 0.04, 1e-12);
}

// Two gaps in the mean of a rocking straightedge: their own errors enter with 1/2 each.
TEST(Errors, RockingHalvesTheGaps) {
  Gauge gauge;
  gauge.surface = "none";
  gauge.rows = {UprightRow(Edge::kAB, Side::kComponent, 0.0, 1.0),
                UprightRow(Edge::kAB, Side::kComponent, 305.0, 1.0)};
  gauge.rows[0].u_mm = 0.2;
  gauge.rows[1].u_mm = 0.2;
  EXPECT_NEAR(Only(gauge).sd_mm(), 0.2 / std::sqrt(2.0), 1e-12);
}

TEST(Errors, LeadTailsWidenAndStripsScale) {
  Gauge table;
  table.rest = Rest::kTable;
  table.rows = {HeightRow("A", 1.0)};
  EXPECT_NEAR(Size(Only(table), "lead tails"), 0.5, 1e-12);  // design choice in calib/gauges.json
  table.lead_tail_mm = 2.0;
  EXPECT_EQ(Size(Only(table), "lead tails"), 0.0);
  Gauge strips;
  strips.strips = StripReading{Edge::kDA, Edge::kBC, 610.0, 5.0, 1.0};
  EXPECT_NEAR(Only(strips).sd_mm(), 244.0 / 610.0, 1e-12);
}

// Draws follow the covariance: 40 000 draws, so a standard deviation is known to 1/sqrt(2 n) = 0.35
// %.
TEST(Errors, DrawsFollowTheCovariance) {
  SampleSet set;
  Sample one;
  one.errors = {{"own", kNormal, 0.1, "", 1.0}, {"plate", kRectangular, 0.3, "plate", -1.0}};
  Sample other;
  other.errors = {{"own", kRectangular, 0.2, "", 2.0}, {"plate", kRectangular, 0.3, "plate", 0.5}};
  set.samples = {one, other};
  const std::uint64_t seed = 5;
  SCOPED_TRACE("seed " + std::to_string(seed));
  Random random(seed);
  const int count = 40000;
  const Eigen::MatrixXd draws = set.DrawErrors(count, random);
  const Eigen::MatrixXd expected = set.Covariance();
  const Eigen::MatrixXd found = draws * draws.transpose() / count;
  constexpr double kTolRelative = 0.02;  // over 4 standard deviations of a drawn covariance
  EXPECT_TRUE(found.isApprox(expected, kTolRelative)) << found << "\n\n" << expected;
  EXPECT_NEAR(std::sqrt(expected(0, 0)), one.sd_mm(), 1e-12);
  const double most = draws.row(1).cwiseAbs().maxCoeff();
  EXPECT_LE(most, 0.4 + 0.15);  // both laws end there
}

}  // namespace
}  // namespace lieflat
