#include "report/sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "lieflat/report/html.h"

#include "report/sheet_model.h"
#include "report/svg.h"

#include "support/sample_assessment.h"

namespace lieflat {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

const report::Station& StationNamed(const report::SheetModel& model, const std::string& name) {
  for (const auto& station : model.stations) {
    if (station.name == name) return station;
  }
  throw std::logic_error("no station " + name);
}

// Departures do not see the plane: zAB - (zA + zB) / 2 is the gap of AB, whatever plane was taken
// out; and zA - zB + zC - zD is q.
TEST(SheetModel, HeightsAgreeWithBowsAndTwist) {
  const test::SampleSpec spec;
  const auto model = report::ModelSheet(test::SampleAssessment(spec));
  const auto z = [&](const char* name) { return StationNamed(model, name).height_mm; };
  constexpr double kTolMm =
      1e-6;  // the basis holds parabolas and the saddle exactly; the projection rounds
  EXPECT_NEAR(z("AB") - 0.5 * (z("A") + z("B")), spec.gaps_mm[0], kTolMm);
  EXPECT_NEAR(z("CD") - 0.5 * (z("C") + z("D")), spec.gaps_mm[2], kTolMm);
  EXPECT_NEAR(z("A") - z("B") + z("C") - z("D"), spec.twist_q_mm, kTolMm);
}

// Heights over a least-squares plane of a grid sum to nothing.
TEST(SheetModel, TheBestPlaneIsTakenOut) {
  const auto model = report::ModelSheet(test::SampleAssessment());
  constexpr double kTolMm = 1e-9;  // a mean of 12 000 roundings of values near 1
  EXPECT_NEAR(model.heights.z_mm.mean(), 0.0, kTolMm);
  EXPECT_LT(model.lowest_mm, 0.0);
  EXPECT_GT(model.highest_mm, 0.0);
}

TEST(SheetModel, KnowsWhereReadingsStand) {
  Assessment assessment = test::SampleAssessment();
  assessment.used = {{"e1", "C", 0.1, 0.02, 0.1},
                     {"e1", "AB at 152.5 mm", 1, 0.1, 1},
                     {"e1", "x 100 y 60", 1, 0.1, 1},
                     {"e1", "CD at 30 mm", 1, 0.1, 1},
                     {"e1", "strips DA, BC", 1, 0.1, 1}};
  const auto model = report::ModelSheet(assessment);
  EXPECT_TRUE(StationNamed(model, "C").read);
  EXPECT_TRUE(StationNamed(model, "AB").read) << "152.5 mm is the middle of 305";
  EXPECT_FALSE(StationNamed(model, "BC").read);
  ASSERT_EQ(model.stations.size(), 10U);
  EXPECT_EQ(model.stations[8].at_mm, Eigen::Vector2d(100, 60));
  EXPECT_EQ(model.stations[9].at_mm, Eigen::Vector2d(275, 244)) << "30 mm from C towards D";
}

TEST(SheetSvg, SaysWhatTheReadingsDoNotShow) {
  test::SampleSpec spec;
  spec.unread = {Edge::kCD, Edge::kDA};
  const auto sheet = report::DrawSheet(test::SampleAssessment(spec));
  EXPECT_FALSE(sheet.all_shown);
  EXPECT_THAT(sheet.svg, HasSubstr("doubt"));
  const auto known = report::DrawSheet(test::SampleAssessment());
  EXPECT_TRUE(known.all_shown);
  EXPECT_THAT(known.svg, Not(HasSubstr("doubt")));
}

TEST(SheetSvg, HatchesPartsByTheirShare) {
  const auto sheet = report::DrawSheet(test::SampleAssessment());
  EXPECT_THAT(sheet.hatchings, testing::UnorderedElementsAre(3, 1));  // U1 68 %, J4 12 %
  EXPECT_THAT(sheet.unplaced, ElementsAre("U7 (top-left)"));
  EXPECT_THAT(sheet.svg, HasSubstr(">U1 68 %<"));
  PartRating rating;
  EXPECT_EQ(report::HatchOf(nullptr), 0);
  EXPECT_EQ(report::HatchOf(&rating), 0) << "not measured";
  rating.measured = true;
  for (const auto& [share, hatch] :
       {std::pair{0.24, 1}, {0.25, 2}, {0.49, 2}, {0.5, 3}, {1.0, 3}, {1.01, 4}}) {
    rating.share = share;
    EXPECT_EQ(report::HatchOf(&rating), hatch) << share;
  }
}

TEST(SheetSvg, NamesEveryPartOnTheDrawingOrBesideIt) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    if (!assessment.surface) continue;
    const auto sheet = report::DrawSheet(assessment);
    EXPECT_EQ(sheet.svg.find("nan"), std::string::npos) << name;
    for (const Part& part : assessment.board.parts) {
      if (!part.has_place() || part.ref.find('<') != std::string::npos) continue;
      const bool drawn = sheet.svg.find(">" + part.ref + "<") != std::string::npos ||
                         sheet.svg.find(">" + part.ref + " ") != std::string::npos;
      const bool listed = testing::Value(sheet.unlabelled, Contains(part.ref));
      EXPECT_TRUE(drawn != listed) << name << " " << part.ref;
    }
  }
}

