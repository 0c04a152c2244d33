// Which figures readings show by themselves: where a place counts as a corner or as the middle of
// an edge, and when heights fix the surface between them.

#include "lieflat/flatness/known.h"

#include <array>
#include <numbers>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

/// AB is 300 mm long, BC 200.
Board Plain() { return RectangularBoard(300, 200, Calib::Embedded()).value(); }

Sample HeightAt(const Eigen::Vector2d& at) {
  Sample sample;
  sample.figure = Figure::kHeight;
  sample.terms = {{at, 1.0}};
  return sample;
}

Known OfHeights(const std::vector<Eigen::Vector2d>& places) {
  SampleSet set;
  for (const Eigen::Vector2d& at : places) set.samples.push_back(HeightAt(at));
  return WhatIsRead(Plain(), set);
}

/// A straightedge that touches at two places of AB and leaves a gap between; x in mm.
Known OfDeparture(double touches_x, double gap_x, double touches_too_x, double y = 0.0) {
  Sample sample;
  sample.figure = Figure::kDeparture;
  sample.terms = {{{touches_x, 0.0}, -0.5}, {{touches_too_x, 0.0}, -0.5}, {{gap_x, y}, 1.0}};
  SampleSet set;
  set.samples = {sample};
  return WhatIsRead(Plain(), set);
}

// The middle is what lies between a quarter and three quarters of the edge, within a twentieth of
// its length of it; what touches there is no reading of a gap.
TEST(Known, AStraightedgeSpeaksOfTheMiddle) {
  EXPECT_TRUE(OfDeparture(0, 76, 300).edges[0]);
  EXPECT_FALSE(OfDeparture(0, 74, 300).edges[0]);
  EXPECT_TRUE(OfDeparture(0, 224, 300).edges[0]);
  EXPECT_FALSE(OfDeparture(0, 226, 300).edges[0]);
  for (const double end : {75.0, 225.0})
    EXPECT_TRUE(OfDeparture(0, end, 300, 15.0).edges[0]) << "ends are within";
  EXPECT_TRUE(OfDeparture(0, 150, 300, 14.9).edges[0]);
  EXPECT_FALSE(OfDeparture(0, 150, 300, 15.1).edges[0]);
  EXPECT_FALSE(OfDeparture(0, 30, 150).edges[0]) << "it touches in the middle";
  for (const std::size_t other : {1U, 2U, 3U})
    EXPECT_FALSE(OfDeparture(0, 150, 300).edges[other]) << other;
}

// A corner counts within a twentieth of the shorter edge, 10 mm.
TEST(Known, HeightsShowABowWithBothCornersAndTheMiddle) {
  const Eigen::Vector2d a(0, 0), b(300, 0), middle(150, 0);
  EXPECT_TRUE(OfHeights({a, b, middle}).edges[0]);
  EXPECT_TRUE(OfHeights({{9.9, 0}, {300, 9.9}, middle}).edges[0]);
  EXPECT_FALSE(OfHeights({{10.1, 0}, b, middle}).edges[0]);
  EXPECT_FALSE(OfHeights({a, {300, 10.1}, middle}).edges[0]);
  EXPECT_FALSE(OfHeights({a, b}).edges[0]);
  EXPECT_FALSE(OfHeights({a, middle}).edges[0]);
  EXPECT_FALSE(OfHeights({b, middle}).edges[0]);
  // BC: the middle of 200 mm, within 10 mm of it.
  EXPECT_TRUE(OfHeights({b, {300, 200}, {291, 100}}).edges[1]);
  EXPECT_FALSE(OfHeights({b, {300, 200}, {289, 100}}).edges[1]);
  EXPECT_FALSE(OfHeights({b, {300, 200}, {300, 49}}).edges[1]);
  // The last edge runs from D to the first corner, A.
  EXPECT_TRUE(OfHeights({{0, 200}, a, {0, 100}}).edges[3]);
  EXPECT_FALSE(OfHeights({{0, 200}, {0, 100}}).edges[3]);
  EXPECT_FALSE(OfHeights({a, {0, 100}}).edges[3]);
  // A height is no departure: in the middle alone it says nothing.
  EXPECT_FALSE(OfHeights({middle}).edges[0]);
}

