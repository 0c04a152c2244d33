// What stands on the paper before a standing edge is told from it, named and left out: rendered
// boards with legs, a connector, a part's body at known places. Thresholds were settled on the
// seeds 7507, 9301 to 9308 and 9310; the seeds below were drawn afterwards.

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <gtest/gtest.h>

#include "photo/hidden.h"

#include "support/counts.h"
#include "support/standing_photos.h"

namespace lieflat {
namespace {

using testing::RenderedSet;
using testing::SetOptions;

void AddBody(RenderedSet& set, double at, double half, double top, double out, float grey) {
  testing::RenderedPart part;
  part.centre_mm = {at, 0.5 * top};
  part.half_mm = {half, 0.5 * top};
  part.height_mm = out;
  part.colour = testing::Colour::Constant(grey);
  set.scene.standing->parts.push_back(part);
}

/// Without legs and notches of its own.
RenderedSet BareSet(const SetOptions& options, std::uint64_t seed, Random& random) {
  random = Random(seed);
  RenderedSet set = testing::DrawStandingSet(Calib::Embedded(), options, random);
  auto& board = *set.scene.standing;
  std::erase_if(board.parts, [](const auto& p) { return p.centre_mm.y() - p.half_mm.y() < 3.0; });
  board.bites_mm.clear();
  return set;
}

const Hidden* Find(const StandingResult& result, HiddenBy by) {
  const auto found = std::find_if(
      result.hidden.begin(), result.hidden.end(), [&](const Hidden& h) { return h.by == by; });
  return found == result.hidden.end() ? nullptr : &*found;
}

TEST(StandingBodies, LegsAConnectorAndAPartAreToldApartByName) {
  constexpr double kToMm = 1.5;  // 0.3 mm of a pixel, of a body's upper parts, of the print's scale
  const SetOptions options = testing::StandingPhotos(3, true);
  Random random(9411);
  RenderedSet set = BareSet(options, 9411, random);
  AddBody(set, 51.0, 11.0, 12.0, 8.0, 0.15F);
  for (int k = 0; k < 3; ++k) AddBody(set, 131.0 + 2.54 * k, 0.35, 2.2, 1.5, 0.35F);
  AddBody(set, 200.0, 2.5, 8.0, 2.0, 0.02F);
  testing::Photograph(set, options, random);
  const auto photos = testing::LookStanding(set);
  const double length = options.board_mm.x();
  for (const Side side : {Side::kComponent, Side::kSolder}) {
    const auto result = testing::MeasureStandingSet(photos, options, side);
    ASSERT_TRUE(result) << result.error().Text();
    const auto own = [&](double left) { return side == Side::kComponent ? left : length - left; };
    const Hidden* const connector = Find(*result, HiddenBy::kConnector);
    ASSERT_TRUE(connector);
    EXPECT_NEAR(connector->from_mm, std::min(own(40.0), own(62.0)), kToMm);
    EXPECT_NEAR(connector->to_mm, std::max(own(40.0), own(62.0)), kToMm);
    EXPECT_NEAR(connector->out_mm, 8.0, 1.0);
    const Hidden* const legs = Find(*result, HiddenBy::kLegs);
    ASSERT_TRUE(legs);
    ASSERT_EQ(legs->legs_mm.size(), 3U);
    for (std::size_t k = 0; k < 3; ++k) {
      const double left = 131.0 + 2.54 * static_cast<double>(side == Side::kComponent ? k : 2 - k);
      EXPECT_NEAR(legs->legs_mm[k], own(left), 1.0);
    }
    const Hidden* const part = Find(*result, HiddenBy::kPart);
    ASSERT_TRUE(part);
    EXPECT_NEAR(0.5 * (part->from_mm + part->to_mm), own(200.0), kToMm);
    EXPECT_EQ(result->hidden.size(), 3U);
    // Left out of the profile: the bow is the bare edge's.
    const double sign = side == Side::kComponent ? -1.0 : 1.0;
    EXPECT_NEAR(result->deepest.departure_mm,
                sign * testing::TrueBow(*set.scene.standing),
                1.96 * result->deepest.u_mm);
    const bool named = std::any_of(
        result->warnings.begin(), result->warnings.end(), [](const std::string& warning) {
          return warning.find("a connector-like body from ") != std::string::npos &&
                 warning.find("nothing is read there") != std::string::npos;
        });
    EXPECT_TRUE(named);
  }
}

TEST(StandingBodies, TooMuchHiddenIsRefusedByName) {
  const SetOptions options = testing::StandingPhotos(1, true);
  Random random(9412);
  RenderedSet set = BareSet(options, 9412, random);
  for (const double at : {50.0, 112.0, 175.0}) AddBody(set, at, 17.0, 12.0, 7.0, 0.1F);
  testing::Photograph(set, options, random);
  const auto result = testing::MeasureStandingSet(testing::LookStanding(set), options);
  ASSERT_FALSE(result);
  EXPECT_NE(result.error().message.find("a connector-like body from "), std::string::npos)
      << result.error().Text();
}

/// Of the legs drawn at random over half of the boards, how many are named; and whether anything
/// is named that is not there.
TEST(StandingBodies, DrawnLegsAreNamedAndNothingElse) {
  int drawn = 0, found = 0, named = 0, wrong = 0;
  const SetOptions options = testing::StandingPhotos(3, true);
  for (int i = 0, sets = testing::Count(3, 40); i < sets; ++i) {
    Random random(static_cast<std::uint64_t>(9421 + i));
    RenderedSet set = testing::DrawStandingSet(Calib::Embedded(), options, random);
    testing::Photograph(set, options, random);
    const auto result = testing::MeasureStandingSet(testing::LookStanding(set), options);
    ASSERT_TRUE(result) << 9421 + i << ": " << result.error().Text();
    std::vector<double> legs, seen;
    for (const auto& part : set.scene.standing->parts) {
      if (part.centre_mm.y() - part.half_mm.y() < 3.0) legs.push_back(part.centre_mm.x());
    }
    for (const Hidden& hidden : result->hidden) {
      wrong += hidden.by == HiddenBy::kConnector ? 1 : 0;
      seen.insert(seen.end(), hidden.legs_mm.begin(), hidden.legs_mm.end());
      if (hidden.by == HiddenBy::kPart) seen.push_back(0.5 * (hidden.from_mm + hidden.to_mm));
    }
    constexpr double kNearMm = 1.0;
    const auto near = [](const std::vector<double>& places, double at) {
      return std::any_of(places.begin(), places.end(), [&](double other) {
        return std::abs(other - at) < kNearMm;
      });
    };
    for (const double leg : legs) found += near(seen, leg) ? 1 : 0;
    for (const double at : seen) wrong += near(legs, at) ? 0 : 1;
    drawn += static_cast<int>(legs.size());
    named += static_cast<int>(seen.size());
  }
  std::printf("legs drawn %d, found %d, named %d, wrong %d\n", drawn, found, named, wrong);
  EXPECT_GE(found, 0.9 * drawn);
  EXPECT_LE(wrong, std::max(1, named / 20));
}

// Light written down: paper of 0.5 that the board darkens towards its edge and the lamp along it,
// and on it two bodies of a third of that light.
TEST(StandingBodies, WidthAndReachAreThoseOfTheLight) {
  const auto light = [](double along, double before) -> std::optional<double> {
    const double paper = 0.5 * (1.0 + 1e-3 * along) * (1.0 - 0.4 * std::exp(-before / 4.0));
    const bool leg = std::abs(along - 60.0) < 0.4 && before < 1.6;
    const bool wide = along > 100.0 && along < 130.0 && before < 6.2;
    return leg || wide ? paper / 3.0 : paper;
  };
  const auto bodies = internal::FindEdgeBodies({light}, 200.0, 0.8, 0.3);
  ASSERT_EQ(bodies.size(), 2U);
  constexpr double kGridMm = 0.11;  // steps of 0.1 mm along
  EXPECT_NEAR(bodies[0].from_mm, 59.6, kGridMm);
  EXPECT_NEAR(bodies[0].to_mm, 60.4, kGridMm);
  EXPECT_NEAR(bodies[0].out_mm, 1.6, 0.5);  // steps of 0.5 mm
  EXPECT_NEAR(bodies[1].from_mm, 100.0, kGridMm);
  EXPECT_NEAR(bodies[1].to_mm, 130.0, kGridMm);
  EXPECT_NEAR(bodies[1].out_mm, 6.2, 0.5);
}

// 200 mm of edge, found everywhere but from 120 to 140 mm.
TEST(StandingBodies, AShadowOnThePaperHidesNothing) {
  internal::EdgeCurves curves;
  curves.first_mm = 2.0;
  curves.covered.assign(196, true);
  std::fill(curves.covered.begin() + 118, curves.covered.begin() + 138, false);
  const std::vector<internal::EdgeBody> dark = {
      {30.0, 90.0, 15.0}, {100.0, 100.8, 0.9}, {121.0, 139.0, 6.0}};
  const auto bodies = internal::WithoutShadows(dark, curves);
  ASSERT_EQ(bodies.size(), 2U);
  EXPECT_EQ(bodies[0].from_mm, 100.0);
  EXPECT_EQ(bodies[1].from_mm, 121.0);
}

}  // namespace
}  // namespace lieflat
