// What is refused, by its exact words.

#include "readings/support.h"

namespace lieflat {
namespace {

using testing::Board305;
using testing::HeightRow;
using testing::Rows;
using testing::UprightRow;

struct SheetCase {
  Rest rest;
  const char* sheet;
  const char* message;
};

class BadSheet : public ::testing::TestWithParam<SheetCase> {};

TEST_P(BadSheet, IsRefused) {
  const auto rows = Rows(GetParam().sheet, GetParam().rest);
  ASSERT_FALSE(rows) << GetParam().sheet;
  EXPECT_EQ(rows.error().code, ErrorCode::kRefused);
  EXPECT_EQ(rows.error().Text(), GetParam().message);
}

const std::vector<SheetCase> kBadSheets = {
    {Rest::kUpright,
     "side,gap_mm\nsolder,1\n",
     "up.csv, header: there is no column edge (columns: "
     "edge,side,at_mm,gap_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kUpright,
     "edge,gap_mm\nAB,1\n",
     "up.csv, header: there is no column side (columns: "
     "edge,side,at_mm,gap_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kUpright,
     "edge,side\nAB,solder\n",
     "up.csv, header: there is no column gap_mm (or go_mm and no_go_mm) (columns: "
     "edge,side,at_mm,gap_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kUpright,
     "edge,side,gap\nAB,solder,1\n",
     "up.csv, header: column \"gap\" is not known with rest upright (columns: "
     "edge,side,at_mm,gap_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kUpright,
     "edge,side,gap_mm,colour\nAB,solder,1,red\n",
     "up.csv, header: column \"colour\" is not known with rest upright (columns: "
     "edge,side,at_mm,gap_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAC,solder,1\n",
     "up.csv:2, column edge: \"AC\" is no edge (give AB, BC, CD or DA)"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAB,top,1\n",
     "up.csv:2, column side: \"top\" is no face (give component or solder, the face that the "
     "straightedge touches)"},
    {Rest::kUpright,
     "edge,side,at_mm,gap_mm\nBC,solder,300,1\n",
     "up.csv:2, column at_mm: 300 mm is outside the edge, 0 to 244 mm (measure from the edge's "
     "first letter)"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAB,solder,\n",
     "up.csv:2: there is no reading in this row (give gap_mm, or the blades in go_mm and "
     "no_go_mm)"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAB,solder,wide\n",
     "up.csv:2, column gap_mm: \"wide\" is not a length (write it like 1.57, 12mil or 0.5in; "
     "units are mm, cm, mil, in or \")"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAB,solder,912\n",
     "up.csv:2, column gap_mm: gap 912 mm is outside 0 to 50 mm (check the decimal mark, or "
     "the unit in the column's name)"},
    {Rest::kUpright,
     "edge,side,gap_mm\nAB,solder,-1\n",
     "up.csv:2, column gap_mm: gap -1 mm is outside 0 to 50 mm (check the decimal mark, or the "
     "unit in the column's name)"},
    {Rest::kUpright,
     "edge;side;gap_mm\nAB;solder;1,2,3\n",
     "up.csv:2, column gap_mm: \"1,2,3\" has more than one decimal mark (write one mark and no "
     "thousands separator)"},
    {Rest::kUpright,
     "edge,side,gap_mm,u_mm\nAB,solder,1,0\n",
     "up.csv:2, column u_mm: u 0 mm is not above 0 and at most 5 mm (give the standard "
     "uncertainty in mm, or leave it empty for the instrument's own)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,2.25,2.20\n",
     "up.csv:2, column no_go_mm: no-go 2.2 mm is not above go 2.25 mm (the blade that did not "
     "go in must be the thicker one; are the two swapped?)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,2.20,\n",
     "up.csv:2: go 2.2 mm without a no-go is only a lower bound (say which blade did not go "
     "in)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,,\n",
     "up.csv:2: there is no reading in this row (give gap_mm, or the blades in go_mm and "
     "no_go_mm)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,1.00+,1.2\n",
     "up.csv:2, column go_mm: empty, where a length is expected (write one)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,60,61\n",
     "up.csv:2, column go_mm: go 60 mm is outside 0 to 50 mm (check the decimal mark, or the "
     "unit in the column's name)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm,u_mm\nAB,solder,1,1.1,0.1\n",
     "up.csv:2, column u_mm: u does not belong to a pair of blades (leave it out: the two "
     "blades say how sure the gap is)"},
    {Rest::kUpright,
     "edge,side,gap_mm,go_mm,no_go_mm\nAB,solder,1,1,1.1\n",
     "up.csv:2: both a value and blades are given (keep one of them)"},
    {Rest::kUpright,
     "edge,side,go_mm,no_go_mm\nAB,solder,1.3,\nAB,solder,,1.2\n",
     "up.csv:2: the rows of this place contradict each other: 1.3 mm went in and 1.2 mm did "
     "not (read the place again, or void the wrong row)"},
    {Rest::kPoints,
     "height_mm\n1\n",
     "up.csv, header: there is no column station (or x_mm and y_mm) (columns: "
     "station,x_mm,y_mm,height_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kPoints,
     "x_mm,height_mm\n1,1\n",
     "up.csv, header: there is no column station (or x_mm and y_mm) (columns: "
     "station,x_mm,y_mm,height_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kPoints,
     "edge,side,gap_mm\nAB,solder,1\n",
     "up.csv, header: column \"edge\" is not known with rest points (columns: "
     "station,x_mm,y_mm,height_mm,u_mm,go_mm,no_go_mm)"},
    {Rest::kPoints,
     "station,height_mm\nE,1\n",
     "up.csv:2, column station: \"E\" is no station (give A B C D, AB BC CD DA (mid-edges) or "
     "M, or use x_mm and y_mm)"},
    {Rest::kPoints,
     "station,height_mm\n,1\n",
     "up.csv:2, column station: the place of this reading is missing (give a station, or both "
     "x_mm and y_mm)"},
    {Rest::kPoints,
     "station,height_mm\nA,912\n",
     "up.csv:2, column height_mm: height 912 mm is outside 0 to 50 mm (check the decimal mark, "
     "or the unit in the column's name)"},
    {Rest::kPoints,
     "x_mm,y_mm,height_mm\n306,10,1\n",
     "up.csv:2, column x_mm: 306 mm is outside the board, 0 to 305 mm (places are in the board "
     "frame: from corner A, x along AB)"},
    {Rest::kPoints,
     "x_mm,y_mm,height_mm\n30,-1,1\n",
     "up.csv:2, column y_mm: -1 mm is outside the board, 0 to 244 mm (places are in the board "
     "frame: from corner A, x along AB)"},
    {Rest::kPoints,
     "x_mm,y_mm,height_mm\n30,,1\n",
     "up.csv:2, column y_mm: the place of this reading is missing (give a station, or both "
     "x_mm and y_mm)"},
    {Rest::kPoints,
     "station,x_mm,y_mm,height_mm\nA,0,0,1\n",
     "up.csv:2, column station: both a station and x_mm, y_mm are given (keep one of them)"},
    {Rest::kFree,
     "station,height_mm,u_mm\nA,-51,0.1\n",
     "up.csv:2, column height_mm: height -51 mm is outside -50 to 50 mm (check the decimal "
     "mark, or the unit in the column's name)"},
};

INSTANTIATE_TEST_SUITE_P(Refusals, BadSheet, ::testing::ValuesIn(kBadSheets));

struct GaugeCase {
  const char* name;
  void (*change)(Gauge&, Board&);
  const char* message;
};

class BadGauge : public ::testing::TestWithParam<GaugeCase> {};

/// A good entry of each kind to spoil.
Gauge OnPoints() {
  Gauge gauge;
  gauge.rest = Rest::kPoints;
  gauge.supports = *SupportsFromText("61:49,244:49,152:195", Board305(), "--at");
  gauge.rest_height_mm = 30.0;
  gauge.rows = {HeightRow("A", 30.0)};
  return gauge;
}

TEST_P(BadGauge, IsRefused) {
  Board board = Board305();
  Gauge gauge = OnPoints();
  std::vector<std::string> warnings;
  const auto good = CheckGauge(gauge, board, Calib::Embedded(), warnings);
  ASSERT_TRUE(good) << good.error().Text();
  GetParam().change(gauge, board);
  const auto checked = CheckGauge(gauge, board, Calib::Embedded(), warnings);
  ASSERT_FALSE(checked);
  EXPECT_EQ(checked.error().Text(), GetParam().message);
  const auto set = ToSamples(gauge, board, Calib::Embedded(), {}, "e3");
  ASSERT_FALSE(set);
  EXPECT_EQ(set.error().Text(), std::string("e3, ") + GetParam().message);
}

void Upright(Gauge& gauge, std::vector<GaugeRow> rows) {
  gauge = Gauge();
  gauge.rows = std::move(rows);
}

void Table(Gauge& gauge) {
  gauge = Gauge();
  gauge.rest = Rest::kTable;
  gauge.lead_tail_mm = 2.0;
}

const std::vector<GaugeCase> kBadSettings = {
    {"nothing read",
     [](Gauge& g, Board&) { g.rows.clear(); },
     "reading: there is no reading (give rows, strips or a corner)"},
    {"instrument",
     [](Gauge& g, Board&) { g.instrument = "blade"; },
     "instrument: \"blade\" is not known (did you mean blades? known: blades, steel-rule, "
     "drill-shanks, caliper-rod, cards, dial-indicator, height-gauge)"},
    {"surface",
     [](Gauge& g, Board&) { g.surface = "marble"; },
     "surface: \"marble\" is not known (known: plate-grade-0, plate-grade-1, plate-grade-2, "
     "plate-grade-3, glass, worktop, stone-tile, straightedge, steel-rule-edge, none)"},
    {"rest height",
     [](Gauge& g, Board&) { g.rest_height_mm = 250.0; },
     "rest_height_mm: 250 mm is outside 0 to 200 mm (check the value and its unit)"},
    {"lead tail",
     [](Gauge& g, Board&) { g.lead_tail_mm = 25.0; },
     "lead_tail_mm: 25 mm is outside 0 to 20 mm (check the value and its unit)"},
    {"temperature",
     [](Gauge& g, Board&) { g.temperature_c = 294.0; },
     "temperature_c: 294 C is outside -20 to 60 C (check the value and its unit)"},
    {"two rests",
     [](Gauge& g, Board&) { g.supports.pop_back(); },
     "at: 2 rest points, where 3 to 6 carry a board (best: three, two on a long edge and one at "
     "the middle of the opposite edge)"},
    {"three corners alone",
     [](Gauge& g, Board& b) { g.supports = *SupportsFromText("A,B,C", b, ""); },
     "at: the centre of mass (152.5, 122.0 mm) lies on the edge of the rest points, so the board "
     "may tip (move the rests so that it lies more than 12.2 mm inside)"},
    {"close to tipping",
     [](Gauge& g, Board& b) { g.supports = *SupportsFromText("0:110,305:110,152:244", b, ""); },
     "at: the centre of mass (152.5, 122.0 mm) lies only 12.0 mm inside the rest points, so the "
     "board may tip (move the rests so that it lies more than 12.2 mm inside)"},
    {"rests to one side",
     [](Gauge& g, Board& b) { g.supports = *SupportsFromText("0:0,60:0,30:240", b, ""); },
     "at: the centre of mass (152.5, 122.0 mm) lies outside the rest points, so the board may tip "
     "(move the rests so that it lies more than 12.2 mm inside)"},
    {"rests in a line",
     [](Gauge& g, Board& b) { g.supports = *SupportsFromText("DA,M,BC", b, ""); },
     "at: the centre of mass (152.5, 122.0 mm) lies on the edge of the rest points, so the board "
     "may tip (move the rests so that it lies more than 12.2 mm inside)"},
    {"rest off the board",
     [](Gauge& g, Board&) { g.supports[0].at_mm.x() = -5.0; },
     "at[0]: x -5 mm is outside the board, 0 to 305 mm (places are in the board frame: from corner "
     "A, x along AB)"},
    {"rests where none belong",
     [](Gauge& g, Board&) { g.rest = Rest::kFree; },
     "at: rest points do not belong to rest free (leave them out, or say that the board lay on "
     "points)"},
    {"rests too low",
     [](Gauge&, Board& b) {
       Part part;
       part.ref = "C1";
       part.part_class = "electrolytic";
       part.height_mm = 31.0;
       part.side = Side::kSolder;
       b.parts.push_back(part);
     },
     "rest_height_mm: rests of 30 mm are not higher than the tallest part below, 31 mm (use higher "
     "rests, or turn the board over)"},
};

const std::vector<GaugeCase> kBadRows = {
    {"blades at M",
     [](Gauge& g, Board&) {
       g.rows = {HeightRow("M", 0.0)};
       g.rows[0].value_mm.reset();
       g.rows[0].no_go_mm = 30.0;
     },
     "row 1, station: blades do not reach the middle of a board from its edge (read the height of "
     "the upper face there (reading over), or leave M out)"},
    {"unknown station",
     [](Gauge& g, Board&) { g.rows[0].station = "E"; },
     "row 1, station: \"E\" is no station (give A B C D, AB BC CD DA (mid-edges) or M, or x_mm and "
     "y_mm)"},
    {"no place",
     [](Gauge& g, Board&) { g.rows[0].station.clear(); },
     "row 1: the place of this reading is missing (give a station, or x_mm and y_mm)"},
    {"place off the board",
     [](Gauge& g, Board&) {
       g.rows[0].station.clear();
       g.rows[0].at_mm = Eigen::Vector2d(10, 245);
     },
     "row 1: y 245 mm is outside the board, 0 to 244 mm (places are in the board frame: from "
     "corner A, x along AB)"},
    {"height",
     [](Gauge& g, Board&) { g.rows[0].value_mm = 912.0; },
     "row 1, height_mm: height 912 mm is outside 0 to 50 mm (check the decimal mark, or the unit "
     "in the column's name)"},
    {"u",
     [](Gauge& g, Board&) { g.rows[0].u_mm = 6.0; },
     "row 1, u_mm: u 6 mm is not above 0 and at most 5 mm (give the standard uncertainty in mm, or "
     "leave it empty for the instrument's own)"},
    {"on its parts",
     [](Gauge& g, Board&) {
       Table(g);
       g.down = Side::kComponent;
       g.rows = {HeightRow("A", 1.0)};
     },
     "down: the board would lie on its parts, component side down on a table (lay it on rest "
     "points higher than the parts, or read it upright)"},
    {"no edge",
     [](Gauge& g, Board&) { Upright(g, {HeightRow("A", 1.0)}); },
     "row 1, edge: is missing (give AB, BC, CD or DA)"},
    {"no face",
     [](Gauge& g, Board&) {
       Upright(g, {UprightRow(Edge::kAB, Side::kSolder, {}, 1.0)});
       g.rows[0].side.reset();
     },
     "row 1, side: is missing (give component or solder, the face that the straightedge touches)"},
    {"beyond the edge",
     [](Gauge& g, Board&) { Upright(g, {UprightRow(Edge::kBC, Side::kSolder, 250.0, 1.0)}); },
     "row 1, at_mm: 250 mm is outside the edge, 0 to 244 mm (measure from the edge's first "
     "letter)"},
    {"one end alone",
     [](Gauge& g, Board&) { Upright(g, {UprightRow(Edge::kAB, Side::kSolder, 0.0, 0.0)}); },
     "row 1: AB on the solder face: one end alone says nothing of the bow (read the gap between "
     "the ends, or at both ends where it rocks)"},
    {"one end open",
     [](Gauge& g, Board&) { Upright(g, {UprightRow(Edge::kAB, Side::kSolder, 0.0, 1.0)}); },
     "row 1: AB on the solder face: the first letter's end has 1 of the gaps and the other 0 (a "
     "straightedge that rocks needs the gaps at both ends, as many at each)"},
    {"rocks and touches",
     [](Gauge& g, Board&) {
       Upright(g,
               {UprightRow(Edge::kAB, Side::kSolder, {}, 1.0),
                UprightRow(Edge::kAB, Side::kSolder, 0.0, 1.0),
                UprightRow(Edge::kAB, Side::kSolder, 305.0, 1.0)});
     },
     "row 1: AB on the solder face: gaps both at an end and between the ends (either it touches "
     "both ends, or it rocks and the ends alone have gaps)"},
    {"lower bound",
     [](Gauge& g, Board&) {
       Upright(g, {UprightRow(Edge::kAB, Side::kSolder, {}, 1.0)});
       g.rows[0].value_mm.reset();
       g.rows[0].go_mm = 1.0;
     },
     "row 1: go 1 mm without a no-go is only a lower bound (say which blade did not go in)"},
};

const std::vector<GaugeCase> kBadTwists = {
    {"strips on points",
     [](Gauge& g, Board&) {
       g.strips = StripReading{Edge::kDA, Edge::kBC, 600, 6, 1};
     },
     "strips: strips along the edges do not belong to rest points (read them with the board "
     "upright)"},
    {"strips side by side",
     [](Gauge& g, Board&) {
       Upright(g, {});
       g.strips = StripReading{Edge::kDA, Edge::kAB, 600, 6, 1};
     },
     "strips: DA and AB are not opposite edges (lay the strips along DA and BC, or along AB and "
     "CD)"},
    {"short strips",
     [](Gauge& g, Board&) {
       Upright(g, {});
       g.strips = StripReading{Edge::kDA, Edge::kBC, 200, 6, 1};
     },
     "strips, strip_length_mm: 200 mm is shorter than the edge, 244 mm (give the length from the "
     "levelled end to the tip that was sighted)"},
    {"tips far apart",
     [](Gauge& g, Board&) {
       Upright(g, {});
       g.strips = StripReading{Edge::kDA, Edge::kBC, 600, 260, 1};
     },
     "strips: tip difference 260 mm with u 1 mm (the difference is at most 200 mm and its u above "
     "0)"},
    {"corner upright",
     [](Gauge& g, Board&) {
       Upright(g, {});
       g.corner = CornerReading{'C', {}, {}, 1.0, {}};
     },
     "corner: the corners' form of twist does not belong to rest upright (it is taken on a flat "
     "surface: rest table)"},
    {"corner E",
     [](Gauge& g, Board&) {
       Table(g);
       g.corner = CornerReading{'E', {}, {}, 1.0, {}};
     },
     "corner: \"E\" is no corner (give A, B, C or D)"},
    {"corner with a lower bound",
     [](Gauge& g, Board&) {
       Table(g);
       g.corner = CornerReading{'C', 1.0, {}, {}, {}};
     },
     "corner, row 1: go 1 mm without a no-go is only a lower bound (say which blade did not go "
     "in)"},
    {"diagonal",
     [](Gauge& g, Board&) {
       Table(g);
       g.referee = RefereeReading{"AB", 1.0, 0.0, 0.02};
     },
     "referee, raised: \"AB\" is no diagonal (give AC or BD)"},
    {"lowest above highest",
     [](Gauge& g, Board&) {
       Table(g);
       g.referee = RefereeReading{"AC", 1.0, 2.0, 0.02};
     },
     "referee: highest 1 mm, lowest 2 mm, u 0.02 mm (the highest reading is not below the lowest, "
     "and u is above 0)"},
};

INSTANTIATE_TEST_SUITE_P(Settings, BadGauge, ::testing::ValuesIn(kBadSettings));
INSTANTIATE_TEST_SUITE_P(Rows, BadGauge, ::testing::ValuesIn(kBadRows));
INSTANTIATE_TEST_SUITE_P(Twists, BadGauge, ::testing::ValuesIn(kBadTwists));

struct SavedCase {
  const char* json;
  const char* message;
};

TEST(Refusals, BadSavedFields) {
  const std::vector<SavedCase> cases = {
      {R"({"down":"solder","reading":"under"})",
       "log.jsonl:4, reading.rest: is missing (one of: upright, points, table, free)"},
      {R"({"rest":"hung","down":"solder","reading":"under"})",
       "log.jsonl:4, reading.rest: \"hung\" is not one of: upright, points, table, free (use one "
       "of these words)"},
      {R"({"rest":"free","down":"left","reading":"under"})",
       "log.jsonl:4, reading.down: \"left\" is not one of: component, solder (use one of these "
       "words)"},
      {R"({"rest":"free","down":"solder","reading":"beside"})",
       "log.jsonl:4, reading.reading: \"beside\" is not one of: under, over (use one of these "
       "words)"},
      {R"({"rest":"free","down":"solder","reading":"under","row":[]})",
       "log.jsonl:4, reading.row: is not a field that is known here (did you mean \"rows\"?)"},
      {R"({"rest":"free","down":"solder","reading":"under","rows":{}})",
       "log.jsonl:4, reading.rows: expected a list in brackets, found an object (write [ ... ])"},
      {R"({"rest":"free","down":"solder","reading":"under",)"
       R"("rows":[{"station":"A","height_mm":"1"}]})",
       "log.jsonl:4, reading.rows[0].height_mm: expected a number, found \"1\" (write it without "
       "quotes)"},
      {R"({"rest":"free","down":"solder","reading":"under","rows":[{"station":"A","gap_mm":1}]})",
       "log.jsonl:4, reading.rows[0].gap_mm: is not a field that is known here (did you mean "
       "\"go_mm\"?)"},
      {R"({"rest":"upright","down":"solder","reading":"under",)"
       R"("rows":[{"edge":"AC","side":"solder"}]})",
       "log.jsonl:4, reading.rows[0].edge: \"AC\" is not one of: AB, BC, CD, DA (did you mean "
       "\"AB\"?)"},
      {R"({"rest":"upright","down":"solder","reading":"under",)"
       R"("strips":{"edges":["DA"],"strip_length_mm":600,"tip_difference_mm":6}})",
       "log.jsonl:4, reading.strips.edges: expected two edges (write [\"DA\", \"BC\"] or [\"AB\", "
       "\"CD\"])"},
      {R"({"rest":"table","down":"solder","reading":"under","corner":{"corner":"E","gap_mm":1}})",
       "log.jsonl:4, reading.corner.corner: \"E\" is not one of: A, B, C, D (use one of these "
       "words)"},
      {R"({"rest":"points","down":"solder","reading":"under","at":[{"station":"A"}]})",
       "log.jsonl:4, reading.at[0].x_mm: is missing (add \"x_mm\": a number)"},
      {R"({"rest":"free","down":"solder","reading":"under","fitted":[7]})",
       "log.jsonl:4, reading.fitted[0]: expected a text (write what was mounted, as in "
       "\"cooler\")"},
  };
  for (const auto& test : cases) {
    const auto json = ParseJson(test.json, "log");
    ASSERT_TRUE(json) << json.error().Text();
    const auto gauge = ParseGauge(*json, "log.jsonl:4, reading");
    ASSERT_FALSE(gauge) << test.json;
    EXPECT_EQ(gauge.error().Text(), test.message);
  }
}

TEST(Refusals, BadRestPoints) {
  const auto rests = SupportsFromText("A,X", Board305(), "--at");
  ASSERT_FALSE(rests);
  EXPECT_EQ(rests.error().Text(),
            "--at: \"X\" is no rest point (give letters (A B C D AB BC CD DA M) or x:y in mm, as "
            "in A,B,CD or "
            "61:49,244:49,152:195)");
}

// Allowed, but not in silence.
TEST(Warnings, WhatCostsCertainty) {
  Gauge gauge;
  gauge.rest = Rest::kTable;
  gauge.rows = {HeightRow("A", 0.0)};
  gauge.rows[0].value_mm.reset();
  gauge.rows[0].go_mm = 1.0;
  gauge.rows[0].no_go_mm = 2.5;
  std::vector<std::string> warnings;
  const auto checked = CheckGauge(gauge, Board305(), Calib::Embedded(), warnings);
  ASSERT_TRUE(checked) << checked.error().Text();
  const std::vector<std::string> expected = {
      "the board lies on its lead tails, whose length was not given: each height is less sure",
      "row 1: the blades leave 1.5 mm between them; a closer pair says more",
      "no temperature was given: let the board lie at room temperature first, 1 K between its "
      "faces bends "
      "305 mm of it by 0.10 mm"};
  EXPECT_EQ(warnings, expected);
}

}  // namespace
}  // namespace lieflat
