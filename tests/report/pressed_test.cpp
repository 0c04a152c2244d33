#include "report/pressed.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "lieflat/report/html.h"

#include "support/sample_assessment.h"

namespace lieflat {
namespace {

using testing::HasSubstr;
using testing::Not;

/// Bend that grows evenly along x from nothing to `largest`, pressed in the middle, carried at two
/// sides.
BendField Ramp(const Board& board, double largest) {
  const auto [low, high] = board.Box();
  constexpr int kSteps = 20;
  BendField field;
  field.origin_mm = low;
  field.step_mm = (high - low) / kSteps;
  field.strain = Eigen::RowVectorXd::LinSpaced(kSteps + 1, 0.0, largest).replicate(kSteps + 1, 1);
  const Eigen::Vector2d middle = 0.5 * (low + high);
  field.contacts = {{Touch::kPlate, 0, middle, -8.0},
                    {Touch::kTable, 0, {low.x(), middle.y()}, 4.0},
                    {Touch::kTable, 0, {high.x(), middle.y()}, 4.0}};
  return field;
}

TEST(Pressed, LinesOfEqualBendWithTheirNumbers) {
  const Assessment assessment = test::SampleAssessment();
  const auto drawing =
      report::DrawPressed(assessment.board, assessment.parts, Ramp(assessment.board, 460e-6), true);
  EXPECT_NEAR(drawing.largest_ue, 460.0, 1e-9);
  EXPECT_EQ(drawing.step_ue, 100.0) << "four lines; every 50 would be nine";
  for (const char* number : {">100<", ">200<", ">300<", ">400<"})
    EXPECT_THAT(drawing.svg, HasSubstr(number));
  EXPECT_THAT(drawing.svg, Not(HasSubstr(">500<")));
  EXPECT_THAT(drawing.svg, HasSubstr("hatch-1")) << "alone it brings the hatchings along";
}

// Area in proportion to force: half the force, 0.71 of the radius.
TEST(Pressed, DotsByForce) {
  const Assessment assessment = test::SampleAssessment();
  const auto drawing =
      report::DrawPressed(assessment.board, {}, Ramp(assessment.board, 460e-6), false);
  EXPECT_TRUE(drawing.presses && drawing.carries);
  EXPECT_THAT(drawing.svg, HasSubstr("class=\"presses\" cx=\"180\""));
  EXPECT_THAT(drawing.svg, HasSubstr("r=\"6.5\""));
  EXPECT_THAT(drawing.svg, HasSubstr("r=\"4.6\""));
  EXPECT_THAT(drawing.svg, Not(HasSubstr("<pattern")));
}

TEST(Pressed, OnThePageWhenItWasComputed) {
  Assessment assessment = test::SampleAssessment();
  assessment.flattening.reset();
  const char* const kHead = "What pressing it flat would do";
  EXPECT_THAT(ReportHtml(assessment, {}, *assessment.read_at), Not(HasSubstr(kHead)));
  Flattening press;
  press.gap_mm = 0.25;
  press.force_n.value = 12.0;
  press.force_n.interval95 = {7.0, 19.0};
  press.field = Ramp(assessment.board, 460e-6);
  assessment.flattening = press;
  const std::string page = ReportHtml(assessment, {}, *assessment.read_at);
  EXPECT_THAT(page, HasSubstr(kHead));
  EXPECT_THAT(page, HasSubstr("12 N (7 to 19)"));
}

}  // namespace
}  // namespace lieflat
