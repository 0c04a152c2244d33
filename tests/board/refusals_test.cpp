// What board.json may not say, each with its exact text. A row changes one value of a good board.

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "lieflat/board/board.h"

namespace lieflat {
namespace {

struct Row {
  std::string pointer;   ///< JSON pointer of the value that is changed
  std::string value;     ///< JSON text; empty: the value is removed
  std::string expected;  ///< Error::Text()
};

Json GoodBoard() {
  return ParseJson(R"({
    "format": "lieflat-board", "version": 1, "label": "a",
    "outline_mm": [[0,0],[305,0],[305,244],[0,244]], "corners_mm": [[0,0],[305,0],[305,244],[0,244]],
    "cutouts_mm": [[[100,100],[120,100],[120,120],[100,120]]],
    "thickness_mm": 1.6, "mass_g": 640, "mass_u_g": 5,
    "parts": [{"ref": "U1", "class": "pbga", "x_mm": 60, "y_mm": 60, "length_mm": 35, "width_mm": 35},
              {"ref": "U7", "class": "qfp", "region": "top-left"}],
    "holes_mm": [{"x_mm": 6.5, "y_mm": 6.5, "diameter_mm": 4, "use": "mount"}]})",
                   "board.json")
      .value();
}

const std::vector<Row> kRows = {
    {"/format",
     R"("board")",
     R"(board.json, format: "board" is not "lieflat-board" (this is no board description))"},
    {"/format", "", R"(board.json, format: is missing (add "format": a text in quotes))"},
    {"/version",
     "2",
     "board.json, version: lieflat-board 2 is of a later program; this one knows up to version 1 "
     "(use a newer lieflat)"},
    {"/version", "0", "board.json, version: 0 is outside 1 to 1000000 (check the value)"},
    {"/version",
     R"("1")",
     R"(board.json, version: expected a whole number, found "1" (write it without quotes))"},
    {"/label",
     R"("two\nlines")",
     R"(board.json, label: "two\x0Alines" holds a control character (write it as one line of plain text))"},
    {"/labl",
     R"("a")",
     R"(board.json, labl: is not a field that is known here (did you mean "label"?))"},
    {"/works",
     R"("maybe")",
     R"(board.json, works: "maybe" is not one of: yes, partly, no, untested (use one of these words))"},
    {"/need",
     R"("cas")",
     R"(board.json, need: "cas" is not one of: case, cards, cooler, sale, none (did you mean "case"?))"},
    {"/worth", "7", "board.json, worth: expected a text, found 7 (write it in quotes)"},
    {"/mounting",
     R"("through hole")",
     R"(board.json, mounting: "through hole" is not one of: smt, mixed, through-hole (did you mean "through-hole"?))"},
    {"/populated",
     R"("yes")",
     R"(board.json, populated: expected true or false, found "yes" (write it without quotes))"},
    {"/acceptance_class",
     "4",
     "board.json, acceptance_class: 4 is outside 1 to 3 (check the value)"},
    {"/copper_layers",
     "2.5",
     "board.json, copper_layers: expected a whole number, found 2.5 (write it without quotes)"},
    {"/year", "98", "board.json, year: 98 is outside 1950 to 2100 (check the value)"},
    {"/thickness_mm", "", R"(board.json, thickness_mm: is missing (add "thickness_mm": a number))"},
    {"/thickness_mm",
     "16",
     "board.json, thickness_mm: 16 is outside 0.2 to 6 (check the value and its unit)"},
    {"/thickness_mm",
     R"("1.6")",
     R"(board.json, thickness_mm: expected a number, found "1.6" (write it without quotes))"},
    {"/thickness_mm",
     "null",
     "board.json, thickness_mm: expected a number, found null (write it without quotes)"},
    {"/thickness_u_mm",
     "0.9",
     "board.json, thickness_u_mm: 0.9 is more than half of the thickness 1.6 (give the standard "
     "uncertainty of the thickness in mm)"},
    {"/thickness_u_mm",
     "0",
     "board.json, thickness_u_mm: 0 must be above 0 and at most 1 (check the value and its unit)"},
    {"/mass_g",
     "25000",
     "board.json, mass_g: 25000 is outside 1 to 20000 (check the value and its unit)"},
    {"/mass_g",
     "100",
     "board.json, mass_g: 100 g is less than the bare laminate weighs, 219.1 g (check the mass, "
     "the thickness and the size)"},
    {"/mass_g", "", "board.json, mass_u_g: stands without mass_g (add mass_g, or remove mass_u_g)"},
    {"/mass_u_g",
     "500",
     "board.json, mass_u_g: 500 is more than half of the mass 640 (give the standard uncertainty "
     "of the mass in g)"},
    {"/laminate",
     R"("fr4-tg13")",
     R"(board.json, laminate: "fr4-tg13" is no laminate that is known (did you mean "fr4-tg130"? known: fr4-tg130, fr4-tg150, fr4-tg170, cem-1, cem-3, fr2))"},
    {"/laminate", "4", "board.json, laminate: expected a text, found 4 (write it in quotes)"},
    {"/laminate",
     R"({"modulus_x_gpa": 20})",
     R"(board.json, laminate.modulus_y_gpa: is missing (add "modulus_y_gpa": a number))"},
    {"/laminate",
     R"({"modulus_x_gpa": 20000})",
     "board.json, laminate.modulus_x_gpa: 20000 is outside 0.1 to 500 (check the value and its "
     "unit)"},
    {"/limit", "0.5", "board.json, limit: expected an object in braces, found 0.5 (write { ... })"},
    {"/limit",
     R"({"percent": 20, "origin": "own"})",
     "board.json, limit.percent: 20 is outside 0.01 to 10 (check the value and its unit)"},
    {"/limit",
     R"({"percent": 0.5, "origin": ""})",
     R"(board.json, limit.origin: is empty (say where the limit is from, for example "own choice"))"},
    {"/outline_mm", "", R"(board.json, outline_mm: is missing (add "outline_mm": [ ... ]))"},
    {"/outline_mm",
     R"("305x244")",
     R"(board.json, outline_mm: expected a list in brackets, found "305x244" (write [ ... ]))"},
    {"/outline_mm",
     "[[0,0],[305,244]]",
     "board.json, outline_mm: has 2 points, needs 3 to 500 (write "
     "[[0,0],[305,0],[305,244],[0,244]])"},
    {"/outline_mm",
     R"([[0,0],[305,0],[305,"244"],[0,244]])",
     "board.json, outline_mm[2]: expected a point of two numbers (write [x,y])"},
    {"/outline_mm",
     "[[0,0],[305,244],[305,0],[0,244]]",
     "board.json, outline_mm: the edges from points 0 and 2 meet (list the points in the order "
     "round the edge)"},
    {"/outline_mm",
     "[[0,0],[305,0],[305,244],[0,244],[0,0]]",
     "board.json, outline_mm: points 4 and 0 are the same, [0,0] (name each point once; the last "
     "joins to the first by itself)"},
    {"/outline_mm",
     "[[0,0],[3050,0],[305,244],[0,244]]",
     "board.json, outline_mm[1]: [3050,0] is outside -1000 to 1000 mm (check the value and its "
     "unit)"},
    {"/outline_mm",
     "[[0,0],[30,0],[30,10],[0,10]]",
     "board.json, outline_mm: the board is 30 by 10 mm, a side must be 20 to 700 mm (check the "
     "values and their unit)"},
    {"/corners_mm",
     "[[0,0],[305,0],[305,244]]",
     "board.json, corners_mm: has 3 points, needs 4 (give corners_mm as four points A, B, C, D: A "
     "at [0,0], B along x on the longer side, then on counter-clockwise)"},
    {"/corners_mm",
     "[[0,0],[305,0],[280,220],[0,244]]",
     "board.json, corners_mm[2]: corner C at [280,220] is 24.0 mm off the outline, at most 10 mm "
     "is allowed (take the point of the outline that is nearest to the corner)"},
    {"/corners_mm",
     "[[0,0],[0,244],[305,244],[305,0]]",
     "board.json, corners_mm: A, B, C, D do not run counter-clockwise round the board (give "
     "corners_mm as four points A, B, C, D: A at [0,0], B along x on the longer side, then on "
     "counter-clockwise)"},
    {"/corners_mm",
     "[[305,0],[305,244],[0,244],[0,0]]",
     "board.json, corners_mm: corner A is at [305,0], not at the origin (shift all coordinates so "
     "that the lower left corner is [0,0])"},
    {"/corners_mm",
     "[[0,0],[305,9],[305,244],[0,244]]",
     "board.json, corners_mm: corner B is at [305,9], not on the x axis (turn the board so that AB "
     "lies along x)"},
    {"/cutouts_mm",
     "[[[290,100],[310,100],[310,120]]]",
     "board.json, cutouts_mm[0]: the cut-out does not lie wholly inside the outline (a notch in "
     "the edge belongs to outline_mm)"},
    {"/cutouts_mm",
     "[[[100,100],[120,100],[120,120]],[[110,90],[118,90],[118,115]]]",
     "board.json, cutouts_mm[1]: the cut-out overlaps another one (join them into one)"},
    {"/parts",
     "{}",
     "board.json, parts: expected a list in brackets, found an object (write [ ... ])"},
    {"/parts/0/ref", "", R"(board.json, parts[0].ref: is missing (add "ref": a text in quotes))"},
    {"/parts/0/ref",
     R"("")",
     "board.json, parts[0].ref: is empty (name the part as the board does, for example U1)"},
    {"/parts/0/ref",
     R"("U7")",
     R"(board.json, parts[1].ref: "U7" stands for another part already (number them apart))"},
    {"/parts/0/class",
     R"("bga")",
     R"(board.json, parts[0].class: "bga" is not one of: pbga, fcbga, csp, cbga, lccc, mlcc, chip-resistor, ferrite, crystal, glass-diode, plcc, plcc-socket, cerdip, qfp, soic, tsop, dip, socket, slot, connector, electrolytic, battery, heatsink, label, other (did you mean "pbga"?))"},
    {"/parts/0/class",
     R"("heatsinks")",
     R"(board.json, parts[0].class: "heatsinks" is not one of: pbga, fcbga, csp, cbga, lccc, mlcc, chip-resistor, ferrite, crystal, glass-diode, plcc, plcc-socket, cerdip, qfp, soic, tsop, dip, socket, slot, connector, electrolytic, battery, heatsink, label, other (did you mean "heatsink"?))"},
    {"/parts/0/x_mm",
     "400",
     "board.json, parts[0].x_mm: the centre [400,60] of U1 is off the board (coordinates are in mm "
     "from corner A, component side seen)"},
    {"/parts/0/x_mm",
     "10",
     "board.json, parts[0].x_mm: U1 reaches 7.5 mm over the board's edge, at most 5 mm is allowed "
     "(check its centre, size and rotation, or give the length that stands on the board)"},
    {"/parts/0/y_mm",
     "",
     "board.json, parts[0].y_mm: is missing beside its partner (give both, the centre of the "
     "part)"},
    {"/parts/0/width_mm",
     "",
     "board.json, parts[0].width_mm: is missing beside its partner (give both sides of the part)"},
    {"/parts/0/length_mm",
     "0",
     "board.json, parts[0].length_mm: 0 is outside 0.2 to 700 (check the value and its unit)"},
    {"/parts/0/region",
     R"("top-left")",
     "board.json, parts[0].region: stands beside a place (give x_mm and y_mm, or a region, not "
     "both)"},
    {"/parts/1/region",
     R"("left-top")",
     R"(board.json, parts[1].region: "left-top" is not one of: top-left, top-centre, top-right, middle-left, middle-centre, middle-right, bottom-left, bottom-centre, bottom-right (use one of these words))"},
    {"/parts/0/side",
     R"("top")",
     R"(board.json, parts[0].side: "top" is not one of: component, solder (use one of these words))"},
    {"/parts/0/rotation",
     "90",
     "board.json, parts[0].rotation: is not a field that is known here (remove it, or correct its "
     "name)"},
    {"/parts/0/height_mm",
     "-2",
     "board.json, parts[0].height_mm: -2 must be above 0 and at most 200 (check the value and its "
     "unit)"},
    {"/parts/0/joint_count",
     "0",
     "board.json, parts[0].joint_count: 0 is outside 1 to 10000 (check the value)"},
    {"/parts/0/body",
     R"({"modulus": 20})",
     "board.json, parts[0].body.modulus: is not a field that is known here (remove it, or correct "
     "its name)"},
    {"/parts/0/joint",
     "[2600]",
     "board.json, parts[0].joint: expected an object in braces, found a list (write { ... })"},
    {"/parts/1",
     R"("U7")",
     R"(board.json, parts[1]: expected an object in braces, found "U7" (write {"name": value, ...}))"},
    {"/holes_mm/0/diameter_mm",
     "400",
     "board.json, holes_mm[0].diameter_mm: 400 is outside 0.1 to 100 (check the value and its "
     "unit)"},
    {"/holes_mm/0/x_mm",
     "310",
     "board.json, holes_mm[0].x_mm: the hole at [310,6.5] is off the board (coordinates are in mm "
     "from corner A, component side seen)"},
    {"/holes_mm/0/y_mm", "", R"(board.json, holes_mm[0].y_mm: is missing (add "y_mm": a number))"}};

