// The first look's intervals and sides against the laws that they are drawn from, and the edges of
// what it takes.

#include <cmath>

#include <gtest/gtest.h>

#include "lieflat/choice/first_look.h"

namespace lieflat {
namespace {

constexpr double kTolDraws = 0.06;  // of a width: 8000 draws, and the shortest of many intervals

/// 300 x 200 mm, D = 360.555 mm; 0.75 % is 2.25 mm, 1.5 mm, and 5.408 mm of twist.
FirstLook Look(std::vector<FirstLook::EdgeGap> bows) {
  FirstLook look;
  look.length_mm = 300;
  look.width_mm = 200;
  look.bows = std::move(bows);
  return look;
}

FirstLookAnswer Sort(const FirstLook& look) {
  const auto answer = SortAtFirstLook(look, Calib::Embedded());
  if (!answer) throw std::runtime_error(answer.error().Text());
  return *answer;
}

// All four read, one far larger: a normal law of u about it, 95 % within 1.96 u.
TEST(FirstLookDraws, AReadGapIsNormal) {
  FirstLook look = Look({{Edge::kAB, 6.0}, {Edge::kBC, 0.0}, {Edge::kCD, 0.0}, {Edge::kDA, 0.0}});
  const auto along = Sort(look);
  EXPECT_NEAR(*along.bow_percent, 2.0, 1e-12);
  EXPECT_NEAR(along.bow_percent95->half_width(), 1.96 * 0.3 / 3.0, kTolDraws * 0.2);
  EXPECT_NEAR(0.5 * (along.bow_percent95->low + along.bow_percent95->high), 2.0, 0.02);
  look.bows = {{Edge::kAB, 0.0}, {Edge::kBC, 0.0}, {Edge::kCD, 0.0}, {Edge::kDA, 6.0}};
  const auto across = Sort(look);
  EXPECT_NEAR(*across.bow_percent, 3.0, 1e-12);
  EXPECT_NEAR(across.bow_percent95->half_width(), 1.96 * 0.3 / 2.0, kTolDraws * 0.3);
}

// One of a pair read, almost exactly: the other is that times 1 +- 0.1, +- 0.1 mm
// (calib/choice.json, first_look). The larger of the two is the read one in half of the draws, and
// above it half a normal law of s = hypot(0.1 gap, 0.1 mm), of which 95 % of all lies under 1.645
// s.
TEST(FirstLookDraws, TheOtherEdgeOfAPairIsLikeIt) {
  for (const double gap_mm : {0.5, 6.0}) {
    FirstLook look = Look({{Edge::kCD, gap_mm}, {Edge::kBC, 0.0}, {Edge::kDA, 0.0}});
    look.gap_u_mm = 1e-4;
    const auto answer = Sort(look);
    const double s_mm = std::hypot(0.1 * gap_mm, 0.1);
    EXPECT_NEAR(answer.bow_percent95->low, gap_mm / 3.0, 1e-3);
    EXPECT_NEAR(answer.bow_percent95->high - gap_mm / 3.0,
                1.645 * s_mm / 3.0,
                kTolDraws * 1.645 * s_mm / 3.0)
        << gap_mm;
  }
}

// A corner's gap is read to u; tips of strips of l along the short edges to 1.0 mm, times 200 / l.
// A gap is never negative: of one that reads 0 half of the normal law is left.
TEST(FirstLookDraws, TwistByItsReading) {
  const double percent_a_mm = 100.0 / (2.0 * std::hypot(300.0, 200.0));
  FirstLook look = Look({});
  look.corner_gap_mm = 5.0;
  const auto corner = Sort(look);
  EXPECT_NEAR(corner.twist_percent95->half_width(),
              1.96 * 0.3 * percent_a_mm,
              kTolDraws * 0.6 * percent_a_mm);
  look.corner_gap_mm = 0.0;
  const auto flat = Sort(look);
  EXPECT_NEAR(flat.twist_percent95->low, 0.0, 0.01 * percent_a_mm);
  EXPECT_NEAR(flat.twist_percent95->high, 1.96 * 0.3 * percent_a_mm, 0.04 * percent_a_mm);
  look.corner_gap_mm.reset();
  look.tip_difference_mm = 20.0;
  look.strip_length_mm = 500.0;
  const auto strips = Sort(look);
  EXPECT_NEAR(*strips.twist_percent, 8.0 * percent_a_mm, 1e-9);
  EXPECT_NEAR(strips.twist_percent95->half_width(),
              1.96 * 1.0 * 0.4 * percent_a_mm,
              kTolDraws * 0.8 * percent_a_mm);
}

// The wrong side may have a chance of one in ten (calib/choice.json): 1.28 u from the limit, here
// with a margin of 0.07 u for the draws.
TEST(FirstLookDraws, TheSideIsCalledFromOneInTen) {
  const double limit_mm = 0.0075 * 2.0 * std::hypot(300.0, 200.0);
  const auto says = [&](double u_off) {
    FirstLook look = Look({});
    look.corner_gap_mm = limit_mm + u_off * 0.3;
    const std::string said = Sort(look).because.back();
    return said.substr(0, said.find(" the limit"));
  };
  EXPECT_EQ(says(-1.35), "The twist looks within");
  EXPECT_EQ(says(-1.21), "The twist is too close to");
  EXPECT_EQ(says(1.21), "The twist is too close to");
  EXPECT_EQ(says(1.35), "The twist is over");
}

struct Words {
  double ab_mm, bc_mm;
  const char* works;
  const char* need;
  const char* part;
  const char* first;
};

TEST(FirstLookDraws, SaysWhyItSortsSo) {
  const std::vector<Words> rows = {
      {6.0,
       0.5,
       "partly",
       "none",
       "cbga",
       "Do not press it or screw it flat: large parts that bending harms are on it ("},
      {6.0,
       0.5,
       "untested",
       "none",
       "cbga",
       "It is over the limit: measure it properly to see which parts the bend has strained."},
      {6.0,
       0.5,
       "untested",
       "case",
       "qfp",
       "It is over the limit and is to be flat: measure it properly before anything is done."},
      {0.3,
       0.2,
       "untested",
       "none",
       "cbga",
       "It looks flat enough: leave it as it is, and test it."},
      {0.3,
       0.2,
       "untested",
       "case",
       "cbga",
       "It looks flat enough as it is: use it so, and do not press it."},
      {2.2,
       0.2,
       "untested",
       "case",
       "cbga",
       "A rule by eye cannot tell the side of the limit: measure it properly."},
      {6.0,
       0.5,
       "yes",
       "none",
       "cbga",
       "It works and nothing needs it flat: leave it as it is, whatever the bend."}};
  for (const Words& row : rows) {
    FirstLook look = Look({{Edge::kAB, row.ab_mm}, {Edge::kBC, row.bc_mm}});
    look.works = row.works;
    look.need = row.need;
    look.large_parts = {row.part};
    EXPECT_TRUE(Sort(look).because.front().starts_with(row.first)) << Sort(look).because.front();
  }
  EXPECT_EQ(Sort(Look({{Edge::kAB, 0.3}})).because.front(),
            "Too little was read to sort it: read one long edge and one short edge.");
  EXPECT_EQ(Sort(Look({})).because.back(), "No bow was read, so nothing is known of it.");
  // 6 mm over 300 mm.
  EXPECT_TRUE(Sort(Look({{Edge::kAB, 6.0}}))
                  .because.back()
                  .starts_with("The bow is over the limit of 0.75 %: 2.00 % (1."));
}

// Sizes of 20 to 700 mm, gaps of 0 to 50, u up to 5, strips up to 3000 mm, ends included.
TEST(FirstLookDraws, EndsOfTheRangesAreTaken) {
  const auto taken = [](void (*change)(FirstLook&)) {
    FirstLook look = Look({{Edge::kAB, 1.0}, {Edge::kBC, 1.0}});
    change(look);
    return static_cast<bool>(SortAtFirstLook(look, Calib::Embedded()));
  };
  EXPECT_TRUE(taken([](FirstLook& l) { l.length_mm = 700; }));
  EXPECT_FALSE(taken([](FirstLook& l) { l.length_mm = 700.5; }));
  EXPECT_TRUE(taken([](FirstLook& l) { l.width_mm = 20; }));
  EXPECT_FALSE(taken([](FirstLook& l) { l.width_mm = 19.5; }));
  EXPECT_TRUE(taken([](FirstLook& l) { l.bows[1].gap_mm = 50; }));
  EXPECT_TRUE(taken([](FirstLook& l) { l.bows[1].gap_mm = 0; }));
  EXPECT_TRUE(taken([](FirstLook& l) { l.corner_gap_mm = 50; }));
  EXPECT_TRUE(taken([](FirstLook& l) { l.gap_u_mm = 5; }));
  EXPECT_FALSE(taken([](FirstLook& l) { l.gap_u_mm = 5.1; }));
  const auto strips = [](FirstLook& l) {
    l.tip_difference_mm = -200;
    l.strip_length_mm = 3000;
  };
  EXPECT_TRUE(taken(strips));
  EXPECT_FALSE(taken([](FirstLook& l) {
    l.tip_difference_mm = 200.5;
    l.strip_length_mm = 3000;
  }));
}

// The same ranges hold for what was saved.
TEST(FirstLookDraws, SavedLinesHoldTheSameRanges) {
  FirstLook look = Look({{Edge::kAB, 1.0}});
  look.tip_difference_mm = 10.0;
  look.strip_length_mm = 300.0;
  const auto refused = [&](const char* change) {
    Json json = ToJson(look);
    json.merge_patch(ParseJson(change, "change").value());
    const auto back = ParseFirstLook(json, "log.jsonl:1, look");
    return back ? std::string("taken") : back.error().where;
  };
  for (const char* fine : {R"({"length_mm": 20})",
                           R"({"length_mm": 700})",
                           R"({"width_mm": 20})",
                           R"({"width_mm": 700})",
                           R"({"corner_gap_mm": 0})",
                           R"({"corner_gap_mm": 50})",
                           R"({"tip_difference_mm": -200})",
                           R"({"tip_difference_mm": 200})",
                           R"({"strip_length_mm": 20})",
                           R"({"strip_length_mm": 3000})",
                           R"({"gap_u_mm": 5})",
                           R"({"gap_u_mm": 0.01})",
                           R"({"bows": [{"edge": "CD", "gap_mm": 0}]})",
                           R"({"bows": [{"edge": "CD", "gap_mm": 50}]})"})
    EXPECT_EQ(refused(fine), "taken") << fine;
  EXPECT_EQ(refused(R"({"length_mm": 19.9})"), "log.jsonl:1, look.length_mm");
  EXPECT_EQ(refused(R"({"length_mm": 700.1})"), "log.jsonl:1, look.length_mm");
  EXPECT_EQ(refused(R"({"width_mm": 19.9})"), "log.jsonl:1, look.width_mm");
  EXPECT_EQ(refused(R"({"width_mm": 700.1})"), "log.jsonl:1, look.width_mm");
  EXPECT_EQ(refused(R"({"corner_gap_mm": -0.1})"), "log.jsonl:1, look.corner_gap_mm");
  EXPECT_EQ(refused(R"({"corner_gap_mm": 50.1})"), "log.jsonl:1, look.corner_gap_mm");
  EXPECT_EQ(refused(R"({"tip_difference_mm": -200.1})"), "log.jsonl:1, look.tip_difference_mm");
  EXPECT_EQ(refused(R"({"tip_difference_mm": 200.1})"), "log.jsonl:1, look.tip_difference_mm");
  EXPECT_EQ(refused(R"({"strip_length_mm": 19.9})"), "log.jsonl:1, look.strip_length_mm");
  EXPECT_EQ(refused(R"({"strip_length_mm": 3000.1})"), "log.jsonl:1, look.strip_length_mm");
  EXPECT_EQ(refused(R"({"gap_u_mm": 0})"), "log.jsonl:1, look.gap_u_mm");
  EXPECT_EQ(refused(R"({"gap_u_mm": 5.1})"), "log.jsonl:1, look.gap_u_mm");
  EXPECT_EQ(refused(R"({"bows": [{"edge": "CD", "gap_mm": -0.1}]})"),
            "log.jsonl:1, look.bows[0].gap_mm");
  EXPECT_EQ(refused(R"({"bows": [{"edge": "CD", "gap_mm": 50.1}]})"),
            "log.jsonl:1, look.bows[0].gap_mm");
  EXPECT_EQ(refused(R"({"bows": [{"edge": "CD", "gap_mm": 1, "way": "up"}]})"),
            "log.jsonl:1, look.bows[0].way");
  EXPECT_EQ(refused(R"({"works": "maybe"})"), "log.jsonl:1, look.works");
  EXPECT_EQ(refused(R"({"need": "frame"})"), "log.jsonl:1, look.need");
  EXPECT_EQ(refused(R"({"mounting": "glued"})"), "log.jsonl:1, look.mounting");
}

// Every figure of the answer's document, and none that was not read.
TEST(FirstLookDraws, Document) {
  FirstLook look = Look({{Edge::kAB, 6.0}, {Edge::kBC, 0.2}});
  look.corner_gap_mm = 2.0;
  const FirstLookAnswer answer = Sort(look);
  const Json json = ToJson(answer);
  EXPECT_EQ(json.at("version"), 1);
  EXPECT_EQ(json.at("sorted"), "measure");
  EXPECT_EQ(json.at("limit_side"), "over");
  EXPECT_EQ(json.at("limit_percent"), 0.75);
  EXPECT_EQ(json.at("bow_percent"), 2.0);
  EXPECT_EQ(json.at("bow_interval95_percent").at(0), answer.bow_percent95->low);
  EXPECT_EQ(json.at("twist_percent"), *answer.twist_percent);
  EXPECT_EQ(json.at("twist_interval95_percent").at(1), answer.twist_percent95->high);
  EXPECT_EQ(json.at("because").size(), answer.because.size());
  look.corner_gap_mm.reset();
  EXPECT_FALSE(ToJson(Sort(look)).contains("twist_percent"));
}

}  // namespace
}  // namespace lieflat
