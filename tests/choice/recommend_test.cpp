// The first rules: what is needed and whether it works come before every figure.

#include "lieflat/choice/recommend.h"

#include <algorithm>
#include <array>
#include <map>

#include <gtest/gtest.h>

#include "support/counts.h"
#include "support/simulated_board.h"

namespace lieflat {
namespace {

Flatness RandomFlatness(Random& random) {
  const std::array<Verdict, 4> verdicts = {
      Verdict::kWithin, Verdict::kOver, Verdict::kUndecided, Verdict::kNotMeasured};
  Flatness flatness;
  flatness.bow_verdict = verdicts[static_cast<std::size_t>(random.Below(4))];
  flatness.twist_verdict = verdicts[static_cast<std::size_t>(random.Below(4))];
  flatness.bow_measured = flatness.bow_verdict != Verdict::kNotMeasured;
  flatness.twist_measured = flatness.twist_verdict != Verdict::kNotMeasured;
  flatness.bow_percent = random.Uniform(0, 4);
  flatness.twist_percent = random.Uniform(0, 4);
  flatness.next_reading = "bow of BC: needs a straightedge";
  return flatness;
}

std::vector<PartRating> RandomParts(Random& random) {
  std::vector<PartRating> parts(static_cast<std::size_t>(random.Below(6)));
  for (PartRating& part : parts) {
    part.ref = "U" + std::to_string(random.Below(90));
    part.measured = random.Uniform() < 0.7;
    part.share = random.Uniform(0, 3);
    part.damage_probability = random.Uniform();
    part.rating = random.Uniform() < 0.5 ? Rating::kHigh : Rating::kModerate;
  }
  return parts;
}

/// Options as a board might have them: any figure, blocked or not.
std::vector<Option> RandomOptions(Random& random) {
  std::vector<Option> options;
  for (const char* name : {"leave",
                           "mount",
                           "press-cold",
                           "press-warm",
                           "strip-and-bake",
                           "set-aside",
                           "sell",
                           "spares"}) {
    Option option;
    option.name = name;
    option.how = "held flat";
    option.gain_mm.p50 = random.Uniform(0.0, 2.0);
    option.bow_after_percent = Triple{0.0, random.Uniform(0.0, 1.5), 2.0};
    option.worst_share = random.Uniform(0.0, 2.0);
    option.damage_probability = random.Uniform() < 0.5 ? 0.1 * random.Uniform() : random.Uniform();
    if (random.Uniform() < 0.4) option.blocked_by = {"mark 1, crack beside U1: it would open"};
    options.push_back(option);
  }
  return options;
}

Recommendation RecommendOf(const Board& board,
                           const std::string& works,
                           const Flatness& flatness,
                           const std::vector<PartRating>& parts,
                           const std::vector<Option>& options,
                           const std::vector<std::string>& skills = {}) {
  return Recommend(board, works, flatness, parts, {}, options, skills, Calib::Embedded());
}

// A board that works and need not be flat is left alone (the project's first rule).
TEST(Recommend, WorksAndNoNeedIsAlwaysLeft) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  board.need = "none";
  for (int i = 0; i < testing::Count(2000, 2000); ++i) {
    SCOPED_TRACE(i);
    Random random(static_cast<std::uint64_t>(i));
    board.worth = std::array<const char*, 3>{
        "common", "scarce", "rare"}[static_cast<std::size_t>(random.Below(3))];
    board.mounting = random.Uniform() < 0.5 ? "smt" : "through-hole";
    const Recommendation out = RecommendOf(
        board, "yes", RandomFlatness(random), RandomParts(random), RandomOptions(random));
    ASSERT_EQ(out.name, "leave");
    ASSERT_FALSE(out.because.empty());
  }
}

// Whatever the figures: nothing blocked is recommended; no press when the board works without need,
// when its chance of damage is above that of its worth, or when what stays cannot be read; spares
// only when over, needed flat and nothing else will do, and never for a rare board.
TEST(Recommend, FollowsItsRules) {
  const Calib& calib = Calib::Embedded();
  Board board = RectangularBoard(305, 244, calib).value();
  int pressed = 0, spared = 0, pressed_though_mountable = 0;
  for (int i = 0; i < testing::Count(2000, 2000); ++i) {
    SCOPED_TRACE(i);
    Random random(static_cast<std::uint64_t>(i) + 77);
    const auto any = [&random](std::initializer_list<const char*> words) {
      return std::string(words.begin()[random.Below(static_cast<int>(words.size()))]);
    };
    board.worth = any({"common", "scarce", "rare"});
    board.need = any({"none", "case", "cards", "cooler", "sale"});
    const std::string works = any({"yes", "partly", "no", "untested"});
    const Flatness flatness = RandomFlatness(random);
    const std::vector<Option> options = RandomOptions(random);
    const Recommendation out = RecommendOf(board, works, flatness, RandomParts(random), options);
    const bool over =
        flatness.bow_verdict == Verdict::kOver || flatness.twist_verdict == Verdict::kOver;
    const auto chosen = std::find_if(options.begin(), options.end(), [&](const Option& option) {
      return option.name == out.name;
    });
    if (chosen != options.end() && (chosen->presses() || out.name == "mount")) {
      ASSERT_TRUE(chosen->blocked_by.empty());
      ASSERT_TRUE(over && board.need != "none");
    }
    if (chosen != options.end() && chosen->presses()) {
      ++pressed;
      const double most = board.worth == "rare" ? 0.02 : board.worth == "scarce" ? 0.03 : 0.05;
      ASSERT_LE(chosen->damage_probability, most);
      ASSERT_GE(chosen->gain_mm.p50, calib.Number("choice", "/recommend/readable_gain_mm").value);
      ASSERT_LE(chosen->worst_share, 1.0);
      // Where it may be mounted instead, a press must at least bring it within the limit.
      for (const Option& option : options) {
        if (option.name == "mount" && option.blocked_by.empty()) {
          ++pressed_though_mountable;
          ASSERT_LE(chosen->bow_after_percent->p50, flatness.limit.percent);
        }
      }
    }
    if (out.name == "spares") {
      ++spared;
      ASSERT_TRUE(over && board.need != "none" && board.worth == "common" && works == "no");
      for (const Option& option : options) {
        if (option.presses()) {
          ASSERT_TRUE(AgainstPressing(option, board.worth, calib));
        }
        if (option.name == "mount") {
          ASSERT_FALSE(option.blocked_by.empty());
        }
      }
    }
  }
  EXPECT_GT(pressed, 20);
  EXPECT_GT(pressed_though_mountable, 20);
  EXPECT_GT(spared, 5);
}

struct Case {
  const char* need;
  const char* works;
  const char* worth;
  Verdict bow, twist;
  const char* expected;
};

// Without an option that may be taken.
TEST(Recommend, PlainRules) {
  const std::array<Case, 11> cases = {{
      {"case", "yes", "common", Verdict::kWithin, Verdict::kWithin, "leave"},
      {"case", "yes", "common", Verdict::kOver, Verdict::kWithin, "sell"},
      {"case", "no", "common", Verdict::kWithin, Verdict::kOver, "spares"},
      {"case", "untested", "common", Verdict::kOver, Verdict::kWithin, "set-aside"},
      {"case", "no", "rare", Verdict::kWithin, Verdict::kOver, "set-aside"},
      {"sale", "no", "rare", Verdict::kOver, Verdict::kWithin, "sell"},
      {"none", "untested", "common", Verdict::kOver, Verdict::kWithin, "use-as-is"},
      {"none", "untested", "common", Verdict::kUndecided, Verdict::kWithin, "leave"},
      {"case", "untested", "common", Verdict::kUndecided, Verdict::kWithin, "measure-further"},
      {"cards", "untested", "common", Verdict::kWithin, Verdict::kNotMeasured, "measure-further"},
      {"none", "no", "common", Verdict::kNotMeasured, Verdict::kNotMeasured, "measure-further"},
  }};
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  Random random(3);
  for (const Case& c : cases) {
    board.need = c.need;
    board.worth = c.worth;
    Flatness flatness = RandomFlatness(random);
    flatness.bow_verdict = c.bow;
    flatness.twist_verdict = c.twist;
    const Recommendation out = RecommendOf(board, c.works, flatness, {}, {});
    EXPECT_EQ(out.name, c.expected) << c.need << " " << c.works;
  }
  board.need = "case";
  board.worth = "common";
  Flatness over;
  over.bow_verdict = Verdict::kOver;
  over.twist_verdict = Verdict::kWithin;
  EXPECT_EQ(RecommendOf(board, "no", over, {}, {}, {"rework"}).name, "set-aside")
      << "a bench that reworks keeps it whole";
  Option mount;
  mount.name = "mount";
  EXPECT_EQ(RecommendOf(board, "no", over, {}, {mount}).name, "mount");
}

// A part at risk is named in a caution, and cautions for what is fitted stand beside it (common
// practice).
TEST(Recommend, CautionsNameThePartAndTheHazard) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  Part battery;
  battery.ref = "BT1";
  battery.part_class = "battery";
  board.parts.push_back(battery);
  PartRating part;
  part.ref = "U1";
  part.measured = true;
  part.share = 0.8;
  part.rating = Rating::kModerate;
  const Recommendation out = RecommendOf(board, "yes", Flatness{}, {part}, {});
  const std::string all = Join(out.cautions, "\n");
  for (const char* word : {"U1", "80 %", "battery", "static", "lead", "local codes"}) {
    EXPECT_NE(all.find(word), std::string::npos) << word << " not in " << all;
  }
}

