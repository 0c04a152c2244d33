// The options side by side: what stays, what it risks, what stands in the way.

#include "lieflat/choice/options.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "lieflat/base/text.h"

#include "support/memory_disk.h"

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

  [[nodiscard]] std::vector<Option> Options(const Calib& calib = Calib::Embedded()) const {
    constexpr double kFifteenYears = 15 * 365.25;
    return ListOptions({board,
                        flatness,
                        parts,
                        any_damage,
                        marks,
                        {board.laminate.tg_c, false, kFifteenYears},
                        skills,
                        tools},
                       calib);
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

// Held for a week, a day or two hours, then rested for a week (calib/choice.json).
TEST(Options, DaysAreThoseHeldAndRested) {
  Bent bent;
  bent.parts = {Rated("J1", 0.2)};
  const auto options = bent.Options();
  EXPECT_DOUBLE_EQ(Named(options, "press-cold").days, 14.0);
  EXPECT_DOUBLE_EQ(Named(options, "press-warm").days, 8.0);
  EXPECT_NEAR(Named(options, "strip-and-bake").days, 7.0 + 2.0 / 24.0, 1e-9);
  EXPECT_DOUBLE_EQ(Named(options, "leave").days, 0.0);
}

// A board that carries parts has to be stripped before the bake, listed or not.
TEST(Options, OnlyABareBoardIsBakedUnstripped) {
  const auto why = [](bool populated, std::vector<PartRating> parts) {
    Bent bent;
    bent.board.populated = populated;
    bent.parts = std::move(parts);
    const auto options = bent.Options();
    return Join(Named(options, "strip-and-bake").blocked_by, "; ");
  };
  EXPECT_EQ(why(false, {}).find("every part must come off"), std::string::npos);
  EXPECT_NE(why(true, {}).find("every part must come off"), std::string::npos);
  EXPECT_NE(why(false, {Rated("J1", 0.2)}).find("every part must come off"), std::string::npos);
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

bool Blocks(const std::vector<Option>& options, const std::string& name, const std::string& why) {
  const auto& blocked = Named(options, name).blocked_by;
  return std::any_of(blocked.begin(), blocked.end(), [&](const std::string& one) {
    return one.find(why) != std::string::npos;
  });
}

TEST(Options, WhatTheBenchAndTheLaminateAllow) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  bent.tools = std::vector<std::string>{"scale"};
  EXPECT_TRUE(Blocks(bent.Options(), "press-warm", "names nothing that keeps it warm"));
  EXPECT_TRUE(Blocks(bent.Options(), "strip-and-bake", "names no oven"));
  bent.tools = std::vector<std::string>{"warm-box"};
  EXPECT_FALSE(Blocks(bent.Options(), "press-warm", "names nothing that keeps it warm"));
  EXPECT_TRUE(Blocks(bent.Options(), "strip-and-bake", "names no oven"));
  bent.tools = std::vector<std::string>{"oven"};
  EXPECT_FALSE(Blocks(bent.Options(), "press-warm", "names nothing that keeps it warm"));
  EXPECT_FALSE(Blocks(bent.Options(), "strip-and-bake", "names no oven"));
  EXPECT_TRUE(Blocks(bent.Options(), "strip-and-bake", "names no rework"));
  bent.skills = {"rework"};
  EXPECT_TRUE(Blocks(bent.Options(), "strip-and-bake", "to the pads is not rated"));
  EXPECT_FALSE(Named(bent.Options(), "strip-and-bake").rated);
  EXPECT_FALSE(Blocks(bent.Options(), "strip-and-bake", "brown paper"));
  bent.board.laminate_name = "fr2";
  EXPECT_TRUE(Blocks(bent.Options(), "strip-and-bake", "brown paper laminate burns"));
  // A bare board of glass-epoxy has nothing to lose: it is rated, and nothing stands against it.
  Bent bare;
  bare.board.populated = false;
  EXPECT_TRUE(Named(bare.Options(), "strip-and-bake").rated);
  EXPECT_TRUE(Named(bare.Options(), "strip-and-bake").blocked_by.empty());
  EXPECT_TRUE(Named(bare.Options(), "press-cold").blocked_by.empty());
}

// A part that stands less than 70 C caps a warm hold; one that stands less than 40 C rules it out.
TEST(Options, TheMostDelicatePartCapsTheHeat) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  Part part;
  part.ref = "X1";
  part.part_class = "crystal";
  part.max_temperature_c = 55;
  bent.board.parts = {part};
  const Option warm = Named(bent.Options(), "press-warm");
  EXPECT_TRUE(warm.blocked_by.empty());
  EXPECT_NE(warm.how.find("held flat for 24 hours at 55 C"), std::string::npos) << warm.how;
  EXPECT_NE(warm.how.find(" (55 C: "), std::string::npos) << warm.how;
  bent.board.parts[0].max_temperature_c = 35;
  EXPECT_TRUE(Blocks(bent.Options(), "press-warm", "X1 allows 35 C at most"));
  bent.board.parts.clear();
  EXPECT_EQ(Named(bent.Options(), "press-warm").how.find("("), std::string::npos);
  EXPECT_TRUE(
      Named(bent.Options(), "press-cold").how.starts_with("held flat for 7 days at 23 C, "));
}

