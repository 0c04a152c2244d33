// Marks as they are saved, and what is refused.

#include <algorithm>

#include <gtest/gtest.h>

#include "damage/marks.h"

namespace lieflat {
namespace {

using testing::DamagedBoard;
using testing::MarkOf;

std::string Refusal(const char* text) {
  const auto mark = ParseMark(Json::parse(text), "log.jsonl:3");
  return mark ? "" : mark.error().where + ": " + mark.error().message;
}

TEST(MarkFormat, ComesBackAsItWasWritten) {
  Mark mark = MarkOf("edge-nick", {{"nick-depth", 1.5}}, {"frayed"}, "U1", "laminate");
  mark.at_mm = {{0, 100}, {2, 101}, {0, 104}};
  mark.outline = true;
  mark.side = Side::kSolder;
  mark.measures["nick-depth"].u95 = 0.1;
  mark.photo = "photos/n.jpg";
  mark.note = "fell";
  const auto back = ParseMark(ToJson(mark), "x");
  ASSERT_TRUE(back) << back.error().Text();
  EXPECT_EQ(DumpJsonLine(ToJson(*back)), DumpJsonLine(ToJson(mark)));
}

TEST(MarkFormat, Refusals) {
  EXPECT_EQ(Refusal(R"({"kind": "scratch"})"), "log.jsonl:3, at_mm: the mark has no place");
  EXPECT_EQ(Refusal(R"({"kind": "scratch", "near": ["U1"], "measures": {"depht": {"value": 1}}})"),
            "log.jsonl:3, measures: \"depht\" is no measure of damage");
  EXPECT_EQ(Refusal(R"({"kind": "scratch", "near": [3]})"),
            "log.jsonl:3, near: holds something that is no text");
  EXPECT_EQ(Refusal(R"({"kind": "scratch", "at_mm": [[1, "2"]]})"),
            "log.jsonl:3, at_mm: holds something that is no place");
  EXPECT_NE(Refusal(R"({"kind": "scrach", "near": ["U1"]})"), "");
  EXPECT_NE(Refusal(R"({"kind": "scratch", "near": ["U1"], "extra": 1})"), "");
  EXPECT_NE(Refusal(R"({"kind": "scratch", "near": ["U1"], "measures": {"width": {"value": -1}}})"),
            "");
  EXPECT_NE(Refusal(R"({"kind": "scratch", "at_mm": [[1, 2]], "outline": true})"), "");
}

TEST(MarkFormat, MustLieOnTheBoard) {
  const Board board = DamagedBoard();
  Mark mark = MarkOf("scratch");
  EXPECT_TRUE(CheckMark(mark, board, "b"));
  mark.at_mm = {{300.5, 100}};
  EXPECT_TRUE(CheckMark(mark, board, "b")) << "at the edge, by a rough reading";
  mark.at_mm = {{302, 100}};
  EXPECT_FALSE(CheckMark(mark, board, "b"));
  mark = MarkOf("scratch", {}, {}, "U9");
  const auto fault = CheckMark(mark, board, "b");
  ASSERT_FALSE(fault);
  EXPECT_EQ(fault.error().message, "no part is named \"U9\"");
}

TEST(MarkChange, AnAnswerTakesThePlaceOfItsOpposite) {
  Mark mark = MarkOf("broken-latch", {}, {"still-holds"}, "J1");
  MarkChange change;
  change.aspects = {"no-longer-holds"};
  change.measures["width"] = {0.3, 0.05};
  change.depth = "copper";
  Apply(change, Calib::Embedded(), mark);
  EXPECT_EQ(mark.aspects, std::vector<std::string>{"no-longer-holds"});
  EXPECT_EQ(mark.measures.at("width").u95, 0.05);
  EXPECT_EQ(mark.depth, "copper");
  EXPECT_EQ(mark.state, MarkState::kOpen);
}

TEST(MarkChange, ComesBackAsItWasWrittenAndChangesTheState) {
  MarkChange change;
  change.mark = "e7";
  change.depth = "through";
  change.measures["width"] = {0.3, 0.05};
  change.aspects = {"frayed"};
  change.note = "glued";
  for (const MarkState state : {MarkState::kRepaired, MarkState::kAccepted, MarkState::kOpen}) {
    change.state = state;
    const auto back = ParseMarkChange(ToJson(change), "x");
    ASSERT_TRUE(back) << back.error().Text();
    EXPECT_EQ(DumpJsonLine(ToJson(*back)), DumpJsonLine(ToJson(change)));
    Mark mark = MarkOf("scratch");
    Apply(*back, Calib::Embedded(), mark);
    EXPECT_EQ(mark.state, state);
    EXPECT_EQ(mark.state_note, "glued");
    EXPECT_EQ(mark.depth, "through");
    EXPECT_EQ(mark.aspects, std::vector<std::string>{"frayed"});
  }
  EXPECT_EQ(Json::parse(R"({"mark": "e7"})"),
            ToJson(*ParseMarkChange(Json::parse(R"({"mark": "e7"})"), "x")));
  const auto refused = [](const char* text) {
    const auto back = ParseMarkChange(Json::parse(text), "log.jsonl:4");
    return back ? std::string("taken") : back.error().where;
  };
  EXPECT_EQ(refused(R"({"state": "open"})"), "log.jsonl:4, mark");
  EXPECT_EQ(refused(R"({"mark": "e7", "state": "gone"})"), "log.jsonl:4, state");
  EXPECT_EQ(refused(R"({"mark": "e7", "depth": "deep"})"), "log.jsonl:4, depth");
  EXPECT_EQ(refused(R"({"mark": "e7", "aspects": ["nice"]})"), "log.jsonl:4, aspects");
  EXPECT_EQ(refused(R"({"mark": "e7", "colour": "red"})"), "log.jsonl:4, colour");
}

TEST(MarkFormat, Words) {
  EXPECT_STREQ(Name(MarkState::kOpen), "open");
  EXPECT_STREQ(Name(MarkState::kRepaired), "repaired");
  EXPECT_STREQ(Name(MarkState::kAccepted), "accepted");
  EXPECT_THROW((void)Name(static_cast<MarkState>(3)), std::logic_error);
  const std::vector<std::string> measures = DamageMeasures(Calib::Embedded());
  EXPECT_NE(std::find(measures.begin(), measures.end(), "nick-depth"), measures.end());
  // Round an outline: 3 + 4 + 5.
  Mark mark = MarkOf("delamination");
  mark.at_mm = {{10, 10}, {13, 10}, {13, 14}};
  EXPECT_DOUBLE_EQ(mark.DrawnLength(), 7.0);
  mark.outline = true;
  EXPECT_DOUBLE_EQ(mark.DrawnLength(), 12.0);
  Board bare = DamagedBoard();
  bare.parts.clear();
  EXPECT_EQ(CheckMark(MarkOf("scratch", {}, {}, "U1"), bare, "b").error().remedy,
            "the board has no parts yet; give --at X,Y or --region");
}

}  // namespace
}  // namespace lieflat
