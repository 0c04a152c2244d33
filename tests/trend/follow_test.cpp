// A board followed over its holds: what is compared with what, and what is said of it.

#include "lieflat/trend/follow.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace lieflat {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;

const Calib& calib() { return Calib::Embedded(); }

/// Hours after an evening in March.
Instant After(double hours) {
  return Instant{1772481600 + static_cast<std::int64_t>(hours * 3600.0), 60};
}

DatedReading Read(const std::string& id,
                  double hours,
                  double mm,
                  const std::string& like = "upright") {
  return {id, After(hours), like, {}, {{"bow BC", 0.3, 0.05}, {"bow AB", mm, 0.05}}};
}

LoggedHold Held(double from, double to) {
  LoggedHold hold;
  hold.id = "h";
  hold.way = "weights";
  hold.from = After(from);
  hold.to = After(to);
  return hold;
}

Following Followed(const std::vector<DatedReading>& readings,
                   const std::vector<LoggedHold>& holds) {
  auto out = Follow(readings, holds, {}, calib());
  EXPECT_TRUE(out) << out.error().Text();
  return *out;
}

std::vector<std::string> StatesOf(const Following& out) {
  std::vector<std::string> states;
  for (const auto& reading : out.readings) states.push_back(reading.state);
  return states;
}

// Just freed: under 1 h; rested: from 12 h on (calib/trend.json).
TEST(Follow, StatesByTheTimeSinceRelease) {
  const auto out = Followed({Read("e5", 36.0, 4.9),
                             Read("e1", 0.0, 5.0),
                             Read("e2", 24.5, 4.6),
                             Read("e3", 26.0, 4.8),
                             Read("e4", 20.0, 4.0)},
                            {Held(12.0, 24.0)});
  EXPECT_THAT(StatesOf(out), ElementsAre("first", "just-freed", "between", "rested"));
  EXPECT_THAT(out.passed_over, ElementsAre(HasSubstr("e4: read while it was held")));
  EXPECT_EQ(out.figure, "bow AB") << "the larger";
  EXPECT_NEAR(*out.change.mm, -0.1, 1e-12);
  EXPECT_NEAR(*out.change.freed_mm, -0.4, 1e-12);
  EXPECT_FALSE(out.change.detectable);
}

// Two means of 3 and of 2 readings, s = 0.05, t(6) = 2.447: 2.447 x 0.05 x sqrt(1/3 + 1/2) = 0.112
// mm (NIST/SEMATECH e-Handbook, 7.3.1).
TEST(Follow, ChangeAgainstNoise) {
  std::vector<DatedReading> readings = {
      Read("e1", 0, 5.0), Read("e2", 0.1, 5.02), Read("e3", 0.2, 4.98)};
  readings.push_back(Read("e4", 40, 4.9));
  readings.push_back(Read("e5", 40.1, 4.9));
  const auto out = Followed(readings, {Held(12, 24)});
  EXPECT_NEAR(*out.change.noise_mm, 0.112, 5e-4);
  EXPECT_NEAR(*out.change.mm, -0.1, 1e-12);
  EXPECT_FALSE(out.change.detectable);
}

TEST(Follow, WhicheverWayItBends) {
  const std::vector<LoggedHold> holds = {Held(12, 24)};
  const auto up = Followed({Read("e1", 0, 5.0), Read("e2", 40, 4.7)}, holds);
  const auto down = Followed({Read("e1", 0, -5.0), Read("e2", 40, -4.7)}, holds);
  EXPECT_NEAR(*up.change.mm, *down.change.mm, 1e-12);
  EXPECT_NEAR(up.forecast[1].p50, down.forecast[1].p50, 1e-9);
}

TEST(Follow, LikeWithLike) {
  const auto out = Followed(
      {Read("e1", 0, 5.0), Read("e2", 0.1, 5.0), Read("e3", 40, 3.0, "table"), Read("e4", 41, 4.9)},
      {Held(12, 24)});
  EXPECT_THAT(out.readings, SizeIs(3));
  EXPECT_THAT(out.passed_over, ElementsAre(HasSubstr("e3: read otherwise: table")));
}