TEST(SheetSvg, MarksHolesUnlikeHeights) {
  Assessment assessment = test::SampleAssessment();
  assessment.board.holes.clear();
  const std::string page = ReportHtml(assessment, {}, *assessment.read_at);
  EXPECT_THAT(page, Not(HasSubstr("a mounting hole")));
  assessment.board.holes = {{{6.0, 6.0}, 3.2, "mount"}};
  const auto sheet = report::DrawSheet(assessment);
  EXPECT_TRUE(sheet.has_holes);
  EXPECT_THAT(sheet.svg, HasSubstr("<path class=\"hole\" d=\"M"));
  EXPECT_THAT(sheet.svg, Not(HasSubstr("<circle class=\"hole\"")));
  EXPECT_THAT(ReportHtml(assessment, {}, *assessment.read_at), HasSubstr("a mounting hole"));
}

TEST(SheetSvg, IsEmptyWithoutASurface) {
  EXPECT_EQ(SheetSvg(test::SampleAssessment({}, false)), "");
}

TEST(SheetSvg, CutoutsAndOddOutlinesAreClipped) {
  Assessment assessment = test::SampleAssessment();
  assessment.board.outline_mm = {{0, 0}, {305, 0}, {305, 180}, {240, 244}, {0, 244}};
  assessment.board.corners_mm = {Eigen::Vector2d(0, 0),
                                 Eigen::Vector2d(305, 0),
                                 Eigen::Vector2d(240, 244),
                                 Eigen::Vector2d(0, 244)};
  assessment.board.corners_are_outline = false;
  assessment.board.cutouts_mm = {{{20, 20}, {50, 20}, {50, 50}, {20, 50}}};
  const std::string svg = SheetSvg(assessment);
  EXPECT_THAT(svg, HasSubstr("clip-rule=\"evenodd\""));
  EXPECT_THAT(ReportHtml(assessment, {}, *assessment.read_at), HasSubstr("by agreement"));
}

// A face's picture lies to scale under its own marks; those of the other face are left to the
// other.
TEST(FaceSvg, ShowsTheMarksOfItsSideByTheirNumbers) {
  Assessment assessment = test::SampleAssessment();
  const auto mark = [&](int number, std::optional<Side> side, const char* depth) {
    JudgedMark judged;
    judged.number = number;
    judged.mark.kind = "scratch";
    judged.mark.side = side;
    judged.mark.depth = depth;
    judged.mark.at_mm = {{40.0 + 30.0 * number, 60.0}, {40.0 + 30.0 * number, 80.0}};
    assessment.marks.push_back(judged);
  };
  assessment.marks.clear();
  mark(1, Side::kComponent, "copper");
  mark(2, Side::kSolder, "copper");
  mark(3, std::nullopt, "");
  mark(4, Side::kSolder, "through");
  FacePicture face;
  face.data_uri = "data:image/jpeg;base64,AAAA";
  face.low_mm = {-5.0, -5.0};
  face.high_mm = {310.0, 249.0};
  const auto numbers = [&](Side side) {
    face.side = side;
    const std::string svg = FaceSvg(assessment, face);
    std::string seen;
    for (const char number : {'1', '2', '3', '4'})
      if (svg.find(std::string(">") + number + "</text>") != std::string::npos) seen += number;
    return seen;
  };
  EXPECT_EQ(numbers(Side::kComponent), "134");
  EXPECT_EQ(numbers(Side::kSolder), "234");
  // 282 px for 305 mm (the drawing's own width); the picture reaches 5 mm beyond on each side.
  constexpr double kScale = 282.0 / 305.0;
  EXPECT_THAT(FaceSvg(assessment, face),
              HasSubstr(" width=\"" + report::Px(315.0 * kScale) + "\" height=\"" +
                        report::Px(254.0 * kScale) + "\""));
  const std::string page =
      ReportHtml(assessment, {}, *assessment.read_at, Calib::Embedded(), nullptr, {face});
  EXPECT_THAT(page, HasSubstr("The solder side to scale, as if seen through the board"));
  EXPECT_THAT(page, Not(HasSubstr("class=\"faint\"")));  // the sheet is the component side
  face.side = Side::kComponent;
  EXPECT_THAT(ReportHtml(assessment, {}, *assessment.read_at, Calib::Embedded(), nullptr, {face}),
              HasSubstr("class=\"faint\""));
}

}  // namespace
}  // namespace lieflat
