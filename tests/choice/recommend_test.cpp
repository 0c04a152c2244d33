// The first rules: what is needed and whether it works come before every figure.

#include "lieflat/choice/recommend.h"

#include <gtest/gtest.h>

#include "support/counts.h"
#include "support/simulated_board.h"

namespace lieflat {
namespace {

Flatness RandomFlatness(Random& random) {
  const std::array<Verdict, 4> verdicts = {Verdict::kWithin, Verdict::kOver, Verdict::kUndecided, Verdict::kNotMeasured};
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

// A board that works and need not be flat is left alone (the project's first rule).
TEST(Recommend, WorksAndNoNeedIsAlwaysLeft) {
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  board.need = "none";
  for (int i = 0; i < testing::Count(2000, 2000); ++i) {
    SCOPED_TRACE(i);
    Random random(static_cast<std::uint64_t>(i));
    board.worth = std::array<const char*, 3>{"common", "scarce", "rare"}[static_cast<std::size_t>(random.Below(3))];
    board.mounting = random.Uniform() < 0.5 ? "smt" : "through-hole";
    const Recommendation out = Recommend(board, "yes", RandomFlatness(random), RandomParts(random));
    ASSERT_EQ(out.name, "leave");
    ASSERT_FALSE(out.because.empty());
  }
}

struct Case {
  const char* need;
  const char* works;
  Verdict bow, twist;
  const char* expected;
};

TEST(Recommend, PlainRules) {
  const std::array<Case, 8> cases = {{
      {"case", "yes", Verdict::kWithin, Verdict::kWithin, "leave"},
      {"case", "yes", Verdict::kOver, Verdict::kWithin, "leave"},
      {"case", "no", Verdict::kWithin, Verdict::kOver, "leave"},
      {"none", "untested", Verdict::kOver, Verdict::kWithin, "use-as-is"},
      {"none", "untested", Verdict::kUndecided, Verdict::kWithin, "leave"},
      {"case", "untested", Verdict::kUndecided, Verdict::kWithin, "measure-further"},
      {"cards", "untested", Verdict::kWithin, Verdict::kNotMeasured, "measure-further"},
      {"none", "no", Verdict::kNotMeasured, Verdict::kNotMeasured, "measure-further"},
  }};
  Board board = RectangularBoard(305, 244, Calib::Embedded()).value();
  Random random(3);
  for (const Case& c : cases) {
    board.need = c.need;
    Flatness flatness = RandomFlatness(random);
    flatness.bow_verdict = c.bow;
    flatness.twist_verdict = c.twist;
    const Recommendation out = Recommend(board, c.works, flatness, {});
    EXPECT_EQ(out.name, c.expected) << c.need << " " << c.works;
  }
}

// A part at risk is named in a caution, and cautions for what is fitted stand beside it (common practice).
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
  const Recommendation out = Recommend(board, "yes", Flatness{}, {part});
  const std::string all = Join(out.cautions, "\n");
  for (const char* word : {"U1", "80 %", "battery", "static", "lead", "local codes"}) {
    EXPECT_NE(all.find(word), std::string::npos) << word << " not in " << all;
  }
}

}  // namespace
}  // namespace lieflat
