#include "lieflat/lasting/hold.h"

#include <gtest/gtest.h>

namespace lieflat {
namespace {

const Calib& calib() { return Calib::Embedded(); }

TEST(Hold, ComesBackAsItWasWritten) {
  LoggedHold hold;
  hold.id = "h3";
  hold.way = "weights";
  hold.load_kg = 5.0;
  hold.temperature_c = 21.0;
  hold.about = hold.anyway = true;
  hold.note = "books";
  const auto back = ParseHold(ToJson(hold), "log.jsonl:4");
  ASSERT_TRUE(back) << back.error().Text();
  EXPECT_EQ(DumpJsonLine(ToJson(*back)), DumpJsonLine(ToJson(hold)));
  EXPECT_FALSE(ParseHold(Json{{"hold", "h1"}, {"way", "wishes"}}, "x"));
  EXPECT_FALSE(ParseHold(Json{{"hold", "h1"}, {"load_kg", -1}}, "x"));
  EXPECT_EQ(ParseHold(Json{{"hold", "h1"}}, "x")->way, "unknown");
}

// 12 h at 21 C with 120 kJ/mol: 12 exp(-120 / 8.314e-3 (1 / 294.15 - 1 / 296.15)) = 8.6 h at 23 C.
TEST(Hold, EquivalentHours) {
  LoggedHold hold;
  hold.from = Instant{0, 0};
  hold.to = Instant{12 * 3600, 60};
  EXPECT_DOUBLE_EQ(*hold.Hours(), 12.0);
  EXPECT_DOUBLE_EQ(EquivalentHoursOf(hold, calib()), 12.0) << "no temperature: room temperature";
  hold.temperature_c = 21.0;
  EXPECT_NEAR(EquivalentHoursOf(hold, calib()), 8.62, 0.01);
  hold.to.reset();
  EXPECT_FALSE(hold.Hours());
}

// A campaign may use a tenth of the median life: of 75 presses 7, of 22 presses 2.
TEST(PressBudget, ATenthOfTheMedianLife) {
  EXPECT_EQ(BudgetOf({{"U1", 75.0}}, 0, calib()).left, 7);
  EXPECT_EQ(BudgetOf({{"U1", 75.0}, {"U2", 22.0}}, 0, calib()).left, 2);
  const PressBudget used = BudgetOf({{"U1", 75.0}, {"U2", 22.0}}, 3, calib());
  EXPECT_EQ(used.left, 0);
  EXPECT_EQ(used.part, "U2");
  EXPECT_NEAR(used.used, 3.0 / 22.0, 1e-12);
  EXPECT_EQ(BudgetOf({{"U1", 30.0}}, 0, calib()).left, 3) << "exactly";
  EXPECT_FALSE(BudgetOf({}, 5, calib()).left) << "nothing to count by";
}

}  // namespace
}  // namespace lieflat