TEST(Follow, WithoutAReadingBeforeNobodyCanTell) {
  const auto out = Followed({Read("e1", 40, 4.9)}, {Held(12, 24)});
  EXPECT_THAT(out.change.why, HasSubstr("nobody can tell what it did"));
  EXPECT_FALSE(out.change.mm);
  EXPECT_TRUE(out.forecast.empty());
  EXPECT_FALSE(Follow({}, {Held(12, 24)}, {}, calib())) << "nothing was read at all";
}

// Readings alone, or a hold that is still on, have no pace: nothing is foreseen, nothing judged.
TEST(Follow, BeforeAHoldIsOverNothingIsForeseen) {
  LoggedHold open = Held(12.0, 24.0);
  open.to.reset();
  for (const std::vector<LoggedHold>& holds : {std::vector<LoggedHold>{}, {open}}) {
    const auto out = Followed({Read("e1", 0.0, 5.0), Read("e2", 1.0, 5.0)}, holds);
    EXPECT_TRUE(out.forecast.empty());
    EXPECT_EQ(out.stop.rule, "go-on");
    EXPECT_EQ(out.stop.why, "no hold is over yet: there is nothing to judge");
  }
  EXPECT_FALSE(Followed({Read("e1", 0.0, 5.0)}, {Held(12.0, 24.0)}).forecast.empty());
}

// 1.1 mm at one go, without a hold between or over one night at room temperature: no creep does
// that.
TEST(Follow, StepsAreNoCreep) {
  const auto loose = Followed({Read("e1", 0, 5.0), Read("e2", 72, 3.9)}, {});
  ASSERT_THAT(loose.steps, SizeIs(1));
  EXPECT_THAT(loose.steps.front(), HasSubstr("without being held"));
  EXPECT_EQ(loose.stop.rule, "step");
  const auto held = Followed({Read("e1", 0, 5.0), Read("e2", 40, 3.9)}, {Held(12, 24)});
  ASSERT_THAT(held.steps, SizeIs(1));
  EXPECT_THAT(held.steps.front(), HasSubstr("more than creep explains"));
  EXPECT_TRUE(Followed({Read("e1", 0, 5.0), Read("e2", 40, 4.85)}, {Held(12, 24)}).steps.empty());
}

// The law of creep is weighed by what the board kept: one that kept more than was thought will keep
// more of the next hold too.
TEST(Follow, ItsOwnReadingsCount) {
  const std::vector<LoggedHold> holds = {Held(12, 24), Held(60, 72), Held(108, 120)};
  const auto kept = [&](double rested) {
    return Followed({Read("e1", 0, 5.0),
                     Read("e2", 0.1, 5.0),
                     Read("e3", 140, rested),
                     Read("e4", 140.1, rested)},
                    holds)
        .kept.value();
  };
  const auto much = kept(4.7), little = kept(5.0);
  EXPECT_GT(much.with_readings.p50, much.foreseen.p50);
  EXPECT_LT(little.with_readings.p50, much.with_readings.p50);
  EXPECT_GT(much.next_hold.p50, little.next_hold.p50);
  EXPECT_EQ(much.foreseen.p50, little.foreseen.p50);
}

TEST(Stop, RiskGoesBeforeAll) {
  StopQuestion question;
  question.fatigue_used = 0.11;
  question.step = "it jumped";
  EXPECT_EQ(DecideStop(question, calib()).rule, "risk");
  question.fatigue_used = 0.10;
  EXPECT_EQ(DecideStop(question, calib()).rule, "step") << "a tenth itself may be used";
  question.step.clear();
  question.worst_share = 1.01;
  EXPECT_EQ(DecideStop(question, calib()).rule, "risk");
  question.worst_share = 1.0;
  EXPECT_EQ(DecideStop(question, calib()).rule, "go-on");
}

TEST(Stop, WorseWhenItGrows) {
  std::vector<DatedReading> readings = {Read("e1", 0, 5.0), Read("e2", 0.1, 5.0)};
  std::vector<LoggedHold> holds;
  for (int k = 0; k < 5; ++k) {
    holds.push_back(Held(24.0 * k + 2.0, 24.0 * k + 12.0));
    readings.push_back(Read("e" + std::to_string(k + 3), 24.0 * k + 25.0, 5.15 + 0.06 * k));
  }
  EXPECT_EQ(Followed(readings, holds).stop.rule, "worse");
}

}  // namespace
}  // namespace lieflat