Flatness Over() {
  Flatness over;
  over.bow_measured = over.twist_measured = true;
  over.bow_percent = 1.2;
  over.twist_percent = 0.3;
  over.bow_verdict = Verdict::kOver;
  over.twist_verdict = Verdict::kWithin;
  return over;
}

Option Warm(double after_percent) {
  Option press;
  press.name = "press-warm";
  press.how = "held flat for 24 hours at 70 C, then rested for 7 days";
  press.gain_mm = {0.5, 1.0, 1.5};
  press.bow_after_percent = Triple{0.0, after_percent, 2.0};
  press.damage_probability = 0.004;
  return press;
}

// What a press is for, what would stay of it and what it risks; that it would not be enough is
// said.
TEST(Recommend, APressSaysWhatItLeaves) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  const std::map<std::string, std::string> needs = {{"case", "a case"},
                                                    {"cards", "the cards it takes"},
                                                    {"cooler", "its cooler"},
                                                    {"sale", "a sale"},
                                                    {"a frame", "a frame"}};
  for (const auto& [need, words] : needs) {
    board.need = need;
    const auto out = RecommendOf(board, "yes", Over(), {}, {Warm(0.5)});
    EXPECT_EQ(out.name, "press-warm");
    EXPECT_EQ(out.because.at(0),
              "Needed flat for " + words +
                  ": held flat for 24 hours at 70 C, then rested for 7 days, 1.0 mm (0.5 to 1.5) "
                  "would stay, and the chance of damage to a part is under 1 in 100.");
    EXPECT_EQ(out.because.at(1), "It is over the limit of 0.75 % (bow 1.20 %).");
    EXPECT_NE(Join(out.cautions, "\n").find("Heat: measure"), std::string::npos);
  }
  board.need = "case";
  const auto still = RecommendOf(board, "yes", Over(), {}, {Warm(0.9)});
  EXPECT_EQ(still.name, "press-warm");
  EXPECT_NE(still.because.at(0).find("would stay, which leaves it over the limit, and"),
            std::string::npos);
  // Washers go before a press that would not be enough, not before one that would.
  Option mount;
  mount.name = "mount";
  const auto washers = RecommendOf(board, "yes", Over(), {}, {Warm(0.9), mount});
  EXPECT_EQ(washers.name, "mount");
  EXPECT_EQ(washers.because.back(), "Not pressed warm: it would still be over the limit.");
  EXPECT_EQ(RecommendOf(board, "yes", Over(), {}, {Warm(0.5), mount}).name, "press-warm");
  // Of two that are enough, or two that are not, the gentler: cold before warm.
  Option cold = Warm(0.6);
  cold.name = "press-cold";
  const auto gentler = RecommendOf(board, "yes", Over(), {}, {Warm(0.5), cold});
  EXPECT_EQ(gentler.name, "press-cold");
  EXPECT_EQ(Join(gentler.cautions, "\n").find("Heat: measure"), std::string::npos);
  cold.bow_after_percent->p50 = 0.9;
  EXPECT_EQ(RecommendOf(board, "yes", Over(), {}, {Warm(0.9), cold}).name, "press-cold");
  EXPECT_EQ(RecommendOf(board, "yes", Over(), {}, {Warm(0.5), cold}).name, "press-warm");
  mount.blocked_by = {"no hole"};
  const auto neither = RecommendOf(board, "no", Over(), {}, {mount});
  EXPECT_EQ(neither.name, "spares");
  EXPECT_EQ(neither.because.at(neither.because.size() - 2), "Not screwed down: no hole.");
}

