// What is asked for, what is too close to call, and what follows from what is known already.

#include <array>

#include <gtest/gtest.h>

#include "lieflat/base/text.h"

#include "damage/marks.h"

namespace lieflat {
namespace {

using testing::DamagedBoard;
using testing::MarkOf;

Judgement JudgeIt(const Mark& mark, const std::string& works = "yes") {
  return Judge(mark, DamagedBoard(), works, Calib::Embedded());
}

// The limit is at most 2.5 mm wherever the conductor lies (IPC-A-610F 10.2.8): a deeper nick needs
// no further measure, a shallower one does.
TEST(Judge, AsksOnlyWhatCanChangeTheOutcome) {
  EXPECT_EQ(JudgeIt(MarkOf("edge-nick", {{"nick-depth", 2.6}})).outcome, Outcome::kDefect);
  const Judgement shallow = JudgeIt(MarkOf("edge-nick", {{"nick-depth", 2.4}}));
  EXPECT_EQ(shallow.outcome, Outcome::kCannotTell);
  ASSERT_EQ(shallow.missing.size(), 1U);
  EXPECT_EQ(shallow.missing.front(),
            "from the sound edge to the nearest conductor (--measure conductor-distance=...)");
  EXPECT_EQ(JudgeIt(MarkOf("edge-nick")).missing.size(), 2U);
  EXPECT_TRUE(JudgeIt(MarkOf("edge-nick", {}, {"frayed"})).missing.empty());
}

TEST(Judge, AMeasureWhoseIntervalHoldsTheLimitIsTooClose) {
  Mark mark = MarkOf("bent-pin", {{"pin-thickness", 0.64}});
  const auto outcome = [&](double offset, double u95) {
    mark.measures["pin-offset"] = {offset, u95};
    return JudgeIt(mark).outcome;
  };
  EXPECT_EQ(outcome(0.30, 0.05), Outcome::kCannotTell);
  EXPECT_EQ(outcome(0.30, 0.01), Outcome::kAcceptable);
  EXPECT_EQ(outcome(0.34, 0.01), Outcome::kDefect);
  // The thickness is uncertain too: half of it, 0.32, by half of 0.08.
  mark.measures["pin-thickness"].u95 = 0.08;
  EXPECT_EQ(outcome(0.34, 0.01), Outcome::kCannotTell);
}

TEST(Judge, AScratchAsksHowDeepFirst) {
  const Judgement out = JudgeIt(MarkOf("scratch"));
  EXPECT_EQ(out.outcome, Outcome::kCannotTell);
  ASSERT_EQ(out.missing.size(), 1U);
  EXPECT_NE(out.missing.front().find("--depth"), std::string::npos);
  EXPECT_EQ(JudgeIt(MarkOf("scratch", {}, {}, "", "coating")).outcome, Outcome::kAcceptable);
  EXPECT_EQ(JudgeIt(MarkOf("scratch", {}, {}, "", "through")).outcome, Outcome::kDefect);
  const Judgement copper = JudgeIt(MarkOf("scratch", {}, {}, "", "copper"));
  EXPECT_EQ(copper.missing.size(), 2U) << "width left, and as drawn";
}

TEST(Judge, WhatIsFineWhileItWorksAsksForATest) {
  EXPECT_EQ(JudgeIt(MarkOf("measling"), "yes").outcome, Outcome::kAcceptable);
  for (const char* works : {"untested", "no", "partly"}) {
    const Judgement out = JudgeIt(MarkOf("measling"), works);
    EXPECT_EQ(out.outcome, Outcome::kCannotTell) << works;
    EXPECT_EQ(out.missing.size(), 1U);
  }
}

TEST(Judge, APartThatIsNotNamedIsAskedFor) {
  const Judgement out = JudgeIt(MarkOf("cracked-part"));
  EXPECT_EQ(out.outcome, Outcome::kCannotTell);
  EXPECT_NE(Join(out.missing, "\n").find("--near"), std::string::npos);
}

// The chip's own sizes stand in board.json and need not be typed again: 25 % of 1.0 mm, of 1.6 mm,
// 50 % of 3.2 mm (IPC-A-610F 9.4, table 9-1).
TEST(Judge, SizesOfThePartAreTaken) {
  const Board board = DamagedBoard();
  const Mark mark = MarkOf("chipped-part", {}, {}, "C1");
  const auto limit = [&](const char* criterion) {
    return LimitOfCriterion(criterion, mark, board, Calib::Embedded())->value;
  };
  EXPECT_DOUBLE_EQ(limit("chip-out-thickness"), 0.25);
  EXPECT_DOUBLE_EQ(limit("chip-out-width"), 0.40);
  EXPECT_DOUBLE_EQ(limit("chip-out-length"), 1.6);
}

TEST(Judge, LengthComesFromTheLine) {
  Mark mark = MarkOf("scratch");
  mark.at_mm = {{100, 120}, {130, 120}, {130, 160}};
  EXPECT_DOUBLE_EQ(MeasureOf("length", mark, DamagedBoard(), Calib::Embedded())->value, 70.0);
  mark.measures["length"] = {65.0, 2.0};
  EXPECT_DOUBLE_EQ(MeasureOf("length", mark, DamagedBoard(), Calib::Embedded())->value, 65.0);
}

TEST(Judge, OutcomesHaveTheirWords) {
  const std::vector<std::array<const char*, 2>> words = {{"acceptable", "acceptable"},
                                                         {"process-indicator", "process indicator"},
                                                         {"cannot-tell", "cannot tell yet"},
                                                         {"defect", "defect"}};
  std::size_t row = 0;
  for (const Outcome outcome :
       {Outcome::kAcceptable, Outcome::kProcessIndicator, Outcome::kCannotTell, Outcome::kDefect}) {
    EXPECT_STREQ(Name(outcome), words[row][0]);
    EXPECT_STREQ(Plain(outcome), words[row][1]);
    ++row;
  }
}

// What is sized by the part is not known where the part's sizes are not.
TEST(Judge, APartWithoutSizesGivesNone) {
  Board board = DamagedBoard();
  board.parts[1].size_mm.reset();
  const Mark mark = MarkOf("chipped-part", {}, {}, "C1");
  const auto measure = [&](const char* name) {
    return MeasureOf(name, mark, board, Calib::Embedded());
  };
  EXPECT_FALSE(measure("chip-length"));
  EXPECT_FALSE(measure("chip-width"));
  EXPECT_EQ(measure("chip-thickness")->value, 1.0);
  board.parts[1].height_mm.reset();
  EXPECT_FALSE(measure("chip-thickness"));
  EXPECT_FALSE(MeasureOf("length", MarkOf("scratch"), board, Calib::Embedded())) << "a point";
  EXPECT_EQ(MeasureOf("board-area", mark, board, Calib::Embedded())->value, 300.0 * 240.0);
}

}  // namespace
}  // namespace lieflat
