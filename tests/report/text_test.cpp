#include "lieflat/report/text.h"

#include <cmath>
#include <sstream>
#include <tuple>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/words.h"

#include "support/sample_assessment.h"

namespace lieflat {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

std::vector<std::string> Lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

TEST(AssessmentText, NeverWiderThanTheTerminal) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    for (const std::string& line : Lines(AssessmentText(assessment))) {
      EXPECT_LE(report::Columns(line), 80) << name << ": " << line;
      EXPECT_THAT(line, Not(testing::EndsWith(" "))) << name;
    }
  }
}

TEST(AssessmentText, OpensWithTheBoardAndFiveAnswers) {
  const auto lines = Lines(AssessmentText(test::SampleAssessment()));
  EXPECT_EQ(lines[0], "crate-3/017   305 x 244 mm, surface-mount and through-hole   works");
  std::vector<std::string> questions;
  for (const std::string& line : lines) {
    if (questions.size() < 5 && !line.empty() && line[0] != ' ' && &line != &lines[0]) {
      questions.push_back(line.substr(0, line.find("  ")));
    }
  }
  EXPECT_THAT(questions, ElementsAre("Need it flat?", "Gain", "Risk", "Worst part", "Do now"));
}

TEST(AssessmentText, SaysWhatTheFiguresAre) {
  const std::string text = AssessmentText(test::SampleAssessment());
  // 100 x 3.47 / 305 = 1.138, 100 x 0.12 / 305 = 0.039; 100 x 2.2 / (2 x 390.6) = 0.282, 100 x 0.24
  // / 781.2 = 0.031.
  EXPECT_THAT(
      text,
      HasSubstr("Bow    1.14 % (1.10 to 1.18)   AB, towards the components   limit 0.75   over\n"));
  EXPECT_THAT(
      text,
      HasSubstr(
          "Twist  0.28 % (0.25 to 0.31)   A and C high                 limit 0.75   within\n"));
  EXPECT_THAT(text,
              HasSubstr("AB    305 mm  3.47 (3.35 to 3.59)      1.14 (1.10 to 1.18)     over\n"));
  EXPECT_THAT(text, HasSubstr("Not known yet: bow and twist are not both measured."))
      << "this sample comes without options";
  EXPECT_THAT(text, HasSubstr("Pressed flat, U1 takes 68 % (54 to 82)"));
  EXPECT_THAT(text, HasSubstr("ball-grid chip, plastic (PBGA)"));
  EXPECT_THAT(text, HasSubstr("U7 taken as the largest in its region (top-left)"));
  EXPECT_THAT(text, HasSubstr("without its own weight"));
  EXPECT_THAT(text, HasSubstr("  Rating set by share: U1, "));
}

TEST(AssessmentText, SaysWhatWasNotMeasured) {
  test::SampleSpec spec;
  spec.unread = {Edge::kCD};
  spec.gaps_mm = {0.4, 0.3, 0.0, 0.2};
  spec.twist_read = false;
  const std::string text = AssessmentText(test::SampleAssessment(spec));
  EXPECT_THAT(text, HasSubstr("Twist  not measured yet\n"));
  // Three edges are no board: no verdict on its bow, and it is not called unmeasured beside a
  // figure.
  EXPECT_THAT(text, HasSubstr("not all edges are read"));
  EXPECT_THAT(text, HasSubstr("bow of CD: needs a straightedge along CD"));
  EXPECT_THAT(text, HasSubstr("Next reading: a straightedge along CD"));
  EXPECT_THAT(text, HasSubstr("For a case: not known yet"));
  Assessment further = test::SampleAssessment(spec);
  further.recommended.name = "measure-further";
  EXPECT_THAT(AssessmentText(further),
              HasSubstr("Measure further. A straightedge along CD, gap in the middle.\n"));
}

TEST(AssessmentText, SaysThatTheWeightIsIn) {
  test::SampleSpec spec;
  spec.weight_removed = false;
  EXPECT_THAT(AssessmentText(test::SampleAssessment(spec)),
              HasSubstr("up to 1.7 mm of sag may be in the"));
}

TEST(AssessmentText, NamesOutliersAndPassedOverReadings) {
  Assessment assessment = test::SampleAssessment();
  assessment.surface->outliers = {{"AB at 152 mm", "up.csv:3", 3.47, 1.2, 0.15, 0.002}};
  assessment.passed_over = {"e1: lying on a table; the upright readings count"};
  const std::string text = AssessmentText(assessment);
  EXPECT_THAT(text,
              HasSubstr("AB at 152 mm (up.csv:3) stands out: read 3.47 mm, the others suggest"));
  // 2 x 0.15 = 0.3: one decimal.
  EXPECT_THAT(report::OutlierSentence(assessment.surface->outliers[0]),
              HasSubstr("the others suggest 1.2 +- 0.3 mm. A good reading lies so far off less "
                        "than once in 100 sets"));
  EXPECT_THAT(text, HasSubstr("e1: lying on a table; the upright readings count"));
}

TEST(AssessmentText, GivesTheFirstLookWhenNothingWasRead) {
  Assessment assessment = test::SampleAssessment({}, false);
  FirstLookAnswer look;
  look.sorted = Sorted::kDoNotTouch;
  look.limit_side = "too-close";
  look.bow_percent = 0.7;
  look.bow_percent95 = Interval{0.5, 0.9};
  look.because = {"A ball-grid chip sits on it."};
  assessment.first_look = look;
  const std::string text = AssessmentText(assessment);
  EXPECT_THAT(text, HasSubstr("Do not touch it."));
  EXPECT_THAT(text, HasSubstr("Bow    0.70 % (0.50 to 0.90)"));
  EXPECT_THAT(text, HasSubstr("too close to call"));
  EXPECT_THAT(text, HasSubstr("Bow    not measured yet\n"));
}

