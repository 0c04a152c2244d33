// Which readings count, and that one assessment hangs together.

#include <algorithm>

#include <gtest/gtest.h>

#include "lieflat/assess/assessment.h"

#include "support/simulated_board.h"

namespace lieflat {
namespace {

const Calib& Numbers() { return Calib::Embedded(); }
constexpr std::int64_t kNoon = 1772449200;  // 2026-03-02T11:00:00Z
constexpr std::int64_t kDay = 86400;

Entry GaugeEntry(const std::string& id, std::int64_t at, Gauge gauge) {
  Entry entry;
  entry.id = id;
  entry.kind = "gauge";
  entry.at = {at, 60};
  entry.fitted = gauge.fitted;
  entry.line = std::stoi(id.substr(1));
  entry.gauge = std::move(gauge);
  return entry;
}

Gauge Upright(const std::vector<std::pair<Edge, double>>& departures, double u = 0.02) {
  Gauge gauge;
  gauge.rest = Rest::kUpright;
  gauge.temperature_c = 21.0;
  for (const auto& [edge, departure] : departures) {
    GaugeRow row;
    row.edge = edge;
    row.side = departure > 0 ? Side::kSolder : Side::kComponent;
    row.value_mm = std::abs(departure);
    row.u_mm = u;
    gauge.rows.push_back(row);
  }
  return gauge;
}

Gauge OnTable(double corner_c, double middle) {
  Gauge gauge;
  gauge.rest = Rest::kTable;
  gauge.lead_tail_mm = 0.0;
  for (const char* station : {"A", "B", "C", "D", "AB", "BC", "CD", "DA"}) {
    GaugeRow row;
    row.station = station;
    row.value_mm = row.station == "C" ? corner_c : row.station.size() == 2 ? middle : 0.0;
    row.u_mm = 0.02;
    gauge.rows.push_back(row);
  }
  return gauge;
}

BoardFolder::State StateWith(std::vector<Entry> entries) {
  BoardFolder::State state;
  state.board = RectangularBoard(305, 244, Numbers()).value();
  state.board.label = "crate-9/001";
  state.board.mass_g = Uncertain{640, 5};
  state.log.entries = std::move(entries);
  return state;
}

const std::vector<std::pair<Edge, double>> kFourEdges = {
    {Edge::kAB, 3.0}, {Edge::kBC, 0.4}, {Edge::kCD, 2.8}, {Edge::kDA, 0.5}};

Assessment Assessed(const BoardFolder::State& state) {
  auto assessment = Assess(state, Bench{}, Numbers(), {kNoon + 10 * kDay, 60});
  EXPECT_TRUE(assessment) << assessment.error().Text();
  return std::move(*assessment);
}

/// What is left of an upright reading along AB once its lean is off. A board of 640 g on 305 x 244
/// mm, 1.57 mm thick, E 22 GPa, stands under q = 8.43e-5 N/mm2 with D = 7.2e3 N mm, so Hc = (7.84 D
/// / q)^(1/3) = 875 mm, and 305 mm of it lean 1 / (1 - (305/875)^3) = 1.044 times (Timoshenko &
/// Gere, Theory of Elastic Stability, 2nd ed., art. 2.12); read standing or lying, half of that.
constexpr double kUnleant = 1.0 / 1.022;
constexpr double kLeanRoom = 0.006;  ///< of the figure: the fit weighs the lean's spread

// Closed form: 3.0 mm under a straightedge on 305 mm is 0.9836 %, over 0.75 %.
TEST(Assess, UprightReadingsGiveTheStressFreeBow) {
  const Assessment a = Assessed(StateWith({GaugeEntry("e1", kNoon, Upright(kFourEdges))}));
  EXPECT_NEAR(a.flatness.bow_percent, kUnleant * 100 * 3.0 / 305, kLeanRoom);
  EXPECT_NEAR(a.weight->bow_percent.value(), 100 * 3.0 / 305, 0.003);
  EXPECT_EQ(a.flatness.bow_verdict, Verdict::kOver);
  EXPECT_TRUE(a.flatness.weight_removed);
  EXPECT_EQ(a.flatness.twist_verdict, Verdict::kNotMeasured);
  EXPECT_EQ(ToJson(a)["flatness"]["bow_edge"], "AB");
  EXPECT_FALSE(ToJson(a)["flatness"].contains("twist_percent"));
}

TEST(Assess, UprightWinsOverTheTableAndSaysSo) {
  const auto state = StateWith({GaugeEntry("e1", kNoon, Upright(kFourEdges)),
                                GaugeEntry("e2", kNoon + 60, OnTable(1.0, 0.5))});
  const Assessment a = Assessed(state);
  EXPECT_EQ(a.held, "upright");
  ASSERT_EQ(a.passed_over.size(), 1U);
  EXPECT_EQ(a.passed_over.front(),
            "e2: lying on a table, solder side down; the readings upright count");
}

// What a table shows is within, but the board's own weight may hide more than is missing to the
// limit.
TEST(Assess, ATableThatHidesTheShapeKeepsTheVerdictOpen) {
  const Assessment a = Assessed(StateWith({GaugeEntry("e1", kNoon, OnTable(0.5, 0.9))}));
  EXPECT_TRUE(a.flatness.weight_removed);
  EXPECT_LT(a.weight->bow_percent.value(), 0.75);
  EXPECT_GT(a.flatness.bow_percent95.high, 0.75);
  EXPECT_EQ(a.flatness.bow_verdict, Verdict::kUndecided);
  EXPECT_TRUE(std::any_of(a.notes.begin(), a.notes.end(), [](const std::string& note) {
    return note.find("hides") != std::string::npos && note.find("upright") != std::string::npos;
  }));
}

TEST(Assess, ANewerDayReplacesAnOlderOneButOneSittingIsAveraged) {
  const auto later = Upright({{Edge::kAB, 2.0}});
  const Assessment newer = Assessed(StateWith(
      {GaugeEntry("e1", kNoon, Upright(kFourEdges)), GaugeEntry("e2", kNoon + 2 * kDay, later)}));
  EXPECT_NEAR(newer.flatness.edges[0].gap_mm, kUnleant * 2.0, 0.05);
  EXPECT_NEAR(newer.flatness.edges[1].gap_mm, 0.4, 0.05);
  const Assessment same =
      Assessed(StateWith({GaugeEntry("e1", kNoon, Upright(kFourEdges, 0.2)),
                          GaugeEntry("e2", kNoon + 600, Upright({{Edge::kAB, 2.8}}, 0.2))}));
  EXPECT_NEAR(same.flatness.edges[0].gap_mm, kUnleant * 2.9, 0.05);
}

TEST(Assess, VoidedEntriesAndThoseBeforeAHoldArePassedOver) {
  auto first = GaugeEntry("e1", kNoon, Upright(kFourEdges));
  auto wrong = GaugeEntry("e2", kNoon + 60, Upright({{Edge::kAB, 9.0}}));
  wrong.voided = true;
  EXPECT_NEAR(Assessed(StateWith({first, wrong})).flatness.edges[0].gap_mm, kUnleant * 3.0, 0.05);

  Entry hold;
  hold.id = "e3";
  hold.kind = "hold-end";
  hold.line = 3;
  hold.at = {kNoon + 1800, 60};
  auto after =
      GaugeEntry("e4",
                 kNoon + 3600,
                 Upright({{Edge::kAB, 1.0}, {Edge::kBC, 0.1}, {Edge::kCD, 1.0}, {Edge::kDA, 0.1}}));
  EXPECT_NEAR(Assessed(StateWith({first, hold, after})).flatness.bow_percent,
              kUnleant * 100 * 1.0 / 305,
              0.01);
  // Written down afterwards: what counts is when it was.
  EXPECT_NEAR(Assessed(StateWith({first, after, hold})).flatness.bow_percent,
              kUnleant * 100 * 1.0 / 305,
              0.01);
}

TEST(Assess, OtherFittingsAreNotMixed) {
  auto with_cooler = Upright({{Edge::kAB, 2.0}});
  with_cooler.fitted = {"cooler"};
  const Assessment a = Assessed(StateWith(
      {GaugeEntry("e1", kNoon, Upright(kFourEdges)), GaugeEntry("e2", kNoon + 60, with_cooler)}));
  ASSERT_EQ(a.passed_over.size(), 1U);
  EXPECT_NE(a.passed_over.front().find("fitted"), std::string::npos);
}

// The middle of a 5 x 5 grid read 1.5 mm too high is named and kept.
TEST(Assess, ABadReadingIsNamedNotDropped) {
  Gauge gauge;
  gauge.rest = Rest::kFree;
  for (int k = 0; k < 25; ++k) {
    GaugeRow row;
    const double u = k % 5 / 2.0 - 1.0;
    row.at_mm = Eigen::Vector2d(k % 5 * 305.0 / 4, k / 5 * 61.0);
    row.value_mm = 2.0 + 1.2 * (1.0 - u * u) + (k == 12 ? 1.5 : 0.0);
    row.u_mm = 0.03;
    gauge.rows.push_back(row);
  }
  const Assessment a = Assessed(StateWith({GaugeEntry("e1", kNoon, gauge)}));
  ASSERT_EQ(a.surface->outliers.size(), 1U);
  EXPECT_EQ(a.used.size(), 25U);
  EXPECT_NEAR(a.surface->outliers.front().others_suggest_mm - a.surface->outliers.front().value_mm,
              -1.5,
              0.15);
  EXPECT_NE(a.flatness.next_reading.find("again"), std::string::npos);
}

// Three readings of one edge, one of them 1.5 mm off what the others agree on to 0.02 mm, is a
// slip; a twist read once, on straight edges, is not: no other reading speaks of it.
TEST(Assess, UprightSlipsAreNamedButALoneTwistIsNot) {
  Gauge gauge = Upright(kFourEdges);
  const Gauge again = Upright({{Edge::kAB, 3.0}, {Edge::kAB, 4.5}});
  gauge.rows.insert(gauge.rows.end(), again.rows.begin(), again.rows.end());
  const Assessment slip = Assessed(StateWith({GaugeEntry("e1", kNoon, gauge)}));
  ASSERT_EQ(slip.surface->outliers.size(), 1U);
  EXPECT_NEAR(slip.surface->outliers.front().value_mm, 4.5, 1e-9);
  EXPECT_NEAR(slip.surface->outliers.front().others_suggest_mm, 3.0, 0.1);

  // The same on a flat board with a coarser tool: 1.5 mm against three readings of 0.1 mm, each to
  // 0.1 mm.
  const Assessment coarse = Assessed(StateWith({GaugeEntry("e1",
                                                           kNoon,
                                                           Upright({{Edge::kAB, 0.1},
                                                                    {Edge::kAB, 0.1},
                                                                    {Edge::kAB, 0.1},
                                                                    {Edge::kAB, 1.5},
                                                                    {Edge::kBC, 0.1},
                                                                    {Edge::kCD, 0.1},
                                                                    {Edge::kDA, 0.1}},
                                                                   0.1))}));
  ASSERT_EQ(coarse.surface->outliers.size(), 1U);
  EXPECT_NEAR(coarse.surface->outliers.front().value_mm, 1.5, 1e-9);

  Gauge twisted = Upright({{Edge::kAB, 0.1}, {Edge::kBC, 0.1}, {Edge::kCD, 0.1}, {Edge::kDA, 0.1}});
  twisted.strips = StripReading{Edge::kDA, Edge::kBC, 600.0, 20.0, 1.0};
  EXPECT_TRUE(Assessed(StateWith({GaugeEntry("e1", kNoon, twisted)})).surface->outliers.empty());
}

TEST(Assess, NothingReadYetIsSaidWithWhatToRead) {
  const Assessment a = Assessed(StateWith({}));
  EXPECT_FALSE(a.read);
  const Json json = ToJson(a);
  EXPECT_EQ(json["flatness"]["bow_verdict"], "not-measured");
  EXPECT_EQ(json["recommended"], "measure-further");
  EXPECT_FALSE(json["flatness"]["next_reading"].get<std::string>().empty());
}

TEST(Assess, TheSameStateGivesTheSameBytes) {
  const auto state = StateWith({GaugeEntry("e1", kNoon, Upright(kFourEdges))});
  EXPECT_EQ(DumpJson(ToJson(Assessed(state))), DumpJson(ToJson(Assessed(state))));
}

}  // namespace
}  // namespace lieflat
