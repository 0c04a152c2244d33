#include "lieflat/base/json.h"

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

std::string Nested(std::size_t depth) { return std::string(depth, '[') + std::string(depth, ']'); }

TEST(Json, FaultsHaveLineAndColumn) {
  struct Case {
    std::string text, error;
  };
  const std::vector<Case> cases = {
      {"", "b.json: empty (a JSON object is expected)"},
      {" \n", "b.json: empty (a JSON object is expected)"},
      {"{\n  \"a\": 1,\n}",
       "b.json, line 3, column 1: not valid JSON: unexpected '}'; expected string literal (look "
       "for a missing or extra comma, quote or bracket there)"},
      {"{\"a\": 1",
       "b.json, line 1, column 7: not valid JSON: unexpected end of input; expected '}' (look for "
       "a missing or extra comma, quote or bracket there)"},
      {"{\"\xC2\xB5\": nan}",
       "b.json, line 1, column 8: not valid JSON: invalid literal; last read: '\"\xC2\xB5\": na' "
       "(look for a missing or extra comma, quote or bracket there)"},
      {"{\"a\": 1e999}",
       "b.json, line 1, column 11: not valid JSON: number overflow parsing '1e999' (look for a "
       "missing or extra comma, quote or bracket there)"},
      {"{\"a\": 1, \"b\": 2, \"a\": 3}",
       "b.json: the key \"a\" stands twice in one object (keep the one that is meant)"},
      {Nested(65),
       "b.json: nested deeper than 64 levels (no file of this program is nested so deep; is it "
       "the right file?)"},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    const auto json = ParseJson(c.text, "b.json");
    ASSERT_FALSE(json);
    EXPECT_EQ(json.error().code, ErrorCode::kRefused);
    EXPECT_EQ(json.error().Text(), c.error);
  }
}

TEST(Json, IllFormedUtf8IsRefusedAndShownSafely) {
  const auto json = ParseJson("{\"a\": \"\xFF\"}", "b.json");
  ASSERT_FALSE(json);
  EXPECT_NE(json.error().message.find("ill-formed UTF-8"), std::string::npos);
  EXPECT_EQ(json.error().message.find('\xFF'), std::string::npos);
}

TEST(Json, DeepestAllowedAndHostileDepth) {
  EXPECT_TRUE(ParseJson(Nested(64), "b"));
  // Deep enough to exhaust a stack if anything recursed.
  EXPECT_FALSE(ParseJson(std::string(4U << 20U, '['), "b"));
  EXPECT_FALSE(ParseJson(std::string((64U << 20U) + 1, ' '), "b"));
}

TEST(Json, OrderAndNumbersSurviveARoundTrip) {
  const std::string line = R"({"z":1,"a":0.1,"m":[1e-300,123456789012345678,-0.0,true,null]})";
  const auto json = ParseJson("\xEF\xBB\xBF" + line, "b");
  ASSERT_TRUE(json) << json.error().Text();
  EXPECT_EQ(DumpJsonLine(*json), line);
  EXPECT_EQ(DumpJson(Json{{"a", 1}}), "{\n  \"a\": 1\n}\n");
}

TEST(Json, WritingRefusesWhatJsonCannotHold) {
  EXPECT_THROW(DumpJson(Json{{"a", std::nan("")}}), std::logic_error);
  EXPECT_THROW(DumpJsonLine(Json{1, {std::numeric_limits<double>::infinity()}}), std::logic_error);
  EXPECT_EQ(DumpJsonLine(Json("a\xFF")), "\"a\xEF\xBF\xBD\"");  // U+FFFD
}

std::string FirstFault(const char* text, void (*read)(FieldReader&)) {
  const auto json = ParseJson(text, "t");
  EXPECT_TRUE(json);
  FieldReader reader(*json, "dir, 1/board.json");
  read(reader);
  return reader.error() ? reader.error()->Text() : "";
}