TEST(BoardRefusals, GoodBoardIsTaken) {
  const auto board = ParseBoard(GoodBoard(), "board.json", Calib::Embedded());
  EXPECT_TRUE(board) << board.error().Text();
}

TEST(BoardRefusals, EachWithItsText) {
  for (const Row& row : kRows) {
    SCOPED_TRACE(row.pointer + " = " + row.value);
    Json json = GoodBoard();
    const Json::json_pointer at(row.pointer);
    if (row.value.empty()) {
      json.at(at.parent_pointer()).erase(at.back());
    } else {
      json[at] = ParseJson(row.value, "row").value();
    }
    const auto board = ParseBoard(json, "board.json", Calib::Embedded());
    if (board) {
      ADD_FAILURE() << "taken";
      continue;
    }
    EXPECT_EQ(board.error().code, ErrorCode::kRefused);
    EXPECT_EQ(board.error().Text(), row.expected);
  }
}

TEST(BoardRefusals, TooMuchToHold) {
  Json json = GoodBoard();
  json["cutouts_mm"] = Json::array();
  for (int i = 0; i < 201; ++i) json["cutouts_mm"].push_back({{1, 1}, {2, 1}, {2, 2}});
  EXPECT_EQ(ParseBoard(json, "b", Calib::Embedded()).error().Text(),
            "b, cutouts_mm: has 201 cut-outs, at most 200 are allowed (leave out small ones)");
  json["cutouts_mm"] = Json::array();
  Json comb = Json::array();  // 402 points: a comb, then its back
  for (int i = 0; i < 401; ++i) comb.push_back({10.0 + 0.1 * i, i % 2 == 0 ? 10.0 : 10.5});
  comb.push_back({30.0, 9.0});
  for (int i = 0; i < 5; ++i) {
    json["cutouts_mm"].push_back(comb);
    for (Json& point : comb) point[1] = point[1].get<double>() + 10.0;
  }
  EXPECT_EQ(ParseBoard(json, "b", Calib::Embedded()).error().Text(),
            "b, cutouts_mm[4]: the cut-outs have over 2000 points together (draw round openings "
            "with fewer points)");
  json = GoodBoard();
  json["label"] = std::string(201, 'x');
  EXPECT_EQ(ParseBoard(json, "b", Calib::Embedded()).error().Text(),
            "b, label: is 201 bytes long, at most 200 are allowed (shorten it)");
}

