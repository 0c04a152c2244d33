// What damage does to the parts beside it and to pressing.

#include "lieflat/damage/effect.h"

#include <gtest/gtest.h>

#include "damage/marks.h"

namespace lieflat {
namespace {

using testing::DamagedBoard;
using testing::MarkOf;

const Calib& calib() { return Calib::Embedded(); }

/// Pressing flat stretches the component side along x by so much, and squeezes the other.
StrainWhenFlat StretchAlongX(double strain) {
  return [strain](const Eigen::Vector2d&, Side face) {
    const double sign = face == Side::kComponent ? 1.0 : -1.0;
    return std::optional<Eigen::Vector3d>({sign * strain, 0.0, 0.0});
  };
}

Mark Crack(double angle_deg, const char* depth, std::optional<Side> side) {
  Mark mark = MarkOf("crack", {}, {}, "", depth);
  const double angle = angle_deg * 3.14159265358979 / 180.0;
  mark.at_mm.push_back(mark.at_mm.front() +
                       Eigen::Vector2d(10.0 * std::cos(angle), 10.0 * std::sin(angle)));
  mark.side = side;
  return mark;
}

bool Blocked(const Mark& mark, const StrainWhenFlat& strain) {
  return !BlocksOf(mark, DamagedBoard(), strain, calib()).empty();
}

// Strain across a line at angle a to x is e sin^2 a (Mohr's circle): it opens the crack where it is
// tension and over the threshold, 25 microstrain.
TEST(Blocks, ACrackAcrossTheTension) {
  const auto pull = StretchAlongX(100e-6);
  EXPECT_TRUE(Blocked(Crack(90, "laminate", Side::kComponent), pull));
  EXPECT_FALSE(Blocked(Crack(0, "laminate", Side::kComponent), pull)) << "it runs along the pull";
  EXPECT_FALSE(Blocked(Crack(90, "laminate", Side::kSolder), pull)) << "that face is squeezed";
  EXPECT_TRUE(Blocked(Crack(90, "through", Side::kSolder), pull)) << "it reaches the other face";
  EXPECT_TRUE(Blocked(Crack(31, "laminate", Side::kComponent), pull)) << "sin^2 31 = 0.265";
  EXPECT_FALSE(Blocked(Crack(29, "laminate", Side::kComponent), pull)) << "sin^2 29 = 0.235";
  EXPECT_FALSE(Blocked(Crack(90, "through", {}), StretchAlongX(20e-6)));
}

TEST(Blocks, WhatIsNotKnownBlocks) {
  EXPECT_TRUE(Blocked(Crack(0, "laminate", Side::kComponent), {})) << "no bend is measured";
  EXPECT_TRUE(Blocked(MarkOf("crack"), StretchAlongX(100e-6))) << "no direction on record";
  EXPECT_FALSE(Blocked(MarkOf("crack"), StretchAlongX(1e-6))) << "nothing is stretched";
}

TEST(Blocks, LiftedLandsAndCrackedCeramics) {
  const auto none = StretchAlongX(0.0);
  EXPECT_TRUE(Blocked(MarkOf("lifted-land", {}, {}, "U2"), none));
  EXPECT_FALSE(Blocked(MarkOf("lifted-land", {}, {"unloaded"}, "U2"), none));
  EXPECT_FALSE(Blocked(MarkOf("lifted-land"), none)) << "nothing is soldered to it";
  EXPECT_TRUE(Blocked(MarkOf("cracked-part", {}, {}, "C1"), none));
  EXPECT_FALSE(Blocked(MarkOf("cracked-part", {}, {}, "J1"), none)) << "no ceramic";
  EXPECT_FALSE(Blocked(MarkOf("conductor-cut", {}, {}, "U1"), none)) << "repair work, no block";
}

TEST(Blocks, RepairLiftsThemAcceptanceDoesNot) {
  Mark mark = MarkOf("lifted-land", {}, {}, "U2");
  mark.state = MarkState::kRepaired;
  EXPECT_FALSE(Blocked(mark, {}));
  mark.state = MarkState::kAccepted;
  EXPECT_TRUE(Blocked(mark, {}));
}

// U1 spans x 102.5 to 137.5, y 122.5 to 157.5; "beside" is 15 mm.
TEST(Beside, ByTheDistanceToTheOutline) {
  const auto beside = [&](Eigen::Vector2d from, std::optional<Eigen::Vector2d> to) {
    Mark mark = MarkOf("crack");
    mark.at_mm = {from};
    if (to) mark.at_mm.push_back(*to);
    return PartsBeside(mark, DamagedBoard(), calib());
  };
  using Refs = std::vector<std::string>;
  EXPECT_EQ(beside({152.4, 140}, {}), Refs{"U1"});
  EXPECT_EQ(beside({152.6, 140}, {}), Refs{});
  EXPECT_EQ(beside({120, 140}, {}), Refs{"U1"}) << "under it";
  EXPECT_EQ(beside({90, 100}, {{160, 180}}), Refs{"U1"}) << "across it, both ends away";
  EXPECT_EQ(beside({90, 116}, {{160, 116}}), Refs{"U1"}) << "past a side";
  Mark named = MarkOf("crack", {}, {}, "J1");
  EXPECT_EQ(PartsBeside(named, DamagedBoard(), calib()), (Refs{"J1", "U1"})) << "at 150, 120";
}

// Halved once, however many marks there are; a scratch weakens nothing; a repair stays one.
TEST(Factors, OnceForEachPart) {
  Mark crack = MarkOf("crack", {}, {}, "U1"), blister = MarkOf("delamination", {}, {}, "U1");
  Mark scratch = MarkOf("scratch", {}, {}, "U2");
  crack.state = MarkState::kRepaired;
  const auto judged = JudgeMarks({crack, blister, scratch}, DamagedBoard(), "yes", {}, calib());
  const auto factors = LimitFactors(judged);
  EXPECT_EQ(factors, (std::map<std::string, double>{{"U1", 0.5}}));
  EXPECT_EQ(judged[2].number, 3);
  EXPECT_EQ(judged[2].limit_factor, 1.0);
}

}  // namespace
}  // namespace lieflat
