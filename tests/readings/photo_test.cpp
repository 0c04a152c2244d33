#include "lieflat/readings/photo.h"

#include <Eigen/Dense>
#include <gtest/gtest.h>

namespace lieflat {
namespace {

PhotoReading Example() {
  PhotoReading reading;
  reading.pose = "lying";
  reading.held.rest = Rest::kUpright;
  reading.held.face = Face::kOver;
  reading.held.temperature_c = 21.0;
  reading.points = {
      {"A", {6.0, 6.0}, 0.5}, {"B", {299.0, 6.0}, -0.25}, {"12", {150.0, 120.0}, 1.125}};
  Eigen::Matrix3d root;
  root << 0.02, 0.0, 0.0, 0.01, 0.03, 0.0, -0.005, 0.004, 0.025;
  reading.covariance_mm2 = root * root.transpose();
  reading.sheet = "lay-a3/1";
  reading.photos = 5;
  return reading;
}

Board AnyBoard() { return *RectangularBoard(305, 244, Calib::Embedded()); }

std::string Refusal(void (*change)(Json& json)) {
  Json json = ToJson(Example());
  change(json);
  const auto reading = ParsePhotoReading(json, "log.jsonl:1");
  return reading ? "read" : reading.error().Text();
}

TEST(PhotoReading, WhatIsSavedIsReadBack) {
  const PhotoReading before = Example();
  const auto after = ParsePhotoReading(ToJson(before), "e1");
  ASSERT_TRUE(after) << after.error().Text();
  EXPECT_EQ(after->points.size(), 3U);
  EXPECT_EQ(after->points[2].name, "12");
  EXPECT_EQ(after->points[1].height_mm, -0.25);
  EXPECT_EQ(after->held.temperature_c, 21.0);
  EXPECT_EQ(after->sheet, "lay-a3/1");
  constexpr double kSavedStep = 0.5e-9;  // thousandths of a square micrometre
  EXPECT_LE((after->covariance_mm2 - before.covariance_mm2).cwiseAbs().maxCoeff(),
            kSavedStep * 1.01);
  EXPECT_EQ(DumpJson(ToJson(*after)), DumpJson(ToJson(before)));
}

/// The samples' covariance is the matrix that was measured, off the diagonal too.
TEST(PhotoReading, SamplesCarryTheWholeCovariance) {
  const auto set = ToSamples(Example(), AnyBoard(), Calib::Embedded(), "e1");
  ASSERT_TRUE(set) << set.error().Text();
  constexpr double kRounding = 1e-15;
  EXPECT_LE((set->Covariance() - Example().covariance_mm2).cwiseAbs().maxCoeff(), kRounding);
  EXPECT_EQ(set->samples[0].figure, Figure::kHeight);
  EXPECT_FALSE(set->weight_in());
}

/// A departure is the height less what the chord has there: weights 1, -(1 - s), -s.
TEST(PhotoReading, AnEdgesProfileIsMeasuredFromItsChord) {
  PhotoReading reading = Example();
  reading.edge = Edge::kAB;
  for (std::size_t i = 0; i < 3; ++i)
    reading.points[i].at_mm = {61.0 + 61.0 * static_cast<double>(i), 0.0};
  const auto set = ToSamples(reading, AnyBoard(), Calib::Embedded(), "e1");
  ASSERT_TRUE(set);
  const Sample& sample = set->samples[0];
  EXPECT_EQ(sample.figure, Figure::kDeparture);
  ASSERT_EQ(sample.terms.size(), 3U);
  EXPECT_NEAR(sample.terms[1].weight, -0.8, 1e-12);
  EXPECT_NEAR(sample.terms[2].weight, -0.2, 1e-12);
}

TEST(PhotoReading, WhatIsNoneIsRefused) {
  EXPECT_EQ(
      Refusal([](Json& json) { json["covariance_um2"].erase(0); }),
      "log.jsonl:1, covariance_um2: holds 5 numbers for 3 points (the lower triangle, row by row)");
  EXPECT_EQ(Refusal([](Json& json) { json["covariance_um2"][2] = -1; }),
            "log.jsonl:1, covariance_um2: number 3 is no variance or covariance (the lower "
            "triangle, row by row, in square "
            "micrometres)");
  EXPECT_NE(
      Refusal([](Json& json) { json["points"][1]["height_mm"] = 900; }).find("points[1].height_mm"),
      std::string::npos);
  EXPECT_NE(Refusal([](Json& json) { json["points"] = Json::array(); }).find("0 points"),
            std::string::npos);
  EXPECT_NE(Refusal([](Json& json) { json["pose"] = "sitting"; }).find("pose"), std::string::npos);
}

TEST(PhotoReading, APointOffTheBoardIsRefused) {
  PhotoReading reading = Example();
  reading.points[1].at_mm.x() = 320.0;
  const auto set = ToSamples(reading, AnyBoard(), Calib::Embedded(), "e1");
  ASSERT_FALSE(set);
  EXPECT_EQ(set.error().Text(),
            "e1, point B: x 320 y 6 mm is off the board (check the board's size and the table of "
            "stickers)");
}

}  // namespace
}  // namespace lieflat
