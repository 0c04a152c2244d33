// What is asked for, what is too close to call, and what follows from what is known already.

#include <array>

#include <gtest/gtest.h>

#include "lieflat/base/text.h"

#include "damage/marks.h"

#include "support/memory_disk.h"

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
  EXPECT_THROW((void)Name(static_cast<Outcome>(4)), std::logic_error);
  EXPECT_THROW((void)Plain(static_cast<Outcome>(4)), std::logic_error);
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

// A section that was measured counts once the least section is known (IPC-6012C 3.5.3: a fifth may
// be lost): until then the width alone decides.
TEST(Judge, AnOptionalMeasureWaitsForWhatItIsAShareOf) {
  Mark mark = MarkOf("conductor-cut",
                     {{"width-left", 1.0}, {"minimum-width", 1.0}, {"section-left", 0.05}});
  EXPECT_EQ(JudgeIt(mark).outcome, Outcome::kAcceptable);
  mark.measures["minimum-section"] = {0.1, 0.0};
  EXPECT_EQ(JudgeIt(mark).outcome, Outcome::kDefect);
  mark.measures.erase("section-left");
  EXPECT_EQ(JudgeIt(mark).outcome, Outcome::kAcceptable);
}

// The words of a reason: the figure, its unit, and what is asked, from above or from below.
TEST(Judge, ReasonsNameFigureAndLimit) {
  const auto reason = [](const Mark& mark) {
    const Judgement out = JudgeIt(mark);
    return out.reasons.empty() ? std::string() : out.reasons.front();
  };
  EXPECT_EQ(reason(MarkOf("edge-nick", {{"nick-depth", 2.6}})),
            "nick against the distance to the nearest conductor: 2.6 mm, over 2.5 whatever else");
  EXPECT_TRUE(reason(MarkOf("bent-pin", {{"pin-offset", 0.4}, {"pin-thickness", 0.64}}))
                  .ends_with(": 0.4 mm, at most 0.32 asked"));
  EXPECT_TRUE(reason(MarkOf("mask-flaw", {{"exposed-gap", 0.4}}))
                  .ends_with(": 0.4 mm, at least 0.5 asked"));
  EXPECT_TRUE(reason(MarkOf("haloing", {{"halo-width", 1.0}, {"conductor-clearance", 0.1}}))
                  .ends_with(": 0.1 mm, more than 0.127 asked"));
}

// Too close to call says how close, and asks for nothing else; an interval that only just clears
// the limit does not.
TEST(Judge, TooCloseSaysWhatToReadAgain) {
  Mark mark = MarkOf("mask-flaw");
  mark.measures["exposed-gap"] = {0.45, 0.1};
  const Judgement out = JudgeIt(mark);
  EXPECT_EQ(out.outcome, Outcome::kCannotTell);
  ASSERT_EQ(out.missing.size(), 1U);
  EXPECT_TRUE(out.missing.front().starts_with("a closer reading of the "));
  EXPECT_TRUE(out.missing.front().ends_with(": 0.45 +- 0.1 is too close to 0.5 mm to call"))
      << out.missing.front();
  EXPECT_TRUE(out.reasons.empty());
  mark.measures["exposed-gap"] = {0.39, 0.1};
  EXPECT_EQ(JudgeIt(mark).outcome, Outcome::kDefect);
  mark.measures["exposed-gap"] = {0.61, 0.1};
  EXPECT_EQ(JudgeIt(mark).outcome, Outcome::kAcceptable);
  // Not even the largest limit that a conductor far away would allow: 2.6 less 0.05 is over 2.5 mm,
  // 2.6 less 0.2 is not.
  Mark nick = MarkOf("edge-nick");
  nick.measures["nick-depth"] = {2.6, 0.05};
  EXPECT_EQ(JudgeIt(nick).outcome, Outcome::kDefect);
  nick.measures["nick-depth"] = {2.6, 0.2};
  EXPECT_EQ(JudgeIt(nick).outcome, Outcome::kCannotTell);
}