TEST(Recommend, MarksBlockAndWeakenByNumber) {
  const Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  JudgedMark crack, scratch;
  crack.number = 1;
  crack.mark.kind = "crack";
  crack.mark.near = crack.beside = {"U1"};
  crack.beside.push_back("U9");  // not on the board's list
  crack.limit_factor = 0.5;
  crack.blocks = {{{"press-cold"}, "pressing opens it"}};
  scratch.number = 2;
  scratch.mark.kind = "scratch";
  scratch.mark.near = scratch.beside = {"U1"};
  PartRating part;
  part.ref = "U1";
  part.measured = true;
  part.rating = Rating::kLow;
  part.allowed_strain = 175e-6;
  const auto out =
      Recommend(board, "partly", Over(), {part}, {crack, scratch}, {}, {}, Calib::Embedded());
  const std::vector<std::string> expected = {
      "It does not fully work: find that fault first, a bend rarely explains it alone.",
      "Pressing is blocked by mark 1, crack in the board beside U1: pressing opens it.",
      "Mark 1, crack in the board beside U1: U1 is taken to stand 50 % of the bend it would, 175 "
      "microstrain."};
  ASSERT_GE(out.because.size(), expected.size());
  EXPECT_TRUE(std::equal(expected.rbegin(), expected.rend(), out.because.rbegin()))
      << Join(out.because, "\n");
  EXPECT_EQ(out.cautions.front(),
            "Do not press or flex the board at mark 1, crack in the board beside U1, before it is "
            "mended.");
  for (const std::string& caution : out.cautions)
    EXPECT_EQ(caution.find("Be careful"), std::string::npos) << "the only part is at low risk";
}

