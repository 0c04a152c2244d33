// Mirroring or turning board, parts and shape together changes no rating; scaling the heights
// scales the strains.

#include <algorithm>
#include <array>
#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/base/random.h"

#include "joints/known_surface.h"

#include "support/counts.h"

namespace lieflat {
namespace {

using testing::Height;
using testing::PartAt;
using testing::ReferenceBoard;
using testing::SurfaceOf;

constexpr double kLength = 300.0, kWidth = 240.0;
constexpr int kYearNow = 2026;
constexpr int kDraws = 24;

const Calib& calib() { return Calib::Embedded(); }

struct Case {
  Board board;
  Height mean;
  std::vector<Height> draws;
};

/// A polynomial of degree 4 over the board, some millimetres high.
Height RandomHeight(Random& random) {
  std::array<double, 15> c{};
  for (double& value : c) value = random.Normal();
  return [c](double x, double y) {
    const double u = x / kLength;
    const double v = y / kLength;
    double z = 0.0;
    std::size_t k = 0;
    for (int i = 0; i <= 4; ++i) {
      for (int j = 0; i + j <= 4; ++j) z += c[k++] * std::pow(u, i) * std::pow(v, j);
    }
    return z;
  };
}

Part InRegion(const char* ref, const char* part_class, const char* region) {
  Part part;
  part.ref = ref;
  part.part_class = part_class;
  part.region = region;
  return part;
}

Case RandomCase(Random& random) {
  Case made{ReferenceBoard(), RandomHeight(random), {}};
  for (int i = 0; i < kDraws; ++i) made.draws.push_back(RandomHeight(random));
  for (const char* kind : {"pbga", "mlcc", "qfp"}) {
    Part part = PartAt(kind,
                       kind,
                       {random.Uniform(60, 240), random.Uniform(60, 180)},
                       {random.Uniform(2, 40), random.Uniform(2, 40)});
    part.rotation_deg = random.Uniform(-90, 90);
    if (random.Uniform() < 0.5) part.side = Side::kSolder;
    made.board.parts.push_back(part);
  }
  made.board.parts.push_back(InRegion("R", "plcc", "top-left"));
  made.board.parts.push_back(InRegion("S", "csp", ""));
  return made;
}

std::vector<PartRating> Rate(const Case& given) {
  return RateParts(
      given.board, SurfaceOf(given.board, given.mean, given.draws), true, kYearNow, calib());
}

/// Applies a map of heights to the mean and every draw.
template <typename Map>
void MapHeights(Case& given, const Map& map) {
  given.mean = map(given.mean);
  for (Height& draw : given.draws) draw = map(draw);
}

/// Left for right: x becomes L - x.
Case Mirrored(Case given) {
  MapHeights(given, [](const Height& height) {
    return Height([height](double x, double y) { return height(kLength - x, y); });
  });
  for (Part& part : given.board.parts) {
    if (part.has_place()) part.centre_mm->x() = kLength - part.centre_mm->x();
    part.rotation_deg = -part.rotation_deg;
    if (part.region == "top-left") part.region = "top-right";
  }
  return given;
}

/// By a quarter, counter-clockwise: (x, y) becomes (W - y, x).
Case Turned(Case given) {
  MapHeights(given, [](const Height& height) {
    return Height([height](double x, double y) { return height(y, kWidth - x); });
  });
  given.board.outline_mm = {{0, 0}, {kWidth, 0}, {kWidth, kLength}, {0, kLength}};
  std::copy(
      given.board.outline_mm.begin(), given.board.outline_mm.end(), given.board.corners_mm.begin());
  for (Part& part : given.board.parts) {
    if (part.has_place())
      part.centre_mm = Eigen::Vector2d(kWidth - part.centre_mm->y(), part.centre_mm->x());
    part.rotation_deg += 90.0;
    if (part.region == "top-left") part.region = "bottom-left";
  }
  return given;
}

void ExpectSame(const std::vector<PartRating>& a, const std::vector<PartRating>& b, double scale) {
  // Fits of polynomials of degree 4 with coefficients near 1 mm: curvature errors near 1e-12 per
  // mm.
  constexpr double kTol = 1e-10;
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    SCOPED_TRACE(a[i].ref);
    EXPECT_NEAR(a[i].found_strain * scale, b[i].found_strain, kTol);
    EXPECT_NEAR(a[i].flatten_strain * scale, b[i].flatten_strain, kTol);
    EXPECT_NEAR(a[i].found_strain95.low * scale, b[i].found_strain95.low, kTol);
    EXPECT_NEAR(a[i].flatten_strain95.high * scale, b[i].flatten_strain95.high, kTol);
    EXPECT_NEAR(a[i].share * scale, b[i].share, kTol / 1e-4);
    EXPECT_NEAR(a[i].share95.high * scale, b[i].share95.high, kTol / 1e-4);
    EXPECT_NEAR(a[i].local_flatness_mm * scale, b[i].local_flatness_mm, 1e-8);
    if (scale != 1.0) continue;
    EXPECT_NEAR(a[i].damage_probability, b[i].damage_probability, 1e-6);
    EXPECT_EQ(a[i].rating, b[i].rating);
    EXPECT_EQ(a[i].set_by, b[i].set_by);
  }
}

TEST(RatingInvariance, MirrorQuarterTurnAndScale) {
  constexpr std::uint64_t kSeed = 91;
  SCOPED_TRACE(kSeed);
  Random random(kSeed);
  for (int i = 0; i < testing::Count(20, 500); ++i) {
    SCOPED_TRACE(i);
    const Case given = RandomCase(random);
    const auto ratings = Rate(given);
    ExpectSame(ratings, Rate(Mirrored(given)), 1.0);
    ExpectSame(ratings, Rate(Turned(given)), 1.0);
    Case higher = given;
    MapHeights(higher, [](const Height& height) {
      return Height([height](double x, double y) { return 3.0 * height(x, y); });
    });
    ExpectSame(ratings, Rate(higher), 3.0);
    Case tilted = given;
    MapHeights(tilted, [](const Height& height) {
      return Height(
          [height](double x, double y) { return height(x, y) + 0.01 * x - 0.02 * y + 3.0; });
    });
    ExpectSame(ratings, Rate(tilted), 1.0);
  }
}

// Mirroring changes the sign of zxy and of nothing else; a quarter turn swaps zxx and zyy.
TEST(RatingInvariance, CurvatureItself) {
  const Curvature found(3e-4, -1e-4, 2e-4);
  const Curvature mirrored(3e-4, -1e-4, -2e-4);
  const Curvature turned(-1e-4, 3e-4, -2e-4);
  for (const Side side : {Side::kComponent, Side::kSolder}) {
    const auto principal = Principal(SurfaceStrain(found, 1.6, side));
    EXPECT_EQ(principal, Principal(SurfaceStrain(mirrored, 1.6, side)));
    EXPECT_EQ(principal, Principal(SurfaceStrain(turned, 1.6, side)));
  }
}

}  // namespace
}  // namespace lieflat