TEST(Fields, FaultsNameFieldValueAndRule) {
  struct Case {
    const char* text;
    void (*read)(FieldReader&);
    const char* error;
  };
  const std::vector<Case> cases = {
      {"[1]",
       [](FieldReader& r) {
         r.Number("a", {0, 1});
       },
       "dir, 1/board.json: expected an object in braces, found a list (write {\"name\": value, "
       "...})"},
      {"{}",
       [](FieldReader& r) {
         r.Number("a", {0, 1});
       },
       "dir, 1/board.json, a: is missing (add \"a\": a number)"},
      {R"({"a": "1"})",
       [](FieldReader& r) {
         r.Number("a", {0, 1});
       },
       "dir, 1/board.json, a: expected a number, found \"1\" (write it without quotes)"},
      {R"({"a": 1.5})",
       [](FieldReader& r) {
         r.OptionalNumber("a", {0, 1});
       },
       "dir, 1/board.json, a: 1.5 is outside 0 to 1 (check the value and its unit)"},
      {R"({"a": 0})",
       [](FieldReader& r) {
         r.Number("a", {.min = 0, .max = 1, .above_min = true, .remedy = "x"});
       },
       "dir, 1/board.json, a: 0 must be above 0 and at most 1 (x)"},
      {R"({"a": 1.5})",
       [](FieldReader& r) { r.Integer("a", 0, 9); },
       "dir, 1/board.json, a: expected a whole number, found 1.5 (write it without quotes)"},
      {R"({"a": 10})",
       [](FieldReader& r) { r.OptionalInteger("a", 0, 9); },
       "dir, 1/board.json, a: 10 is outside 0 to 9 (check the value)"},
      {R"({"a": 3})",
       [](FieldReader& r) { r.String("a"); },
       "dir, 1/board.json, a: expected a text, found 3 (write it in quotes)"},
      {R"({"a": "true"})",
       [](FieldReader& r) { r.OptionalBool("a"); },
       "dir, 1/board.json, a: expected true or false, found \"true\" (write it without quotes)"},
      {R"({"a": "ja"})",
       [](FieldReader& r) {
         r.Word("a", {"yes", "no"});
       },
       "dir, 1/board.json, a: \"ja\" is not one of: yes, no (use one of these words)"},
      {R"({"a": "yess"})",
       [](FieldReader& r) {
         r.OptionalWord("a", {"yes", "no"});
       },
       "dir, 1/board.json, a: \"yess\" is not one of: yes, no (did you mean \"yes\"?)"},
      {R"({"a": {}})",
       [](FieldReader& r) { r.Array("a", false); },
       "dir, 1/board.json, a: expected a list in brackets, found an object (write [ ... ])"},
      {R"({"a": []})",
       [](FieldReader& r) { r.Object("a", true); },
       "dir, 1/board.json, a: expected an object in braces, found a list (write { ... })"},
      {R"({"mass": 1})",
       [](FieldReader& r) {
         r.OptionalNumber("mass_g", {0, 9});
         r.NoOthers();
       },
       "dir, 1/board.json, mass: is not a field that is known here (did you mean \"mass_g\"?)"},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    EXPECT_EQ(FirstFault(c.text, c.read), c.error);
  }
}

TEST(Fields, GoodValuesAreRead) {
  const auto json = ParseJson(
      R"({"n": 2.5, "i": 3, "j": 4.0, "s": "x", "w": "no", "b": false, "l": [1], "o": {}})", "t");
  ASSERT_TRUE(json);
  FieldReader read(*json, "t");
  EXPECT_EQ(read.Number("n", {0, 3}), 2.5);
  EXPECT_EQ(read.Integer("i", 0, 9), 3);
  EXPECT_EQ(read.OptionalInteger("j", 0, 9), 4);  // JSON Schema counts 4.0 as a whole number, too
  EXPECT_EQ(read.String("s"), "x");
  EXPECT_EQ(read.Word("w", {"yes", "no"}), "no");
  EXPECT_EQ(read.OptionalBool("b"), false);
  EXPECT_NE(read.Array("l", true), nullptr);
  EXPECT_NE(read.Object("o", true), nullptr);
  EXPECT_EQ(read.OptionalNumber("absent", {0, 1}), std::nullopt);
  EXPECT_EQ(read.OptionalString("absent"), std::nullopt);
  EXPECT_EQ(read.Array("absent", false), nullptr);
  EXPECT_TRUE(read.Has("n"));
  EXPECT_FALSE(read.Has("absent"));
  read.NoOthers();
  EXPECT_FALSE(read.error()) << read.error()->Text();
}

TEST(Fields, FirstFaultStaysAndInnerFieldsAreDotted) {
  const Json json = Json::object();
  FieldReader read(json, "board.json, parts[2]");
  EXPECT_EQ(read.Where("x_mm"), "board.json, parts[2].x_mm");
  read.Refuse("x_mm", "is wrong", "mend it");
  read.Adopt({ErrorCode::kRefused, "elsewhere", "later", ""});
  ASSERT_TRUE(read.error());
  EXPECT_EQ(read.error()->Text(), "board.json, parts[2].x_mm: is wrong (mend it)");
}

}  // namespace
}  // namespace lieflat