// On an edge that runs aslant the distance is that from its chord: B lies 20 mm higher than A.
TEST(Known, AnEdgeMayRunAslant) {
  Board board = Plain();
  board.corners_mm[1] = {300, 20};
  const auto known = [&](const Eigen::Vector2d& gap) {
    Sample sample;
    sample.figure = Figure::kDeparture;
    sample.terms = {{{0, 0}, -0.5}, {{300, 20}, -0.5}, {gap, 1.0}};
    SampleSet set;
    set.samples = {sample};
    return WhatIsRead(board, set).edges[0];
  };
  EXPECT_TRUE(known({150, 10}));
  EXPECT_TRUE(known({200, 13}));
  EXPECT_FALSE(known({150, 27})) << "17 mm off the chord";
  EXPECT_FALSE(known({150, -7}));
}

TEST(Known, TwistNeedsAllFourCornersOrAFormOfItsOwn) {
  const std::array<Eigen::Vector2d, 4> corners = Plain().corners_mm;
  for (unsigned read = 0; read < 16; ++read) {
    std::vector<Eigen::Vector2d> places;
    for (std::size_t i = 0; i < 4; ++i)
      if ((read >> i) % 2 == 1) places.push_back(corners.at(i));
    EXPECT_EQ(OfHeights(places).twist, read == 15) << read;
  }
  SampleSet set;
  Sample strips;
  strips.figure = Figure::kTwist;
  strips.procedure = "strips";
  set.samples = {strips};
  EXPECT_TRUE(WhatIsRead(Plain(), set).twist);
  EXPECT_EQ(WhatIsRead(Plain(), set).twist_procedure, "strips");
  for (const Eigen::Vector2d& corner : corners) set.samples.push_back(HeightAt(corner));
  EXPECT_EQ(WhatIsRead(Plain(), set).twist_procedure, "corners");
}

/// Places about the middle of the board, in halves of its length and width.
std::vector<Eigen::Vector2d> About(const std::vector<Eigen::Vector2d>& halves) {
  std::vector<Eigen::Vector2d> places;
  for (const Eigen::Vector2d& at : halves)
    places.emplace_back(150.0 * (1.0 + at.x()), 100.0 * (1.0 + at.y()));
  return places;
}

std::vector<Eigen::Vector2d> Square(double reach) {
  std::vector<Eigen::Vector2d> halves;
  for (const double v : {-reach, 0.0, reach})
    for (const double u : {-reach, 0.0, reach}) halves.emplace_back(u, v);
  return halves;
}

// A quadratic surface has six unknowns. Six places fix them unless a conic goes through all six:
// five points of a circle and its centre do, six points of a circle do not, however many more of
// its points are read; nor do places that all lie close together.
TEST(Known, WhenHeightsFixTheSurface) {
  std::vector<Eigen::Vector2d> circle;
  for (int i = 0; i < 6; ++i) {
    const double angle = i * std::numbers::pi / 3.0 + 0.2;
    circle.emplace_back(0.9 * std::cos(angle), 0.9 * std::sin(angle));
  }
  EXPECT_FALSE(OfHeights(About(circle)).surface);
  circle.back() = {0.0, 0.0};
  EXPECT_TRUE(OfHeights(About(circle)).surface);
  circle.pop_back();
  EXPECT_FALSE(OfHeights(About(circle)).surface) << "five of six";
  EXPECT_TRUE(OfHeights(About(Square(1.0))).surface);
  EXPECT_TRUE(OfHeights(About(Square(0.3))).surface);
  EXPECT_FALSE(OfHeights(About(Square(0.05))).surface) << "a twentieth of the board";
}

}  // namespace
}  // namespace lieflat
