#include <string>

#include <gtest/gtest.h>

#include "lieflat/record/folder.h"

#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::MemoryDisk;

std::string Note(int number) {
  return R"({"id": "e)" + std::to_string(number) +
         R"(", "kind": "note", "at": "2026-03-02T20:00:00+01:00", "by_version": "0.1.0", )" +
         R"("text": "seen"})" + "\n";
}

std::string Gauge(int number, const char* at_mm) {
  return R"({"id": "e)" + std::to_string(number) +
         R"(", "kind": "gauge", "at": "2026-03-02T20:00:00+01:00", "by_version": "0.1.0", )" +
         R"("reading": {"rest": "upright", "down": "solder", "reading": "under", "rows": [)" +
         R"({"edge": "AB", "side": "component", "at_mm": )" + at_mm +
         R"(, "gap_mm": 1.2, "u_mm": 0.1}]}})" + "\n";
}

class VerifyTest : public ::testing::Test {
 protected:
  VerifyTest() {
    const auto board = RectangularBoard(305, 244, Calib::Embedded());
    EXPECT_TRUE(board);
    disk_.Put("b/board.json", DumpJson(ToJson(*board)));
  }
  [[nodiscard]] Verification Verify() const { return VerifyFolder(disk_, "b", Calib::Embedded()); }
  MemoryDisk disk_;
};

TEST_F(VerifyTest, ASoundFolderHasNoFaults) {
  disk_.Put("b/log.jsonl", Note(1) + Gauge(2, "152.5"));
  const Verification found = Verify();
  EXPECT_EQ(found.folder, "b");
  EXPECT_EQ(found.entries, 2);
  EXPECT_TRUE(found.warnings.empty());
  EXPECT_TRUE(found.faults.empty()) << found.faults[0].Text();
}

TEST_F(VerifyTest, EveryCorruptLineInsideIsAFault) {
  std::string corrupt = Note(2);
  corrupt[10] = '#';
  disk_.Put("b/log.jsonl", Note(1) + corrupt + "\n" + Note(3) + Note(1) + Note(4));
  const Verification found = Verify();
  EXPECT_EQ(found.entries, 3);
  ASSERT_EQ(found.faults.size(), 3U);
  EXPECT_TRUE(found.faults[0].where.starts_with("b/log.jsonl:2")) << found.faults[0].Text();
  EXPECT_EQ(found.faults[1].where, "b/log.jsonl:3");
  EXPECT_EQ(found.faults[2].Text(),
            "b/log.jsonl:5, id: \"e1\" stands twice in this log (each entry has its own)");
  EXPECT_FALSE(ParseLog(Note(1) + corrupt, "l"));
}

TEST_F(VerifyTest, ATornLastLineIsAWarning) {
  disk_.Put("b/log.jsonl", Note(1) + Note(2).substr(0, 20));
  const Verification found = Verify();
  EXPECT_TRUE(found.faults.empty());
  EXPECT_EQ(found.entries, 1);
  ASSERT_EQ(found.warnings.size(), 1U);
}

TEST_F(VerifyTest, ReadingsMustFitTheBoard) {
  disk_.Put("b/log.jsonl", Note(1) + Gauge(2, "900"));
  const Verification found = Verify();
  ASSERT_EQ(found.faults.size(), 1U);
  EXPECT_TRUE(found.faults[0].where.starts_with("b/log.jsonl:2 (e2), ")) << found.faults[0].Text();
  const std::string taken_back =
      R"({"id": "e3", "kind": "void", "at": "2026-03-02T20:00:00+01:00", "by_version": "0.1.0", )"
      R"("target": "e2", "reason": "another board"})"
      "\n";
  disk_.Put("b/log.jsonl", Note(1) + Gauge(2, "900") + taken_back);
  EXPECT_TRUE(Verify().faults.empty());
}

TEST_F(VerifyTest, TheDescriptionIsHeldAgainstItsRules) {
  disk_.Put("b/board.json", R"({"format": "lieflat-board", "version": 99})");
  disk_.Put("b/log.jsonl", Note(1));
  const Verification later = Verify();
  ASSERT_EQ(later.faults.size(), 1U);
  EXPECT_NE(later.faults[0].Text().find("99"), std::string::npos) << later.faults[0].Text();
  EXPECT_EQ(later.entries, 1);
  disk_.Put("b/board.json", "{");
  EXPECT_EQ(Verify().faults.size(), 1U);
  ASSERT_TRUE(disk_.Remove("b/board.json"));
  EXPECT_EQ(Verify().faults.size(), 1U);
}

}  // namespace
}  // namespace lieflat