TEST(Options, WashersNeedACaseAndThreeHoles) {
  Bent bent;
  bent.board.holes.resize(3);
  for (Hole& hole : bent.board.holes) hole.use = "mount";
  EXPECT_TRUE(Named(bent.Options(), "mount").blocked_by.empty());
  bent.board.holes[2].use = "tooling";
  EXPECT_TRUE(Blocks(bent.Options(), "mount", "2 mounting holes are on record and it takes 3"));
  bent.board.need = "none";
  const auto options = bent.Options();
  EXPECT_TRUE(std::none_of(
      options.begin(), options.end(), [](const Option& one) { return one.name == "mount"; }));
  EXPECT_EQ(options.front().name, "use-as-is") << "over, and nothing needs it flat";
  bent.flatness.bow_verdict = Verdict::kWithin;
  EXPECT_EQ(bent.Options().front().name, "leave");
  bent.flatness.twist_verdict = Verdict::kOver;
  EXPECT_EQ(bent.Options().front().name, "use-as-is");
}

// Where most of the bend is twist, what stays is told of the twist: 4 mm at a corner against 0.1
// mm.
TEST(Options, ATwistedBoardIsToldByItsTwist) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  bent.flatness.twist_q_mm = -4.0;
  bent.flatness.twist_q_u95_mm = 0.1;
  bent.flatness.edges[0].gap_mm = 0.1;
  EdgeBow unread;
  unread.gap_mm = 40.0;
  bent.flatness.edges.push_back(unread);
  const Option warm = Named(bent.Options(), "press-warm");
  EXPECT_NEAR(warm.gain_mm.p50, 4.0 * warm.lasting_fraction.p50, 0.04);
  bent.flatness.edges[1].known = true;
  const Option by_bow = Named(bent.Options(), "press-warm");
  EXPECT_NEAR(by_bow.gain_mm.p50, 40.0 * by_bow.lasting_fraction.p50, 0.4);
}

TEST(Options, ANightIsLessThanAWeekAndNeedsBothFigures) {
  Bent bent;
  const OptionInputs inputs{bent.board,
                            bent.flatness,
                            bent.parts,
                            0.0,
                            bent.marks,
                            {bent.board.laminate.tg_c, false, 15 * 365.25},
                            bent.skills,
                            bent.tools};
  const auto night = NightGain(inputs, Calib::Embedded());
  ASSERT_TRUE(night);
  EXPECT_GT(night->p50, 0.0);
  EXPECT_LT(night->p50, Named(bent.Options(), "press-cold").gain_mm.p50);
  bent.flatness.bow_measured = false;
  EXPECT_FALSE(NightGain(inputs, Calib::Embedded()));
}

TEST(Options, ABendBeyondWhatIsAllowedSpeaksAgainstIt) {
  Option option;
  option.name = "press-warm";
  option.gain_mm = {1.0, 1.0, 1.0};
  option.worst_share = 1.0;
  EXPECT_FALSE(AgainstPressing(option, "common", Calib::Embedded()));
  option.worst_share = 1.25;
  EXPECT_EQ(AgainstPressing(option, "common", Calib::Embedded()),
            "a part would take 130 % of its allowed bend");
  option.damage_probability = 0.1;
  EXPECT_EQ(AgainstPressing(option, "common", Calib::Embedded()),
            "the chance of damage to a part is about 1 in 10, more than 5 in 100 for a common "
            "board");
  option.blocked_by = {"mark 1"};
  EXPECT_EQ(AgainstPressing(option, "common", Calib::Embedded()), "mark 1");
  Limit limit;
  limit.percent = 0.75;
  EXPECT_FALSE(WouldStayOver(option, limit));
  option.twist_after_percent = Triple{0.1, 0.8, 0.9};
  EXPECT_TRUE(WouldStayOver(option, limit));
  option.twist_after_percent->p50 = 0.75;
  EXPECT_FALSE(WouldStayOver(option, limit)) << "at the limit is within";
}