// The worst finding decides, and only its reasons and sources are given, each once.
TEST(Judge, OnlyWhatDecidedIsGiven) {
  const Judgement nick =
      JudgeIt(MarkOf("edge-nick", {{"nick-depth", 0.1}, {"conductor-distance", 9.0}}, {"frayed"}));
  EXPECT_EQ(nick.outcome, Outcome::kDefect);
  EXPECT_EQ(nick.reasons.size(), 1U);
  EXPECT_TRUE(nick.missing.empty());
  // Twisted and of another height: two reasons of one clause.
  const Judgement pin = JudgeIt(MarkOf("bent-pin", {}, {"twisted", "height-off"}));
  EXPECT_EQ(pin.reasons.size(), 2U);
  EXPECT_EQ(pin.source.find(';'), std::string::npos) << pin.source;
  // No criterion speaks of the side where pins go in for class 1 (IPC-A-610F 4.3.2).
  const Judgement none = Judge(
      MarkOf("press-fit-land", {}, {"insertion-side"}), DamagedBoard(1), "yes", Calib::Embedded());
  EXPECT_EQ(none.missing,
            std::vector<std::string>{"no criterion is published for class 1: judge by "
                                     "form, fit and function"});
  EXPECT_EQ(none.source, "none found");
}

// Each flag that asks is the one that answers: length and width have their own.
TEST(Judge, AsksByTheFlagThatAnswers) {
  const Board bare = DamagedBoard(2, false);
  const auto missing = [&](const Calib& calib) {
    return Join(Judge(MarkOf("pit"), bare, "yes", calib).missing, "; ");
  };
  EXPECT_NE(missing(Calib::Embedded()).find("length of the mark (--length)"), std::string::npos);
  Json document = Calib::Embedded().Document("damage_criteria");
  document["criteria"]["pit-length"]["measure"] = "width";
  testing::MemoryDisk disk;
  disk.Put("own/damage_criteria.json", DumpJson(document));
  const auto own = Calib::WithFolder(disk, "own");
  ASSERT_TRUE(own) << own.error().Text();
  EXPECT_NE(missing(*own).find("width of the mark (--width)"), std::string::npos) << missing(*own);
}

// The limit of a criterion by itself, and where there is none: a criterion without a measure, one
// that has no say in the class, one that only names an outcome there.
TEST(Limits, OfOneCriterion) {
  const auto limit = [](const char* criterion, int of_class, const Mark& mark) {
    return LimitOfCriterion(criterion, mark, DamagedBoard(of_class), Calib::Embedded());
  };
  EXPECT_FALSE(limit("fibres-cut", 2, MarkOf("scratch")));
  EXPECT_FALSE(limit("measling-spread", 1, MarkOf("measling")));
  EXPECT_FALSE(limit("thread-short", 1, MarkOf("thread-length")));
  const auto showing = limit("thread-short", 2, MarkOf("thread-length"));
  EXPECT_TRUE(showing->known);
  EXPECT_FALSE(showing->upper);
  EXPECT_FALSE(showing->strict);
  EXPECT_EQ(showing->value, 1.5);
  const auto clearance = limit("halo-clearance", 2, MarkOf("haloing"));
  EXPECT_TRUE(clearance->strict);
  EXPECT_FALSE(clearance->upper);
  EXPECT_EQ(clearance->value, 0.127);
  // Half of 4.0 +- 0.4 mm; of 8 mm the largest that is allowed anyway, 2.5 mm, which is exact.
  Mark nick = MarkOf("edge-nick");
  EXPECT_FALSE(limit("edge-nick-depth", 2, nick)->known);
  EXPECT_EQ(limit("edge-nick-depth", 2, nick)->most, 2.5);
  nick.measures["conductor-distance"] = {4.0, 0.4};
  EXPECT_DOUBLE_EQ(limit("edge-nick-depth", 2, nick)->value, 2.0);
  EXPECT_DOUBLE_EQ(limit("edge-nick-depth", 2, nick)->u95, 0.2);
  nick.measures["conductor-distance"] = {8.0, 0.4};
  EXPECT_EQ(limit("edge-nick-depth", 2, nick)->value, 2.5);
  EXPECT_EQ(limit("edge-nick-depth", 2, nick)->u95, 0.0);
  nick.measures["conductor-distance"] = {5.0, 0.4};  // both alike: half of it is still not exact
  EXPECT_EQ(limit("edge-nick-depth", 2, nick)->value, 2.5);
  EXPECT_DOUBLE_EQ(limit("edge-nick-depth", 2, nick)->u95, 0.2);
  // 3 mm and one and a half threads of 0.5 +- 0.02 mm.
  Mark screw = MarkOf("thread-length");
  screw.measures["thread-pitch"] = {0.5, 0.02};
  EXPECT_DOUBLE_EQ(limit("thread-long-short-screw", 2, screw)->value, 3.75);
  EXPECT_DOUBLE_EQ(limit("thread-long-short-screw", 2, screw)->u95, 0.03);
  // What is left of a conductor: 80 % of the least width, itself 80 % of 0.25 +- 0.01 mm as drawn.
  Mark cut = MarkOf("conductor-cut");
  cut.measures["conductor-width"] = {0.25, 0.01};
  EXPECT_DOUBLE_EQ(limit("conductor-width", 2, cut)->value, 0.8 * 0.8 * 0.25);
  EXPECT_DOUBLE_EQ(limit("conductor-width", 2, cut)->u95, 0.8 * 0.8 * 0.01);
  EXPECT_FALSE(limit("conductor-width", 2, cut)->upper);
  EXPECT_EQ(limit("bare-copper-share", 3, MarkOf("exposed-copper"))->value, 1.0);
}

