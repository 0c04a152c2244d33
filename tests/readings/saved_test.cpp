// The saved form comes back as it was, and what does not belong is refused.

#include "readings/support.h"

namespace lieflat {
namespace {

using testing::Board305;
using testing::HeightRow;
using testing::UprightRow;

Gauge FullUpright() {
  Gauge gauge;
  gauge.temperature_c = 21.5;
  gauge.instrument = "blades";
  gauge.surface = "straightedge";
  gauge.fitted = {"cooler", "cards"};
  gauge.rows = {UprightRow(Edge::kAB, Side::kSolder, 152.5, 1.25)};
  GaugeRow pair;
  pair.edge = Edge::kBC;
  pair.side = Side::kComponent;
  pair.go_mm = 1.40;
  pair.no_go_mm = 1.45;
  pair.blades = 2;
  gauge.rows.push_back(pair);
  gauge.strips = StripReading{Edge::kDA, Edge::kBC, 600.0, -6.0, 1.0};
  return gauge;
}

Gauge FullPoints() {
  Gauge gauge;
  gauge.rest = Rest::kPoints;
  gauge.down = Side::kComponent;
  gauge.face = Face::kOver;
  gauge.supports = {{"A", {0, 0}}, {"", {244, 49}}, {"CD", {152.5, 244}}};
  gauge.rest_height_mm = 25.0;
  gauge.rows = {HeightRow("M", 26.0), HeightRow("", 27.0)};
  gauge.rows[1].at_mm = Eigen::Vector2d(30, 40);
  gauge.rows[1].u_mm = 0.05;
  return gauge;
}

Gauge FullTable() {
  Gauge gauge;
  gauge.rest = Rest::kTable;
  gauge.lead_tail_mm = 1.8;
  gauge.corner = CornerReading{'B', 1.0, 1.1, {}, {}};
  gauge.referee = RefereeReading{"BD", 1.8, 0.3, 0.05};
  return gauge;
}

TEST(Saved, ComesBackAsItWas) {
  for (const Gauge& gauge : {FullUpright(), FullPoints(), FullTable()}) {
    const Json json = ToJson(gauge);
    const auto text = DumpJsonLine(json);
    const auto again = ParseJson(text, "log.jsonl:1");
    ASSERT_TRUE(again);
    const auto back = ParseGauge(*again, "log.jsonl:1, reading");
    ASSERT_TRUE(back) << back.error().Text();
    EXPECT_EQ(DumpJsonLine(ToJson(*back)), text);
  }
  EXPECT_EQ(
      DumpJsonLine(ToJson(FullPoints())),
      R"({"rest":"points","down":"component","reading":"over","at":[{"station":"A","x_mm":0.0,)"
      R"("y_mm":0.0},{"x_mm":244.0,"y_mm":49.0},{"station":"CD","x_mm":152.5,"y_mm":244.0}],)"
      R"("rest_height_mm":25.0,"rows":[{"station":"M","height_mm":26.0},)"
      R"({"x_mm":30.0,"y_mm":40.0,"height_mm":27.0,"u_mm":0.05}]})");
}

// What is read back is worth the same.
TEST(Saved, GivesTheSameSamples) {
  const Gauge gauge = FullUpright();
  const auto back = ParseGauge(ToJson(gauge), "e1");
  ASSERT_TRUE(back);
  const auto one = testing::Samples(gauge);
  const auto other = testing::Samples(*back);
  ASSERT_TRUE(one && other);
  ASSERT_EQ(one->samples.size(), other->samples.size());
  for (std::size_t i = 0; i < one->samples.size(); ++i) {
    EXPECT_EQ(one->samples[i].value_mm, other->samples[i].value_mm);
    EXPECT_EQ(one->samples[i].sd_mm(), other->samples[i].sd_mm());
  }
}

}  // namespace
}  // namespace lieflat