// 5 and 95 % of a normal figure lie 1.645 standard deviations off, 95 % of it within 1.96: of
// 1.7 +- 0.05 % these are 1.658 and 1.742. Nothing is pressed, so nothing else is uncertain.
TEST(Options, WhatIsLeftAloneKeepsItsInterval) {
  Bent bent;
  bent.parts = {Rated("J1", 0.2)};
  const auto options = bent.Options();
  for (const char* name : {"leave", "set-aside", "sell", "spares", "mount"}) {
    const Option& option = Named(options, name);
    constexpr double kTol = 0.004;  // 2000 draws: a tenth of the distance
    EXPECT_NEAR(option.bow_after_percent->p5, 1.7 - 1.645 * 0.05 / 1.96, kTol) << name;
    EXPECT_NEAR(option.bow_after_percent->p95, 1.7 + 1.645 * 0.05 / 1.96, kTol) << name;
    EXPECT_NEAR(option.twist_after_percent->p50, 0.1, kTol) << name;
    EXPECT_FALSE(option.presses());
    EXPECT_EQ(option.worst_share, 0.0);
  }
  bent.flatness.twist_measured = false;
  EXPECT_FALSE(Named(bent.Options(), "leave").twist_after_percent);
  EXPECT_TRUE(Named(bent.Options(), "leave").bow_after_percent);
  bent.flatness.bow_measured = false;
  EXPECT_FALSE(Named(bent.Options(), "leave").bow_after_percent);
}

// Bow and twist relax by laws of their own; after the press what did not stay is left of each.
TEST(Options, TwistAfterIsWhatDoesNotStay) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  bent.flatness.twist_percent = 1.2;
  bent.flatness.twist_percent95 = {1.15, 1.25};
  bent.flatness.twist_q_mm = 9.4;
  bent.flatness.edges[0].gap_mm = 0.1;
  const auto options = bent.Options();
  const Option& warm = Named(options, "press-warm");
  EXPECT_NEAR(warm.twist_after_percent->p50, 1.2 * (1 - warm.lasting_fraction.p50), 0.03 * 1.2);
}

// The worst of the parts that are measured, the chance that any comes to harm and the share of the
// most worn stand with each press; what a mark, a battery or the bench says stands against it.
TEST(Options, RisksOfThePartsStandWithEachPress) {
  Bent bent;
  bent.any_damage = 0.04;
  bent.parts = {Rated("U1", 0.4), Rated("U2", 0.9), Rated("U3", 0.5)};
  bent.parts[1].fatigue = 0.02;
  bent.parts[2].fatigue = 0.03;
  PartRating unread = Rated("U9", 5.0);
  unread.measured = false;
  bent.parts.push_back(unread);
  const auto options = bent.Options();
  for (const char* name : {"press-cold", "press-warm"}) {
    const Option& press = Named(options, name);
    EXPECT_EQ(press.worst_share, 0.9) << name;
    EXPECT_EQ(press.damage_probability, 0.04);
    EXPECT_EQ(press.cycles_share, 0.03);
    EXPECT_TRUE(press.rated);
    EXPECT_EQ(press.blocked_by, std::vector<std::string>{"the bend at U9 is not known"});
    EXPECT_EQ(press.against, "the bend at U9 is not known");
  }
  const Option& bake = Named(options, "strip-and-bake");
  EXPECT_EQ(bake.worst_share, 0.0) << "its parts are off";
  EXPECT_EQ(bake.damage_probability, 0.0);
  EXPECT_EQ(bake.cycles_share, 0.0);
}

// Against an option, in one line: what blocks it, what it risks by the board's worth (one that does
// not say counts as common), or that it would not be enough.
TEST(Options, OneLineAgainstEach) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  const auto against = [&](const char* name) { return Named(bent.Options(), name).against; };
  EXPECT_EQ(against("leave"), "");
  EXPECT_EQ(against("mount"),
            "0 mounting holes are on record and it takes 3: add them to the description");
  EXPECT_EQ(against("press-warm"), "it would still be over the limit of 0.75 %");
  bent.flatness.limit.percent = 1.6;
  EXPECT_EQ(against("press-warm"), "");
  for (const char* worth : {"", "common"}) {
    bent.board.worth = worth;
    bent.any_damage = 0.049;
    EXPECT_EQ(against("press-warm"), "");
    bent.any_damage = 0.051;
    EXPECT_NE(against("press-warm").find("more than 5 in 100 for a common board"),
              std::string::npos);
  }
}

