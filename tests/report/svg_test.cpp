#include "report/svg.h"

#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>

#include <gtest/gtest.h>

#include "report/labels.h"

#include "support/counts.h"

namespace lieflat::report {
namespace {

TEST(Escape, LeavesNothingThatMarkupCouldUse) {
  EXPECT_EQ(Escape("<b>\"A & B\"</b> 'x'"), "&lt;b&gt;&quot;A &amp; B&quot;&lt;/b&gt; &#39;x&#39;");
  EXPECT_EQ(Escape("plain Größe"), "plain Größe");
}

// XML 1.0, 2.2: most control characters must not appear at all; a terminal would obey some.
TEST(Escape, ReplacesControlCharactersAndBrokenUtf8) {
  EXPECT_EQ(Escape(std::string("a\x1b[2Jb\0c", 8)), "a?[2Jb?c");
  EXPECT_EQ(Escape("two\nlines\ttab"), "two lines tab");
  EXPECT_EQ(Escape("\xC3(\xFF"), "?(?");
  EXPECT_EQ(Escape("\xC2\x9B"
                   "31m"),
            "?31m");  // the one-byte form of ESC [
}

TEST(Px, WritesShortCoordinatesAndRefusesNoNumber) {
  EXPECT_EQ(Px(12.0), "12");
  EXPECT_EQ(Px(-0.001), "0");
  EXPECT_EQ(Px(3.456), "3.46");
  EXPECT_THROW(Px(std::numeric_limits<double>::quiet_NaN()), std::logic_error);
  EXPECT_THROW(Px(std::numeric_limits<double>::infinity()), std::logic_error);
}

TEST(Typographic, TurnsSignsNotHyphens) {
  EXPECT_EQ(Typographic("-0.5 to -0.1, card-edge 4-5"),
            "\xE2\x88\x92"
            "0.5 to \xE2\x88\x92"
            "0.1, card-edge 4-5");
}

TEST(Label, TurnedLabelHasTheTurnedBox) {
  const Label flat{"U1", {50, 50}, Anchor::kMiddle, 10.0, false, false, ""};
  Label turned = flat;
  turned.upright = true;
  EXPECT_NEAR(flat.Box().width(), turned.Box().height(), 1e-12);
  EXPECT_NEAR(flat.Box().height(), turned.Box().width(), 1e-12);
  EXPECT_TRUE(turned.Box().Holds(Eigen::Vector2d(50, 50)));
}

// Whatever is asked for, what was placed never overlaps and never leaves the page.
TEST(LabelPlacer, NothingPlacedOverlaps) {
  const int boards = lieflat::testing::Count(200, 5000);
  std::size_t placed = 0;
  for (int seed = 0; seed < boards; ++seed) {
    SCOPED_TRACE(seed);
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::uniform_real_distribution<double> place(0.0, 200.0);
    const PxBox page{0, 0, 200, 200};
    LabelPlacer placer(page);
    const PxBox obstacle{80, 80, 120, 110};
    placer.AddObstacle(obstacle);
    for (int i = 0; i < 60; ++i) {
      std::vector<LabelGroup> candidates;
      for (int k = 0; k < 3; ++k) {
        candidates.push_back({Label{
            "U12 68 %", {place(random), place(random)}, Anchor::kMiddle, 9.5, true, k == 2, ""}});
      }
      placer.Place(candidates);
    }
    const auto& labels = placer.placed();
    placed += labels.size();
    for (std::size_t i = 0; i < labels.size(); ++i) {
      ASSERT_TRUE(page.Holds(labels[i].Box()));
      ASSERT_FALSE(labels[i].Box().Overlaps(obstacle));
      for (std::size_t k = i + 1; k < labels.size(); ++k)
        ASSERT_FALSE(labels[i].Box().Overlaps(labels[k].Box()));
    }
  }
  EXPECT_GT(placed, static_cast<std::size_t>(boards) * 10U)
      << "the placer leaves out nearly everything";
}

TEST(LabelPlacer, GroupsStandOrFallTogether) {
  LabelPlacer placer({0, 0, 100, 100});
  placer.AddObstacle({0, 50, 100, 100});
  const Label free{"A", {50, 30}};
  const Label blocked{"B", {50, 70}};
  EXPECT_FALSE(placer.Place({{free, blocked}}));
  EXPECT_TRUE(placer.placed().empty());
  EXPECT_TRUE(placer.Place({{free}}));
}

}  // namespace
}  // namespace lieflat::report