// Lifted by no more than its thickness a land is a process indicator, by more a defect (IPC-A-610
// 10.3.2, from memory).
TEST(Judge, ALandMayLiftByItsThickness) {
  const auto outcome = [](double lift_mm) {
    return JudgeIt(MarkOf("lifted-land", {{"lift", lift_mm}, {"land-thickness", 0.035}})).outcome;
  };
  EXPECT_EQ(outcome(0.035), Outcome::kProcessIndicator);
  EXPECT_EQ(outcome(0.036), Outcome::kDefect);
}

// Of what a limit is a share is asked for where the limit has no upper end: a bent pin's thickness.
TEST(Judge, AShareOfWhatIsNotKnownIsAskedFor) {
  const Judgement pin = JudgeIt(MarkOf("bent-pin", {{"pin-offset", 9.0}}));
  EXPECT_EQ(pin.outcome, Outcome::kCannotTell);
  ASSERT_EQ(pin.missing.size(), 1U);
  EXPECT_NE(pin.missing.front().find("--measure pin-thickness=..."), std::string::npos);
  // A conductor's least width follows from its width as drawn, so that is what is asked for.
  const Judgement cut = JudgeIt(MarkOf("conductor-cut", {{"width-left", 0.2}}));
  ASSERT_EQ(cut.missing.size(), 1U);
  EXPECT_NE(cut.missing.front().find("--measure conductor-width=..."), std::string::npos);
}

// A screw whose length is not told counts as one up to 25 mm: 3 mm and one and a half threads
// (IPC-A-610F 4.1.5).
TEST(Judge, AScrewOfUnknownLengthCountsAsShort) {
  const auto outcome = [](double beyond_mm) {
    return JudgeIt(MarkOf("thread-length", {{"thread-beyond", beyond_mm}, {"thread-pitch", 0.5}}))
        .outcome;
  };
  EXPECT_EQ(outcome(3.75), Outcome::kAcceptable);
  EXPECT_EQ(outcome(3.76), Outcome::kDefect);
}

// No number is published for pits of boards with parts: they may stay while the board works (common
// practice); the limits of bare boards have no say.
TEST(Judge, APitOfABoardWithPartsMayStayWhileItWorks) {
  const Mark pit = MarkOf("pit", {{"length", 5.0}, {"area", 9000.0}}, {"bridging"});
  EXPECT_EQ(JudgeIt(pit, "yes").outcome, Outcome::kAcceptable);
  const Judgement untested = JudgeIt(pit, "untested");
  EXPECT_EQ(untested.outcome, Outcome::kCannotTell);
  EXPECT_EQ(untested.missing,
            std::vector<std::string>{"a power-on test (lieflat works): it may stay if it works"});
  EXPECT_NE(JudgeIt(pit, "no").missing.front().find("whether the fault of the board lies here"),
            std::string::npos);
  EXPECT_EQ(JudgeIt(MarkOf("crack")).reasons,
            std::vector<std::string>{
                Calib::Embedded().Text("damage_criteria", "/criteria/crack-in-laminate/label")});
  EXPECT_EQ(JudgeIt(MarkOf("burn", {}, {"discoloured-only"})).reasons,
            std::vector<std::string>{
                Calib::Embedded().Text("damage_criteria", "/criteria/burn-damage/label")});
}

}  // namespace
}  // namespace lieflat