// Why heat is ruled out is said once: a battery first, and then not how warm it could be.
TEST(Options, TheCapIsToldWhereNothingStandsAgainstTheHeat) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  Part crystal, battery;
  crystal.ref = "X1";
  crystal.part_class = "crystal";
  crystal.max_temperature_c = 55;
  battery.ref = "BT1";
  battery.part_class = "battery";
  bent.board.parts = {crystal, battery};
  const Option blocked = Named(bent.Options(), "press-warm");
  EXPECT_EQ(blocked.how.find(" ("), std::string::npos) << blocked.how;
  EXPECT_TRUE(Blocks({blocked}, "press-warm", "BT1, a battery, must come off before any heat"));
  // 40 C are still a warm hold; 39 C are none; and none is held colder than the room.
  bent.board.parts = {crystal};
  bent.board.parts[0].max_temperature_c = 40;
  EXPECT_TRUE(Named(bent.Options(), "press-warm").blocked_by.empty());
  bent.board.parts[0].max_temperature_c = 39;
  EXPECT_TRUE(Blocks(bent.Options(), "press-warm", "X1 allows 39 C at most"));
  EXPECT_NE(Named(bent.Options(), "press-warm").how.find("at 39 C"), std::string::npos);
  bent.board.parts[0].max_temperature_c = 10;
  EXPECT_NE(Named(bent.Options(), "press-warm").how.find("at 23 C"), std::string::npos);
  bent.board.parts[0].max_temperature_c = 70;
  EXPECT_EQ(Named(bent.Options(), "press-warm").how,
            "held flat for 24 hours at 70 C, then rested for 7 days");
  EXPECT_EQ(Named(bent.Options(), "strip-and-bake").how,
            "held flat for 2 hours at 125 C, then rested for 7 days");
}

// The largest known edge, whichever place it has in the list; its interval with it.
TEST(Options, GainIsOfTheLargestEdge) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  EdgeBow small = bent.flatness.edges[0];
  small.gap_mm = 0.2;
  small.gap_u95_mm = 3.0;
  bent.flatness.edges = {small, bent.flatness.edges[0], small};
  const Option warm = Named(bent.Options(), "press-warm");
  EXPECT_NEAR(warm.gain_mm.p50, 5.185 * warm.lasting_fraction.p50, 0.01 * 5.185);
  // Not known to 100 % of itself: draws of the gap spread what stays accordingly.
  bent.flatness.edges[1].gap_u95_mm = 5.185;
  const Option vague = Named(bent.Options(), "press-warm");
  for (EdgeBow& edge : bent.flatness.edges) edge.gap_mm = edge.gap_u95_mm = 0.0;
  EXPECT_EQ(Named(bent.Options(), "press-warm").gain_mm.p95, 0.0) << "a flat board gains nothing";
  EXPECT_GT(vague.gain_mm.p95 - vague.gain_mm.p5, 1.3 * (warm.gain_mm.p95 - warm.gain_mm.p5));
}

// A mark blocks the options that it names and no other, each with its number, place and reason.
TEST(Options, AMarkBlocksWhatItNames) {
  Bent bent;
  bent.board.populated = false;
  JudgedMark lifted;
  lifted.number = 2;
  lifted.mark.kind = "lifted-land";
  lifted.mark.region = "top-left";
  lifted.blocks = {{{"press-cold", "press-warm"}, "a joint pulls on it"}};
  bent.marks = {lifted};
  const auto options = bent.Options();
  const std::vector<std::string> why = {"mark 2, " + MarkWords(lifted, Calib::Embedded()) +
                                        ": a joint pulls on it"};
  EXPECT_EQ(Named(options, "press-cold").blocked_by, why);
  EXPECT_EQ(Named(options, "press-warm").blocked_by, why);
  EXPECT_TRUE(Named(options, "strip-and-bake").blocked_by.empty());
}

// Holds are told in hours up to two days, and in days from there on.
TEST(Options, TwoDaysAreToldAsDays) {
  Bent bent;
  bent.parts = {Rated("U1", 0.4)};
  const auto how = [&](int hours) {
    Json document = Calib::Embedded().Document("choice");
    document["options"]["press_warm"]["hours"]["value"] = hours;
    testing::MemoryDisk disk;
    disk.Put("own/choice.json", DumpJson(document));
    const auto own = Calib::WithFolder(disk, "own");
    EXPECT_TRUE(own) << own.error().Text();
    return Named(bent.Options(*own), "press-warm").how;
  };
  EXPECT_TRUE(how(47).starts_with("held flat for 47 hours at ")) << how(47);
  EXPECT_TRUE(how(48).starts_with("held flat for 2 days at ")) << how(48);
}

}  // namespace
}  // namespace lieflat