// The worst of the measured parts is named; of what stores charge it is said that it does.
TEST(Recommend, TheWorstPartIsNamed) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  Part capacitor;
  capacitor.ref = "C9";
  capacitor.part_class = "electrolytic";
  board.parts = {capacitor};
  std::vector<PartRating> parts(3);
  const std::array<double, 3> shares = {0.6, 0.9, 3.0};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    parts[i].ref = "U" + std::to_string(i);
    parts[i].measured = i < 2;
    parts[i].share = shares.at(i);
    parts[i].rating = Rating::kModerate;
  }
  const std::string all = Join(RecommendOf(board, "yes", Flatness{}, parts, {}).cautions, "\n");
  EXPECT_NE(all.find("pressed flat, U1 would take 90 % of its allowed bend (moderate risk)"),
            std::string::npos)
      << all;
  parts[1].share = parts[0].share;
  EXPECT_NE(
      Join(RecommendOf(board, "yes", Flatness{}, parts, {}).cautions, "\n").find("flat, U0 would"),
      std::string::npos)
      << "the first of two alike";
  EXPECT_NE(all.find("Electrolytic capacitors may hold charge"), std::string::npos);
  EXPECT_EQ(all.find("battery"), std::string::npos);
}

// One that does not say what it is worth counts as common; a scarce one is kept whole.
TEST(Recommend, WithoutWorthItIsCommon) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  board.need = "case";
  const auto name = [&](const char* worth, const char* works) {
    board.worth = worth;
    return RecommendOf(board, works, Over(), {}, {}).name;
  };
  EXPECT_EQ(name("", "no"), "spares");
  EXPECT_EQ(name("", "yes"), "sell");
  EXPECT_EQ(name("", "partly"), "set-aside");
  EXPECT_EQ(name("scarce", "yes"), "set-aside");
  EXPECT_EQ(name("scarce", "no"), "set-aside");
  board.worth = "";
  Option warm = Warm(0.5);
  warm.damage_probability = 0.051;
  EXPECT_EQ(RecommendOf(board, "no", Over(), {}, {warm}).name, "spares");
  warm.damage_probability = 0.049;
  EXPECT_EQ(RecommendOf(board, "no", Over(), {}, {warm}).name, "press-warm");
}

