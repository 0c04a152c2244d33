// One board read in every way must give one figure. The boards are made by hand: an edge z(t), t
// from its first letter to its second, positive towards the component side; each way of reading is
// worked out from where the tool would touch.

#include <algorithm>
#include <map>

#include "lieflat/base/random.h"

#include "readings/support.h"

#include "support/counts.h"

namespace lieflat {
namespace {

using testing::Board305;
using testing::HeightRow;
using testing::Rows;
using testing::Samples;
using testing::UprightRow;

constexpr double kTolMm = 1e-9;  // a few roundings of lengths near 1 mm

/// Departure of the edge's middle from the samples, whichever form they have.
double MiddleOf(const SampleSet& set, const std::string& edge) {
  std::map<std::string, double> z;
  for (const auto& sample : set.samples) {
    if (sample.figure == Figure::kDeparture && sample.name == edge) {
      return sample.value_mm;
    }
    z[sample.name] = sample.value_mm;
  }
  return z.at(edge) - 0.5 * (z.at(edge.substr(0, 1)) + z.at(edge.substr(1, 1)));
}

Gauge Upright(std::vector<GaugeRow> rows) {
  Gauge gauge;
  gauge.rest = Rest::kUpright;
  gauge.temperature_c = 21.0;
  gauge.rows = std::move(rows);
  return gauge;
}

Gauge OnPoints(Side down, Face face, std::vector<GaugeRow> rows) {
  Gauge gauge;
  gauge.rest = Rest::kPoints;
  gauge.down = down;
  gauge.face = face;
  const auto supports = SupportsFromText("A,B,61:200,244:200", Board305(), "--at");
  gauge.supports = *supports;
  gauge.rest_height_mm = 30.0;
  gauge.rows = std::move(rows);
  return gauge;
}

// The middle of AB stands 1.5 mm towards the component side.
TEST(Signs, EveryWayOfReadingGivesTheSameDeparture) {
  const double d = 1.5;
  const std::vector<Gauge> ways = {
      // on the component face it rests on the hump and rocks there: each end stands 1.5 mm off
      Upright({UprightRow(Edge::kAB, Side::kComponent, 0.0, d),
               UprightRow(Edge::kAB, Side::kComponent, 305.0, d)}),
      // tilted until one end touches: the other stands twice as far off
      Upright({UprightRow(Edge::kAB, Side::kComponent, 0.0, 0.0),
               UprightRow(Edge::kAB, Side::kComponent, 305.0, 2.0 * d)}),
      // on the solder face it touches both ends and bridges the hollow
      Upright({UprightRow(Edge::kAB, Side::kSolder, {}, d)}),
      Upright({UprightRow(Edge::kAB, Side::kSolder, 152.5, d)}),
      // over a flat surface, solder side down: the middle is further from it
      OnPoints(Side::kSolder,
               Face::kUnder,
               {HeightRow("A", 30.0), HeightRow("AB", 30.0 + d), HeightRow("B", 30.0)}),
      OnPoints(Side::kSolder,
               Face::kOver,
               {HeightRow("A", 31.6), HeightRow("AB", 31.6 + d), HeightRow("B", 31.6)}),
      // turned over, the middle is nearer to it
      OnPoints(Side::kComponent,
               Face::kUnder,
               {HeightRow("A", 33.0), HeightRow("AB", 33.0 - d), HeightRow("B", 33.0)}),
      OnPoints(Side::kComponent,
               Face::kOver,
               {HeightRow("A", 34.6), HeightRow("AB", 34.6 - d), HeightRow("B", 34.6)})};
  for (std::size_t i = 0; i < ways.size(); ++i) {
    SCOPED_TRACE("way " + std::to_string(i));
    const auto set = Samples(ways[i]);
    ASSERT_TRUE(set) << set.error().Text();
    EXPECT_NEAR(MiddleOf(*set, "AB"), d, kTolMm);
  }
}

// A parabola of any bow, either way, on any edge: a straightedge on the face that is hollow touches
// the ends and shows the sagitta; on the other face it rocks at the middle, and the two ends' gaps
// have it as their mean, however it tilts.
TEST(Signs, BothFacesAgreeOnRandomEdges) {
  const std::uint64_t seed = 11;
  SCOPED_TRACE("seed " + std::to_string(seed));
  Random random(seed);
  const Board board = Board305();
  for (int i = 0; i < testing::Count(500, 5000); ++i) {
    const Edge edge = kEdges.at(static_cast<std::size_t>(random.Below(4)));
    const double length = board.EdgeLength(edge);
    const double d = random.Uniform(-4.0, 4.0);
    const Side hollow = d > 0.0 ? Side::kSolder : Side::kComponent;
    const Side hump = d > 0.0 ? Side::kComponent : Side::kSolder;
    const double tilt = random.Uniform(-1.0, 1.0) * std::abs(d);
    const auto set = Samples(Upright({UprightRow(edge, hollow, {}, std::abs(d)),
                                      UprightRow(edge, hump, length, std::abs(d) - tilt),
                                      UprightRow(edge, hump, 0.0, std::abs(d) + tilt)}));
    ASSERT_TRUE(set) << set.error().Text();
    ASSERT_EQ(set->samples.size(), 2U);
    EXPECT_NEAR(set->samples[0].value_mm, d, kTolMm);
    EXPECT_NEAR(set->samples[1].value_mm, d, kTolMm);
  }
}

// Rocking off the middle: the edge z(t) = t for t < 1/4, then falling to 0 at the end, scaled to a
// peak of 2 mm at 1/4. On the component face the straightedge touches the peak; with gaps g0 and g1
// at the ends the peak is (3 g0 + g1) / 4 over the chord. Level with the chord: 2 and 2; tilted by
// 0.4 mm per half length about the peak: 1.8 and 2.6.
TEST(Signs, RockingElsewhereThanAtTheMiddle) {
  for (const auto& [g0, g1] : {std::pair(2.0, 2.0), std::pair(1.8, 2.6)}) {
    const auto set = Samples(Upright({UprightRow(Edge::kAB, Side::kComponent, 0.0, g0),
                                      UprightRow(Edge::kAB, Side::kComponent, 76.25, 0.0),
                                      UprightRow(Edge::kAB, Side::kComponent, 305.0, g1)}));
    ASSERT_TRUE(set) << set.error().Text();
    ASSERT_EQ(set->samples.size(), 1U);
    const Sample& sample = set->samples[0];
    EXPECT_NEAR(sample.value_mm, 2.0, kTolMm);
    EXPECT_EQ(sample.name, "AB at 76 mm");
    EXPECT_NEAR(sample.terms[0].at_mm.x(), 76.25, kTolMm);
    EXPECT_NEAR(sample.terms[1].weight, -0.75, kTolMm);
    EXPECT_NEAR(sample.terms[2].weight, -0.25, kTolMm);
  }
}

// Corners A and C raised by 1 mm over a plane: q = 1 - 0 + 1 - 0 = 2 mm.
TEST(Signs, TwistIsTheSameByEveryForm) {
  const double q = 2.0;
  Gauge strips = Upright({});
  strips.strips = StripReading{Edge::kDA, Edge::kBC, 600.0, q * 600.0 / 244.0, 1.0};
  Gauge along = Upright({});
  along.strips = StripReading{Edge::kAB, Edge::kCD, 610.0, q * 610.0 / 305.0, 1.0};
  Gauge corner;
  corner.rest = Rest::kTable;
  corner.lead_tail_mm = 2.0;
  corner.corner = CornerReading{'C', {}, {}, 2.0, 0.1};  // A B D on the table
  Gauge referee = corner;
  referee.corner.reset();
  referee.referee = RefereeReading{"AC", 1.5, 0.5, 0.02};  // q = 2 (R1 - R2)
  for (const Gauge& gauge : {strips, along, corner, referee}) {
    const auto set = Samples(gauge);
    ASSERT_TRUE(set) << set.error().Text();
    ASSERT_EQ(set->samples.size(), 1U);
    EXPECT_EQ(set->samples[0].figure, Figure::kTwist);
    EXPECT_NEAR(set->samples[0].value_mm, q, kTolMm) << set->samples[0].name;
  }
}

// The corner that stands off: + for A and C, - for B and D; the other way round when the board is
// turned over (bare, as a board with parts cannot lie on them).
TEST(Signs, CornerThatStandsOff) {
  Board bare = Board305();
  bare.populated = false;
  for (const char corner : std::string("ABCD")) {
    for (const Side down : {Side::kSolder, Side::kComponent}) {
      Gauge gauge;
      gauge.rest = Rest::kTable;
      gauge.down = down;
      gauge.corner = CornerReading{corner, {}, {}, 1.2, 0.1};
      const auto set = ToSamples(gauge, bare, Calib::Embedded(), {}, "e1");
      ASSERT_TRUE(set) << set.error().Text();
      const bool positive = (corner == 'A' || corner == 'C') == (down == Side::kSolder);
      EXPECT_NEAR(set->samples[0].value_mm, positive ? 1.2 : -1.2, kTolMm) << corner;
    }
  }
}

// Seen with the component side down, a point at x mm from the left is at 305 - x in the board
// frame; letters name physical corners and stay. Turned back, nothing is mirrored.
TEST(Signs, AsSeenIsMirroredOnce) {
  const std::string sheet = "x_mm,y_mm,height_mm\n30,40,1\n305,0,2\n";
  const auto plain = Rows(sheet, Rest::kPoints, Side::kComponent, false);
  const auto seen = Rows(sheet, Rest::kPoints, Side::kComponent, true);
  const auto seen_up = Rows(sheet, Rest::kPoints, Side::kSolder, true);
  ASSERT_TRUE(plain && seen && seen_up);
  EXPECT_NEAR((*plain)[0].at_mm->x(), 30.0, kTolMm);
  EXPECT_NEAR((*seen)[0].at_mm->x(), 275.0, kTolMm);
  EXPECT_NEAR((*seen)[0].at_mm->y(), 40.0, kTolMm);
  EXPECT_NEAR((*seen)[1].at_mm->x(), 0.0, kTolMm);
  EXPECT_NEAR((*seen_up)[0].at_mm->x(), 30.0, kTolMm);
  const auto letters = Rows("station,height_mm\nB,2\n", Rest::kPoints, Side::kComponent, true);
  ASSERT_TRUE(letters);
  EXPECT_EQ((*letters)[0].station, "B");
}

std::vector<std::string> Described(const std::string& header, std::vector<std::string> lines) {
  std::string text = header + "\n";
  for (const auto& line : lines) {
    text += line + "\n";
  }
  const auto rows = Rows(text, Rest::kUpright);
  EXPECT_TRUE(rows) << rows.error().Text();
  const auto set = Samples(Upright(*rows));
  EXPECT_TRUE(set) << set.error().Text();
  std::vector<std::string> described;
  for (const auto& sample : set->samples) {
    described.push_back(sample.name + " " + std::to_string(sample.value_mm) + " " +
                        std::to_string(sample.sd_mm()));
  }
  std::sort(described.begin(), described.end());
  return described;
}

TEST(Signs, RowOrderDoesNotMatter) {
  const std::string header = "edge,side,at_mm,go_mm,no_go_mm";
  std::vector<std::string> lines = {"AB,component,0,1.40,1.45",
                                    "AB,component,305,1.6,",
                                    "AB,component,305,,1.65",
                                    "AB,component,140,,0.05",
                                    "BC,solder,,0.50,0.55",
                                    "CD,solder,,1.00+0.40,1.00+0.45"};
  std::sort(lines.begin(), lines.end());
  const auto first = Described(header, lines);
  EXPECT_EQ(first.size(), 3U);
  while (std::next_permutation(lines.begin(), lines.end())) {
    ASSERT_EQ(Described(header, lines), first);
  }
}

}  // namespace
}  // namespace lieflat
