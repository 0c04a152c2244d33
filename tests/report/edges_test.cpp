#include "report/edges.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/words.h"

#include "support/sample_assessment.h"

namespace lieflat {
namespace {

using testing::HasSubstr;
using testing::Not;

TEST(EdgeSvg, TheStackGoesInStaysOutOrMay) {
  const Assessment bowed = test::SampleAssessment();
  EXPECT_THAT(EdgeSvg(bowed, Edge::kAB), HasSubstr("class=\"blades\""));
  EXPECT_THAT(EdgeSvg(bowed, Edge::kAB), HasSubstr("over: the stack goes in with room to spare"));
  EXPECT_THAT(EdgeSvg(bowed, Edge::kBC), HasSubstr("class=\"blades out\""));
  EXPECT_THAT(EdgeSvg(bowed, Edge::kBC), HasSubstr("within: the stack does not go in"));
  test::SampleSpec close;
  close.gaps_mm = {2.2, 0.1, 0.1, 0.1};
  close.u95_mm = 0.5;
  const std::string undecided = EdgeSvg(test::SampleAssessment(close), Edge::kAB);
  EXPECT_THAT(undecided, HasSubstr("class=\"blades maybe\""));
  EXPECT_THAT(undecided, HasSubstr("too close to call"));
}

TEST(EdgeSvg, AnUnreadEdgeIsAnEmptyRuler) {
  test::SampleSpec spec;
  spec.unread = {Edge::kDA};
  const std::string svg = EdgeSvg(test::SampleAssessment(spec), Edge::kDA);
  EXPECT_THAT(svg, HasSubstr("not read"));
  EXPECT_THAT(svg, HasSubstr("ruler unread"));
  EXPECT_THAT(svg, Not(HasSubstr("blades")));
  EXPECT_THAT(svg, Not(HasSubstr("class=\"band\"")));
}

TEST(EdgeSvg, EveryEdgeShowsItsInterval) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    for (const EdgeBow& edge : assessment.flatness.edges) {
      const std::string svg = EdgeSvg(assessment, edge.edge);
      EXPECT_EQ(svg.find("nan"), std::string::npos) << name;
      EXPECT_EQ(svg.find("inf"), std::string::npos) << name;
      EXPECT_THAT(svg, HasSubstr("<title")) << name;
      if (edge.known) {
        EXPECT_THAT(svg,
                    testing::AllOf(HasSubstr("class=\"band\""), HasSubstr("class=\"bracket\"")))
            << name;
      }
    }
  }
}

// The drawing does not need the surface: a gap alone is drawn as an arch.
TEST(EdgeSvg, DrawsAGapWithoutASurface) {
  Assessment assessment = test::SampleAssessment();
  assessment.surface.reset();
  EXPECT_THAT(EdgeSvg(assessment, Edge::kAB), HasSubstr("class=\"blades\""));
}

// One scale for all: the longest edge fills the drawing (324 px between the letters), and the
// largest of gaps and limits stays within the height meant for it, 46 px; a factor of at least 1 is
// printed as a round number.
TEST(EdgeScale, FitsTheLongestEdgeAndTheLargestGap) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    const report::EdgeScale scale = report::ScaleOfEdges(assessment);
    double longest = 0.0;
    for (const EdgeBow& edge : assessment.flatness.edges) {
      longest = std::max(longest, edge.length_mm);
      EXPECT_LE(scale.Up(report::LimitGap(assessment, edge)), 46.0 + 1e-9) << name;
      if (edge.known) {
        EXPECT_LE(scale.Up(report::GapInterval(edge).high), 46.0 + 1e-9) << name;
      }
    }
    EXPECT_NEAR(longest * scale.px_per_mm, 324.0, 1e-9) << name;
  }
}

// 100 x gap / length = percent, both ways; an edge that bows towards the solder side has a positive
// gap too.
TEST(GapInterval, FollowsThePercent) {
  EdgeBow edge;
  edge.length_mm = 200.0;
  edge.percent = -1.0;
  edge.percent95 = {-1.2, -0.8};
  const Interval gap = report::GapInterval(edge);
  EXPECT_NEAR(gap.low, 1.6, 1e-12);
  EXPECT_NEAR(gap.high, 2.4, 1e-12);
}

TEST(NiceStep, IsTheFirstThatIsWideEnough) {
  EXPECT_NEAR(report::NiceStep(1.0, 44.0), 50.0, 1e-9);
  EXPECT_NEAR(report::NiceStep(1.0, 4.0), 5.0, 1e-9);
  EXPECT_NEAR(report::NiceStep(10.0, 15.0), 2.0, 1e-9);
  EXPECT_NEAR(report::NiceStep(0.5, 44.0), 100.0, 1e-9);
}

}  // namespace
}  // namespace lieflat
