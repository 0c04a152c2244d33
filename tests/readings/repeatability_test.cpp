#include "lieflat/readings/repeatability.h"

#include <cmath>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

Result<Repeatability> FromText(const std::string& text) {
  const auto sheet = ParseSheet(text, "trial.csv");
  if (!sheet) {
    return sheet.error();
  }
  return RepeatabilityFromSheet(*sheet);
}

// Pooled within places (JCGM 100:2008, 4.2.4): a: 1.0 1.2 1.1 has squares 0.02; b: 2.0 2.2 2.4 has
// 0.08; 4 degrees of freedom; s = sqrt(0.10 / 4).
TEST(Repeatability, PooledWithinPlaces) {
  const auto trial = FromText("station,gap_mm\na,1.0\nb,2.0\na,1.2\nb,2.2\na,1.1\nb,2.4\n");
  ASSERT_TRUE(trial) << trial.error().Text();
  EXPECT_EQ(trial->degrees_of_freedom, 4);
  EXPECT_NEAR(trial->sd_mm, std::sqrt(0.10 / 4.0), 1e-12);
}

TEST(Repeatability, Refusals) {
  struct Case {
    const char* sheet;
    const char* message;
  };
  const std::vector<Case> cases = {
      {"place,gap_mm\na,1\n",
       "trial.csv, header: there is no column station (columns: station,height_mm)"},
      {"station,gap\na,1\n",
       "trial.csv, header: there is no column height_mm (or gap_mm) (columns: station,height_mm)"},
      {"station,gap_mm\na,1\na,1.1\nb,2\n",
       "trial.csv: \"b\" was read once (read each place at least twice, not looking at the first "
       "value)"},
      {"station,gap_mm\na,1\na,1.1\nb,2\nb,2\n",
       "trial.csv: 2 repeats in all, where 4 are needed (read three places three times)"},
      {"station,gap_mm\na,1\na,1\na,1\na,1\na,1\n",
       "trial.csv: all repeats are the same, which shows the step of the scale and not the reader "
       "(read with a finer instrument)"},
      {"station,gap_mm\n,1\n",
       "trial.csv:2, column station: is empty (name the place, any word will do)"}};
  for (const auto& test : cases) {
    const auto trial = FromText(test.sheet);
    ASSERT_FALSE(trial) << test.sheet;
    EXPECT_EQ(trial.error().Text(), test.message);
  }
}

}  // namespace
}  // namespace lieflat
