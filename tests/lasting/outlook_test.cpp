#include "lieflat/lasting/outlook.h"

#include <gtest/gtest.h>

namespace lieflat {
namespace {

Outlook Of(const HoldTime& hold, std::optional<double> share = {}) {
  return OutlookOf({.tg_c = 130.0}, hold, 168.0, share, Calib::Embedded(), 3);
}

// What stays, what springs back and what comes back later make the whole of every draw; over-bend
// is the inverse of what stays. Medians by an independent program (Python): 80 C, 24 h: 5 times;
// 105 C, 4 h: 3 times; 125 C, 2 h: 1.8 times, as in calib/creep.json's priors.
TEST(Outlook, PartsMakeTheWhole) {
  const Outlook out = Of({24, 80});
  EXPECT_NEAR(out.bow.spring_back.p50, 1.0 - out.bow.kept.at_release.p50, 1e-12);
  EXPECT_NEAR(out.bow.spring_back.p5, 1.0 - out.bow.kept.at_release.p95, 1e-3);
  EXPECT_NEAR(out.bow.overbend_needed.p50, 1.0 / out.bow.kept.rested.p50, 0.02);
  EXPECT_GT(out.bow.comes_back.p5, 0.0);
  EXPECT_NEAR(out.bow.overbend_needed.p50, 5.0, 0.5);
  EXPECT_NEAR(Of({4, 105}).bow.overbend_needed.p50, 3.0, 0.2);
  EXPECT_NEAR(Of({2, 125}).bow.overbend_needed.p50, 1.8, 0.1);
}

TEST(Outlook, TwistKeepsMoreThanBow) {
  const Outlook out = Of({24, 60});
  EXPECT_GT(out.twist.kept.rested.p50, 1.5 * out.bow.kept.rested.p50);
}

// A ball-grid part that takes 70 % of what it stands when flat allows 1 / 0.7 = 1.4 times: one day
// at 60 C then gains 0.084 x 1.4 = 12 %.
TEST(Outlook, ThePartsBoundTheGain) {
  const Outlook out = Of({24, 60}, 0.7);
  EXPECT_NEAR(*out.overbend_allowed, 1.0 / 0.7, 1e-12);
  EXPECT_NEAR(out.reachable.p50, 0.12, 0.01);
  EXPECT_FALSE(Of({24, 60}).overbend_allowed);
  EXPECT_EQ(Of({24, 60}, 0.01).reachable.p95, 1.0) << "never more than all of it";
  EXPECT_LT(Of({24, 60}, 2.0).reachable.p50, Of({24, 60}).reachable.p50)
      << "not even flat may it be pressed";
}

}  // namespace
}  // namespace lieflat
