#include "lieflat/record/bench.h"

#include <string>

#include <gtest/gtest.h>

#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::MemoryDisk;

Bench Own() {
  Bench bench;
  bench.repeatability["feeler"] = {0.03, 8};
  bench.repeatability["rule"] = {0.2, 5};
  bench.instrument = "feeler";
  bench.surface = "glass";
  bench.tools = {{"iron", "scale"}};
  bench.skills = {"smd"};
  return bench;
}

TEST(Bench, SurvivesARoundTrip) {
  MemoryDisk disk;
  ASSERT_TRUE(SaveBench(disk, "lot", Own()));
  const auto bench = LoadBench(disk, "lot/017", "settings");
  ASSERT_TRUE(bench) << bench.error().Text();
  ASSERT_EQ(bench->repeatability.size(), 2U);
  EXPECT_EQ(bench->repeatability.at("rule").sd_mm, 0.2);
  EXPECT_EQ(bench->repeatability.at("feeler").degrees_of_freedom, 8);
  EXPECT_EQ(bench->instrument, "feeler");
  EXPECT_EQ(bench->surface, "glass");
  EXPECT_EQ(bench->tools, Own().tools);
  EXPECT_EQ(bench->skills, Own().skills);
}

TEST(Bench, TheLotsComesBeforeTheSettings) {
  MemoryDisk disk;
  EXPECT_EQ(LoadBench(disk, "lot/017", "settings")->instrument, "");
  Bench bench = Own();
  bench.instrument = "rule";
  ASSERT_TRUE(SaveBench(disk, "settings", bench));
  EXPECT_EQ(LoadBench(disk, "lot/017", "settings")->instrument, "rule");
  ASSERT_TRUE(SaveBench(disk, "lot", Own()));
  EXPECT_EQ(LoadBench(disk, "lot/017", "settings")->instrument, "feeler");
  EXPECT_EQ(LoadBench(disk, "lot/017/", "settings")->instrument, "feeler");
}

TEST(Bench, WhatIsMalformedIsRefused) {
  struct Case {
    const char* text;
    const char* error;
  };
  const Case cases[] = {
      {R"({"format": "lieflat-bench", "version": 2})",
       "lot/bench.json, version: lieflat-bench 2 is later than 1, the latest this program reads "
       "(use a newer version of the program with this bench)"},
      {R"({"format": "lieflat-bench", "version": 1, "tool": []})",
       "lot/bench.json, tool: is not a field that is known here (did you mean \"tools\"?)"},
      {R"({"format": "lieflat-bench", "version": 1, "repeatability": {"rule": {"sd_mm": 0}}})",
       "lot/bench.json, repeatability.rule.sd_mm: 0 must be above 0 and at most 5 (check the value "
       "and its unit)"},
      {R"({"format": "lieflat-bench", "version": 1, "skills": [1]})",
       "lot/bench.json, skills: holds something that is no text (write words in quotes)"},
      {R"({"version": 1})", "lot/bench.json, format: is missing (one of: lieflat-bench)"},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    MemoryDisk disk;
    disk.Put("lot/bench.json", c.text);
    const auto bench = LoadBench(disk, "lot/017", "settings");
    ASSERT_FALSE(bench);
    EXPECT_EQ(bench.error().Text(), c.error);
  }
  MemoryDisk disk;
  Bench wide = Own();
  wide.repeatability["rule"].sd_mm = 50.0;
  EXPECT_FALSE(SaveBench(disk, "lot", wide));
  EXPECT_TRUE(disk.FileNames().empty());
}

}  // namespace
}  // namespace lieflat