TEST(BoardRefusals, NoObject) {
  EXPECT_EQ(
      ParseBoard(Json::array(), "board.json", Calib::Embedded()).error().Text(),
      "board.json: expected an object in braces, found a list (write {\"name\": value, ...})");
}

TEST(BoardRefusals, AnOutlineThatIsNoRectangleNeedsCorners) {
  Json json = GoodBoard();
  json["outline_mm"] = {{0, 0}, {305, 0}, {305, 200}, {250, 244}, {0, 244}};
  json.erase("corners_mm");
  EXPECT_EQ(ParseBoard(json, "b", Calib::Embedded()).error().Text(),
            "b, corners_mm: is missing, and the outline is no rectangle (give corners_mm as four "
            "points A, B, C, D: A at "
            "[0,0], B along x on the longer side, then on counter-clockwise)");
}

TEST(BoardRefusals, ARectangleOnEndIsTold) {
  Json json = GoodBoard();
  json["outline_mm"] = {{0, 0}, {244, 0}, {244, 305}, {0, 305}};
  json.erase("corners_mm");
  EXPECT_EQ(ParseBoard(json, "b", Calib::Embedded()).error().Text(),
            "b, outline_mm: AB and CD are 244 mm long, BC and DA 305 mm: AB must be a longer side "
            "(turn the board by a "
            "quarter so that the longer side lies along x)");
}

}  // namespace
}  // namespace lieflat