// The figure that is over is the one named: the twist where the bow is not over too.
TEST(Recommend, NamesTheFigureThatIsOver) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  board.need = "none";
  const auto named = [&](Verdict bow, Verdict twist) {
    Flatness flatness = Over();
    flatness.bow_verdict = bow;
    flatness.twist_verdict = twist;
    return RecommendOf(board, "no", flatness, {}, {}).because.at(1);
  };
  EXPECT_EQ(named(Verdict::kOver, Verdict::kWithin),
            "It is over the limit of 0.75 % (bow 1.20 %).");
  EXPECT_EQ(named(Verdict::kWithin, Verdict::kOver),
            "It is over the limit of 0.75 % (twist 0.30 %).");
  EXPECT_EQ(named(Verdict::kOver, Verdict::kOver), "It is over the limit of 0.75 % (bow 1.20 %).");
}

// A bake is a press with heat; where it is ruled out, it is named as what it would have been.
TEST(Recommend, ABakeIsAPressWithHeat) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  board.need = "cards";
  Option bake = Warm(0.2);
  bake.name = "strip-and-bake";
  const auto out = RecommendOf(board, "yes", Over(), {}, {bake});
  EXPECT_EQ(out.name, "strip-and-bake");
  const std::string cautions = Join(out.cautions, "\n");
  for (const char* word : {"Heat: measure", "Glass as a plate", "Bring the load on slowly"})
    EXPECT_NE(cautions.find(word), std::string::npos) << word;
  Option cold = Warm(0.6);
  cold.name = "press-cold";
  cold.blocked_by = bake.blocked_by = {"mark 1"};
  const auto none = RecommendOf(board, "yes", Over(), {}, {cold, bake});
  EXPECT_EQ(none.name, "sell");
  EXPECT_EQ(none.because.at(0),
            "Nothing that may be done would make it flat: sell it as it is, its bend described.");
  // One reason is said once, for all that it rules out.
  EXPECT_EQ(none.because.at(2), "Not pressed cold, not stripped and baked: mark 1.");
  EXPECT_EQ(Join(none.cautions, "\n").find("Glass as a plate"), std::string::npos);
}

// What is said first, and of a board that was not tested or does not fully work, last.
TEST(Recommend, SaysWhy) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  const auto because = [&](const char* need, const char* works, Verdict bow, Verdict twist) {
    board.need = need;
    Flatness flatness = Over();
    flatness.bow_verdict = bow;
    flatness.twist_verdict = twist;
    return RecommendOf(board, works, flatness, {}, {}).because;
  };
  const Verdict within = Verdict::kWithin, open = Verdict::kUndecided;
  EXPECT_EQ(because("none", "yes", Verdict::kOver, within),
            std::vector<std::string>{
                "It works and nothing needs it flat: leave it alone, however bent it is."});
  EXPECT_EQ(
      because("case", "yes", within, within),
      std::vector<std::string>{"It is within the limit of 0.75 %: there is nothing to press out."});
  EXPECT_EQ(because("none", "no", open, within).at(0),
            "It is too close to the limit of 0.75 % to call, and nothing needs it flat.");
  EXPECT_EQ(because("case", "no", within, open).at(0),
            "It is too close to the limit of 0.75 % to call.");
  EXPECT_EQ(because("case", "no", Verdict::kNotMeasured, within).at(0),
            "Not everything that decides has been measured yet.");
  EXPECT_EQ(because("none", "no", Verdict::kOver, within).at(0),
            "Nothing needs it flat: use it as it is and do not press it.");
  EXPECT_TRUE(
      because("case", "untested", within, within).back().starts_with("It has not been tested"));
  EXPECT_TRUE(
      because("case", "partly", within, within).back().starts_with("It does not fully work"));
  board.worth = "rare";
  EXPECT_EQ(because("case", "no", Verdict::kOver, within).at(0),
            "Nothing that may be done would make it flat, and a rare board is kept whole: set it "
            "aside.");
}

}  // namespace
}  // namespace lieflat
