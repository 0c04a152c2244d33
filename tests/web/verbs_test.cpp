#include "app/web/verbs.h"

#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

const Disk::Path kBoard = "/crate/017";

TEST(Verbs, ARequestBecomesACommandLine) {
  const auto command =
      CommandOf(Json::parse(R"({"verb": "gauge", "flags": {"rest": "upright", "temperature": 21.5,
      "as-seen": true, "fitted": "", "when": "-x"}, "input": "edge,side\n"})"),
                kBoard);
  ASSERT_TRUE(command) << command.error().Text();
  EXPECT_THAT(command->words,
              ElementsAre("gauge",
                          "/crate/017",
                          "-",
                          "--json",
                          "--no-input",
                          "--rest=upright",
                          "--temperature=21.5",
                          "--as-seen",
                          "--when=-x"));
  EXPECT_EQ("edge,side\n", command->input);
}

TEST(Verbs, WordsStandBehindTwoDashes) {
  const auto note =
      CommandOf(Json::parse(R"({"verb": "note", "words": ["--calib=/tmp"]})"), kBoard);
  ASSERT_TRUE(note);
  EXPECT_THAT(note->words,
              ElementsAre("note", "/crate/017", "--json", "--no-input", "--", "--calib=/tmp"));
  const auto photo = CommandOf(
      Json::parse(
          R"({"verb": "photo", "words": ["photos/a.jpg"], "flags": {"tap": ["1,2", "3,4"]}})"),
      kBoard);
  ASSERT_TRUE(photo);
  EXPECT_THAT(photo->words,
              ElementsAre("photo",
                          "/crate/017",
                          "--json",
                          "--no-input",
                          "--tap=1,2",
                          "--tap=3,4",
                          "--",
                          "/crate/017/photos/a.jpg"));
}

TEST(Verbs, WhatIsNotListedIsRefused) {
  const std::pair<const char*, const char*> table[] = {
      {R"([])", "body: is no JSON object"},
      {R"({})", "verb: \"\" is not for the page"},
      {R"({"verb": 7})", "verb: \"\" is not for the page"},
      {R"({"verb": "open"})", "verb: \"open\" is not for the page"},
      {R"({"verb": "report"})", "verb: \"report\" is not for the page"},
      {R"({"verb": "note", "folder": "/"})", "body: \"folder\" is not known"},
      {R"({"verb": "note", "words": ["a", "b"]})", "words: note takes 1 words at most here"},
      {R"({"verb": "note", "words": "a"})", "words: note takes 1 words at most here"},
      {R"({"verb": "note", "words": [{}]})", "words: is no text and no number"},
      {R"({"verb": "note", "words": ["a\u0000"]})", "words: is no text and no number"},
      {R"({"verb": "note", "input": "x"})", "input: note takes none"},
      {R"({"verb": "note", "flags": ["x"]})", "flags: is no object"},
      {R"({"verb": "part", "flags": {"csv": "/etc/passwd"}})",
       "flags.csv: part takes no such flag here"},
      {R"({"verb": "gauge", "flags": {"calib": "/"}})",
       "flags.calib: gauge takes no such flag here"},
      {R"({"verb": "gauge", "flags": {"rest down": "x"}})",
       "flags.rest down: gauge takes no such flag here"},
      {R"({"verb": "gauge", "flags": {"": "x"}})", "flags.: gauge takes no such flag here"},
      {R"({"verb": "gauge", "flags": {"as-seen": "yes"}})",
       "flags.as-seen: is neither true nor false"},
      {R"({"verb": "gauge", "flags": {"rest": true}})", "flags.rest: is no text and no number"},
      {R"({"verb": "preview", "flags": {"points": "x"}})",
       "flags.points: preview takes no such flag here"},
      {R"({"verb": "photo", "words": ["../a.jpg"]})",
       "words: \"../a.jpg\" is no photo of this board"},
      {R"({"verb": "photo", "words": ["photos/../a"]})",
       "words: \"photos/../a\" is no photo of this board"},
      {R"({"verb": "photo", "words": ["photos/.a"]})",
       "words: \"photos/.a\" is no photo of this board"},
      {R"({"verb": "photo", "words": ["/etc/passwd"]})",
       "words: \"/etc/passwd\" is no photo of this board"},
  };
  for (const auto& [request, text] : table) {
    const auto command = CommandOf(Json::parse(request), kBoard);
    ASSERT_FALSE(command) << request;
    EXPECT_THAT(command.error().Text(), HasSubstr(text)) << request;
  }
}

TEST(Verbs, Live) {
  const auto typed = LiveCommand(
      Json::parse(
          R"({"flags": {"rest": "points", "at": "A,B,CD"}, "input": "a", "quick": true, "replace": "e5"})"),
      kBoard);
  ASSERT_TRUE(typed);
  EXPECT_THAT(typed->words,
              ElementsAre("assess",
                          "/crate/017",
                          "--json",
                          "--no-input",
                          "--drawn",
                          "--with=-",
                          "--quick",
                          "--replace=e5",
                          "--rest=points",
                          "--at=A,B,CD"));
  EXPECT_FALSE(typed->slow);
  // Before the first reading the form's flags say nothing.
  const auto empty =
      LiveCommand(Json::parse(R"({"flags": {"rest": "upright"}, "input": ""})"), kBoard);
  ASSERT_TRUE(empty);
  EXPECT_THAT(empty->words, ElementsAre("assess", "/crate/017", "--json", "--no-input", "--drawn"));
  EXPECT_TRUE(empty->slow);
  EXPECT_FALSE(LiveCommand(Json::parse(R"({"with": "/etc/passwd"})"), kBoard));
}

TEST(Verbs, NewBoardsLieInTheCrate) {
  std::string name;
  const auto made =
      NewCommand(Json::parse(R"({"name": "021", "flags": {"size": "305x244"}})"), "/crate", name);
  ASSERT_TRUE(made);
  EXPECT_THAT(made->words,
              ElementsAre("new", "/crate/021", "--json", "--no-input", "--size=305x244"));
  for (const char* bad : {"..", "a/b", "/etc", "", ".x", "-x"})
    EXPECT_FALSE(NewCommand({{"name", bad}}, "/crate", name)) << bad;
}

}  // namespace
}  // namespace lieflat::web
