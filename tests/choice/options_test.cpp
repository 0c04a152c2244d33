// The options side by side: what stays, what it risks, what stands in the way.

#include "lieflat/choice/options.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

struct Bent {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  Flatness flatness;
  std::vector<PartRating> parts;
  std::vector<JudgedMark> marks;
  std::vector<std::string> skills;
  std::optional<std::vector<std::string>> tools;
  double any_damage = 0.0;

  /// 1.7 % of bow along AB, hardly any twist; a board of fifteen years for a case.
  Bent() {
    board.need = "case";
    constexpr double kPercent = 1.7;
    flatness.bow_measured = flatness.twist_measured = true;
    flatness.bow_percent = kPercent;
    flatness.bow_percent95 = {kPercent - 0.05, kPercent + 0.05};
    flatness.twist_percent = 0.1;
    flatness.twist_percent95 = {0.05, 0.15};
    flatness.bow_verdict = Verdict::kOver;
    flatness.twist_verdict = Verdict::kWithin;
    EdgeBow edge;
    edge.known = true;
    edge.gap_mm = kPercent / 100.0 * 305.0;
    edge.gap_u95_mm = 0.15;
    flatness.edges = {edge};
  }

  [[nodiscard]] std::vector<Option> Options() const {
    constexpr double kFifteenYears = 15 * 365.25;
    return ListOptions({board,
                        flatness,
                        parts,
                        any_damage,
                        marks,
                        {board.laminate.tg_c, false, kFifteenYears},
                        skills,
                        tools},
                       Calib::Embedded());
  }
};

const Option& Named(const std::vector<Option>& options, const std::string& name) {
  return *std::find_if(
      options.begin(), options.end(), [&](const Option& option) { return option.name == name; });
}

PartRating Rated(const char* ref, double share) {
  PartRating part;
  part.ref = ref;
  part.measured = true;
  part.share = share;
  return part;
}

// Bow after = bow now (1 - what stays), draw by draw: at the medians to a few parts in a hundred.
TEST(Options, BowAfterIsWhatDoesNotStay) {
  Bent bent;
  bent.parts = {Rated("J1", 0.2)};
  const auto options = bent.Options();
  for (const char* name : {"press-cold", "press-warm", "strip-and-bake"}) {
    const Option& option = Named(options, name);
    ASSERT_TRUE(option.bow_after_percent) << name;
    const double expected = 1.7 * (1 - option.lasting_fraction.p50);
    EXPECT_NEAR(option.bow_after_percent->p50, expected, 0.03 * 1.7) << name;
    EXPECT_LE(option.bow_after_percent->p5, option.bow_after_percent->p50);
    EXPECT_GE(option.bow_after_percent->p95, option.bow_after_percent->p50);
    // 5.185 mm of gap; draws of it carry what is not known of the gap.
    EXPECT_NEAR(option.gain_mm.p50, 5.185 * option.lasting_fraction.p50, 0.01 * 5.185) << name;
    EXPECT_LT(option.gain_mm.p5, option.gain_mm.p50);
    EXPECT_GT(option.gain_mm.p95, option.gain_mm.p50);
    EXPECT_GE(option.just_freed.p50, option.lasting_fraction.p50);
  }
  EXPECT_NEAR(Named(options, "leave").bow_after_percent->p50, 1.7, 0.01);
  EXPECT_EQ(Named(options, "leave").lasting_fraction.p95, 0.0);
  EXPECT_LT(Named(options, "press-cold").lasting_fraction.p50,
            Named(options, "press-warm").lasting_fraction.p50);
  EXPECT_LT(Named(options, "press-warm").lasting_fraction.p50,
            Named(options, "strip-and-bake").lasting_fraction.p50);
}

// A week at room temperature keeps less than a gauge can tell; that alone speaks against it.
TEST(Options, ColdGainCannotBeRead) {
  Bent bent;
  bent.parts = {Rated("J1", 0.2)};
  const auto why =
      AgainstPressing(Named(bent.Options(), "press-cold"), "common", Calib::Embedded());
  ASSERT_TRUE(why);
  EXPECT_NE(why->find("cannot be read"), std::string::npos) << *why;
}

TEST(Options, ChanceOfDamageByWorth) {
  Option option;
  option.name = "press-warm";
  option.gain_mm = {1.0, 1.0, 1.0};
  const Calib& calib = Calib::Embedded();
  for (const auto& [worth, most] : {std::pair{"common", 0.05}, {"scarce", 0.03}, {"rare", 0.02}}) {
    option.damage_probability = most - 0.001;
    EXPECT_FALSE(AgainstPressing(option, worth, calib)) << worth;
    option.damage_probability = most + 0.001;
    EXPECT_TRUE(AgainstPressing(option, worth, calib)) << worth;
  }
}

TEST(Options, WhatBlocks) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  JudgedMark crack;
  crack.number = 1;
  crack.mark.kind = "crack";
  crack.blocks = {{{"press-cold", "press-warm", "strip-and-bake"}, "pressing opens it"}};
  bent.marks = {crack};
  Part battery;
  battery.ref = "BT1";
  battery.part_class = "battery";
  bent.board.parts = {battery};
  const auto options = bent.Options();
  EXPECT_NE(Named(options, "press-cold").blocked_by.front().find("mark 1"), std::string::npos);
  const auto& warm = Named(options, "press-warm").blocked_by;
  EXPECT_TRUE(std::any_of(warm.begin(), warm.end(), [](const std::string& why) {
    return why.find("BT1") != std::string::npos;
  })) << "an old battery and heat (common practice)";
  EXPECT_FALSE(Named(options, "strip-and-bake").blocked_by.empty()) << "parts are on it";
  EXPECT_FALSE(Named(options, "mount").blocked_by.empty()) << "no holes on record";
  bent.parts = {PartRating{}};
  EXPECT_FALSE(Named(bent.Options(), "press-cold").blocked_by.empty())
      << "a bend that is not known";
  bent.parts.clear();
  EXPECT_FALSE(Named(bent.Options(), "press-cold").blocked_by.empty()) << "no part on record";
}

TEST(Options, NothingPressesABoardThatIsNotMeasured) {
  Bent bent;
  bent.flatness.twist_measured = false;
  for (const Option& option : bent.Options()) EXPECT_FALSE(option.presses()) << option.name;
}

TEST(Options, RareBoardsAreNeverSpares) {
  Bent bent;
  bent.board.worth = "rare";
  for (const Option& option : bent.Options()) EXPECT_NE(option.name, "spares");
}

}  // namespace
}  // namespace lieflat
