#include "lieflat/base/calib.h"

#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::MemoryDisk;

constexpr const char* kFile = "laminates";
constexpr const char* kPointer = "/laminates/fr4-tg130/modulus_x_gpa";

std::string EmbeddedText() { return DumpJson(Calib::Embedded().Document(kFile)); }

Result<Calib> With(const std::string& name, const std::string& text) {
  MemoryDisk disk;
  disk.Put(std::filesystem::path("own") / name, text);
  return Calib::WithFolder(disk, "own");
}

std::string ErrorWith(const std::string& name, const std::string& text) {
  const auto calib = With(name, text);
  return calib ? "" : calib.error().Text();
}

/// The embedded laminates with one entry changed.
std::string Changed(void (*change)(Json& entry)) {
  Json document = Calib::Embedded().Document(kFile);
  change(document.at(Json::json_pointer(kPointer)));
  return DumpJson(document);
}

TEST(Calib, EmbeddedNumbersHaveSourceAndConfidence) {
  const Calib& calib = Calib::Embedded();
  EXPECT_EQ(calib.origin(), "embedded");
  const CalibNumber number = calib.Number(kFile, kPointer);
  EXPECT_GT(number.value, 0.0);
  EXPECT_GT(number.uncertainty, 0.0);
  EXPECT_FALSE(number.source.empty());
  EXPECT_STRNE(Name(number.confidence), "");
  EXPECT_FALSE(calib.Text(kFile, "/laminates/fr4-tg130/plain").empty());
  const auto keys = calib.Keys(kFile, "/laminates");
  EXPECT_NE(std::find(keys.begin(), keys.end(), "fr4-tg130"), keys.end());
}

TEST(Calib, WhatIsAbsentIsOurOwnMistake) {
  const Calib& calib = Calib::Embedded();
  EXPECT_EQ(calib.Find(kFile, "/laminates/gold/modulus_x_gpa"), std::nullopt);
  EXPECT_EQ(calib.Find(kFile, "/laminates/fr4-tg130/plain"), std::nullopt);
  EXPECT_THROW((void)calib.Number(kFile, "/no"), std::logic_error);
  EXPECT_THROW((void)calib.Text(kFile, kPointer), std::logic_error);
  EXPECT_THROW((void)calib.Keys(kFile, "/no"), std::logic_error);
  EXPECT_THROW((void)calib.Document("no"), std::logic_error);
}

TEST(Calib, AFolderReplacesWholeFiles) {
  const auto calib = With("laminates.json", Changed([](Json& entry) { entry["value"] = 19.5; }));
  ASSERT_TRUE(calib) << calib.error().Text();
  EXPECT_EQ(calib->Number(kFile, kPointer).value, 19.5);
  EXPECT_EQ(calib->origin(), "own: laminates.json");
  EXPECT_NE(calib->Fingerprint(), Calib::Embedded().Fingerprint());
  EXPECT_EQ(DumpJson(calib->Document("gauges")), DumpJson(Calib::Embedded().Document("gauges")));
}

TEST(Calib, FilesThatAreNoJsonAreLeftAlone) {
  MemoryDisk disk;
  disk.Put("own/laminates.json", EmbeddedText());
  disk.Put("own/README.md", "mine");
  EXPECT_TRUE(Calib::WithFolder(disk, "own"));
}

TEST(Calib, RulesOfAnEntry) {
  const std::string at = std::string("own/laminates.json, ") + kPointer;
  struct Case {
    void (*change)(Json& entry);
    std::string error;
  };
  const std::vector<Case> cases = {
      {[](Json& entry) { entry.erase("source"); },
       at + ": \"source\" is missing or empty (say where the number is from)"},
      {[](Json& entry) { entry["source"] = ""; },
       at + ": \"source\" is missing or empty (say where the number is from)"},
      {[](Json& entry) { entry["confidence"] = "certain"; },
       at + ": \"confidence\" is missing or not one of: read, secondary, memory, practice, prior, "
            "derived, computed (say how far the number can be relied on)"},
      {[](Json& entry) { entry["value"] = nullptr; },
       at + ": \"value\" holds no value (give the number, in the unit of the key)"},
      {[](Json& entry) { entry["uncertainty"] = -1; },
       at + ": \"uncertainty\" is no number from 0 up (give a standard deviation)"},
      {[](Json& entry) { entry.erase("value"); },
       at + ": the entry is missing, or its value is of another kind than the program's own "
            "(start from the program's own file and change values only)"},
      {[](Json& entry) { entry["value"] = "22"; },
       at + ": the entry is missing, or its value is of another kind than the program's own "
            "(start from the program's own file and change values only)"},
      {[](Json& entry) { entry = 22; },
       at + ": the entry is missing, or its value is of another kind than the program's own "
            "(start from the program's own file and change values only)"},
  };
  for (const Case& c : cases) {
    EXPECT_EQ(ErrorWith("laminates.json", Changed(c.change)), c.error);
  }
}

TEST(Calib, FoldersThatCannotBeMeant) {
  EXPECT_EQ(ErrorWith("laminate.json", EmbeddedText()),
            "own/laminate.json: there is no calibration file of this name (did you mean "
            "laminates.json?)");
  EXPECT_EQ(ErrorWith("laminates.json", "{"),
            "own/laminates.json, line 1, column 1: not valid JSON: unexpected end of input; "
            "expected string literal (look for a missing or extra comma, quote or bracket there)");
  const std::string none = ErrorWith("README.md", "mine");
  EXPECT_TRUE(none.starts_with("own: holds no calibration file (one or more of: ")) << none;
  MemoryDisk empty;
  EXPECT_FALSE(Calib::WithFolder(empty, "own"));
}

}  // namespace
}  // namespace lieflat