TEST(AssessmentText, ObeysNoControlCharacters) {
  test::SampleSpec spec;
  spec.label = "x\x1b[31m\ny";
  const std::string text = AssessmentText(test::SampleAssessment(spec));
  EXPECT_EQ(text.find('\x1b'), std::string::npos);
  EXPECT_THAT(text, StartsWith("x?[31m y"));
}

TEST(AssessmentText, LeaveIsLeave) {
  test::SampleSpec spec;
  spec.need = "none";
  spec.recommended = "leave";
  const auto lines = Lines(AssessmentText(test::SampleAssessment(spec)));
  EXPECT_EQ(lines[2], "Need it flat?   No. It works, and nothing on record needs it flat.");
  EXPECT_THAT(AssessmentText(test::SampleAssessment(spec)),
              HasSubstr("Do now          Leave it as it is, unpressed."));
}

// The printed interval never contradicts the verdict: its ends stay on the side of the limit on
// which they are.
TEST(Print, EndsStayOnTheirSideOfTheLimit) {
  using Case = std::tuple<double, double, const char*, const char*>;
  for (const auto& [low, high, low_text, high_text] : {Case{0.7504, 1.15, "0.7504", "1.1500"},
                                                       Case{0.31, 0.7502, "0.3100", "0.7502"},
                                                       Case{0.31, 0.75, "0.31", "0.75"},
                                                       Case{0.75 + 1e-14, 1.15, "0.75", "1.15"},
                                                       Case{0.749, 1.1, "0.75", "1.10"}}) {
    const auto printed = report::Print(0.5 * (low + high), {low, high}, 0.75);
    EXPECT_EQ(std::stod(printed.low) > 0.75, low > 0.75 + 1e-9) << printed.low;
    EXPECT_EQ(std::stod(printed.high) > 0.75, high > 0.75) << printed.high;
    EXPECT_EQ(printed.low, low_text);
    EXPECT_EQ(printed.high, high_text);
  }
}

// JCGM 100:2008, 7.2.6: at most two significant digits of an uncertainty.
TEST(Digits, FollowTheUncertainty) {
  EXPECT_EQ(report::DecimalsFor(0.04), 2);
  EXPECT_EQ(report::DecimalsFor(0.12), 2);
  EXPECT_EQ(report::DecimalsFor(0.5), 1);
  EXPECT_EQ(report::DecimalsFor(1.4), 1);
  EXPECT_EQ(report::DecimalsFor(3.0), 0);
  EXPECT_EQ(report::DecimalsFor(130.0, -2), -1);
  EXPECT_EQ(report::Rounded(1234.0, -1), "1230");
  EXPECT_EQ(report::Rounded(-0.001, 2), "0.00");
  EXPECT_EQ(report::PrintStrain(-310.4e-6, {-372e-6, -248e-6}).value, "-310");
}

TEST(Wrap, FillsLinesAndIndents) {
  EXPECT_EQ(Wrap("one two three four", 10, 0, 2), "one two\n  three\n  four");
  EXPECT_EQ(Wrap("a b", 10, 4, 4), "    a b");
  EXPECT_EQ(Wrap("", 10, 0, 2), "");
}

TEST(Wrap, CountsCodePointsNotBytes) {
  EXPECT_EQ(Wrap("äöü äöü", 7, 0, 0), "äöü äöü");
  EXPECT_EQ(Wrap("äöü äöü", 6, 0, 0), "äöü\näöü");
}

TEST(Wrap, BreaksWordsLongerThanALine) {
  EXPECT_EQ(Wrap("abcdefghij", 4, 0, 0), "abcd\nefgh\nij");
  EXPECT_EQ(Wrap("ööööö", 2, 0, 0), "öö\nöö\nö");
  for (const std::string& line : Lines(Wrap(std::string(300, 'w') + " tail", 80, 3, 7)))
    EXPECT_LE(line.size(), 80U);
}

TEST(SaleText, IsFiveHonestLines) {
  const auto lines = Lines(SaleText(test::SampleAssessment()));
  EXPECT_THAT(
      lines,
      ElementsAre(
          "crate-3/017, 305 x 244 mm; works.",
          "Bow 1.14 % (1.10 to 1.18), 3.5 mm on AB; twist 0.28 % (0.25 to 0.31).",
          "Limit 0.75 % (for bare new boards): bow over, twist within.",
          "Measured upright, straightedge, 2026-03-02; without its own weight.",
          "U1 is bent most, to 14 % of what it allows; hidden cracks cannot be ruled out."));
  Assessment tested = test::SampleAssessment();
  tested.works_tested_at = tested.read_at;
  EXPECT_EQ(Lines(SaleText(tested)).front(),
            "crate-3/017, 305 x 244 mm; works, tested 2026-03-02.");
}

TEST(SaleText, PromisesNothingThatWasNotMeasured) {
  for (const auto& [name, assessment] : test::AssessmentsToShow()) {
    const std::string text = SaleText(assessment);
    EXPECT_EQ(Lines(text).size(), 5U) << name;
    EXPECT_THAT(text, HasSubstr("cracks cannot be ruled out")) << name;
    if (!assessment.flatness.bow_measured) {
      EXPECT_THAT(text, HasSubstr("Bow not measured")) << name;
    }
    if (!assessment.flatness.twist_measured) {
      EXPECT_THAT(text, HasSubstr("twist not measured")) << name;
    }
    if (!assessment.read) {
      EXPECT_THAT(text, HasSubstr("Not measured; ask for readings")) << name;
    }
  }
}

}  // namespace
}  // namespace lieflat
