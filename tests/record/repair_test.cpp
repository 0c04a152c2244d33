// verify --repair: what can be brought back is, what cannot is named, nothing is erased.

#include <string>

#include <gtest/gtest.h>

#include "lieflat/record/folder.h"

#include "support/fixed_clock.h"
#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::FixedClock;
using testing::MemoryDisk;

class RepairTest : public ::testing::Test {
 protected:
  RepairTest() {
    disk_.Put("lot/readme", "");
    EXPECT_TRUE(Folder().Create(RectangularBoard(305, 244, Calib::Embedded()).value()));
  }
  BoardFolder Folder() { return {disk_, clock_, Calib::Embedded(), "lot/b"}; }
  void Relabel(const std::string& label) {
    ASSERT_TRUE(Folder().ChangeBoard([&](Board& board) {
      board.label = label;
      return Result<void>();
    }));
  }
  void AddNote(const std::string& text) {
    ASSERT_TRUE(Folder().Append([&](const BoardFolder::State&) -> Result<BoardFolder::NewEntry> {
      return BoardFolder::NewEntry{"note", {}, Json{{"text", text}}, std::nullopt};
    }));
  }
  Repair Mend() {
    auto repair = RepairFolder(disk_, "lot/b", Calib::Embedded());
    EXPECT_TRUE(repair) << repair.error().Text();
    return *repair;
  }
  [[nodiscard]] bool Sound() const {
    return VerifyFolder(disk_, "lot/b", Calib::Embedded()).faults.empty();
  }
  [[nodiscard]] std::string Text(const char* name) const {
    return disk_.Content(Disk::Path("lot/b") / name).value_or("");
  }

  MemoryDisk disk_;
  FixedClock clock_;
};

TEST_F(RepairTest, ASoundFolderIsLeftAsItIs) {
  Relabel("one");
  AddNote("seen");
  const std::string board = Text("board.json"), log = Text("log.jsonl");
  const Repair repair = Mend();
  EXPECT_TRUE(repair.done.empty());
  EXPECT_TRUE(repair.left.empty());
  EXPECT_EQ(Text("board.json"), board);
  EXPECT_EQ(Text("log.jsonl"), log);
}

TEST_F(RepairTest, ALostDescriptionComesBackFromItsCopy) {
  Relabel("one");
  Relabel("two");
  for (const char* damage : {"", "{", "[]", "{\"format\": \"lieflat-board\"}"}) {
    SCOPED_TRACE(damage);
    disk_.Put("lot/b/board.json", damage);
    EXPECT_FALSE(Sound());
    const Repair repair = Mend();
    ASSERT_EQ(repair.done.size(), 2U);
    EXPECT_TRUE(repair.left.empty());
    EXPECT_EQ(Folder().Load()->board.label, "two");
    EXPECT_TRUE(Sound());
  }
  // What was damaged is there, each under a name of its own.
  EXPECT_EQ(Text("board.damaged-2.json"), "{");
  EXPECT_EQ(Text("board.damaged-3.json"), "[]");
  ASSERT_TRUE(disk_.Remove("lot/b/board.json"));
  EXPECT_EQ(Mend().done.size(), 1U);
  EXPECT_EQ(Folder().Load()->board.label, "two");
}

TEST_F(RepairTest, WithoutACopyItSaysWhatToDo) {
  AddNote("seen");
  ASSERT_TRUE(disk_.Remove("lot/b/.former/board-0001.json"));
  disk_.Put("lot/b/board.json", "{");
  const Repair repair = Mend();
  ASSERT_EQ(repair.left.size(), 1U);
  EXPECT_NE(repair.left[0].find("lieflat new"), std::string::npos) << repair.left[0];
  ASSERT_EQ(BoardFolders(disk_, "lot")->size(), 1U)
      << "a board whose description is lost is no less "
         "one of the lot";
  EXPECT_FALSE(Sound());
  // The remedy works, and the log is as it was.
  ASSERT_TRUE(Folder().Create(RectangularBoard(305, 244, Calib::Embedded()).value()));
  EXPECT_EQ(Folder().Load()->log.entries.size(), 1U);
}

TEST_F(RepairTest, LinesThatAreNoEntriesAreSetAside) {
  AddNote("first");
  AddNote("second");
  const std::string log = Text("log.jsonl");
  const auto end = log.find('\n') + 1;
  disk_.Put("lot/b/log.jsonl", log.substr(0, end) + "{\"id\": \n" + log.substr(end) + "torn");
  EXPECT_FALSE(Sound());
  const Repair repair = Mend();
  ASSERT_EQ(repair.done.size(), 2U);
  EXPECT_TRUE(repair.done[0].starts_with("log.jsonl:2: ")) << repair.done[0];
  EXPECT_EQ(repair.done[1], "log.jsonl:4: torn; set aside in log.torn");
  EXPECT_EQ(Text("log.jsonl"), log);
  EXPECT_EQ(Text("log.torn"), "{\"id\": \ntorn\n");
  EXPECT_TRUE(Sound());
}

TEST_F(RepairTest, WhatALaterVersionWroteIsNotTouched) {
  AddNote("first");
  std::string log = Text("log.jsonl");
  log += R"({"format_version": 2, "id": "e2", "by_version": "9"})"
         "\n";
  disk_.Put("lot/b/log.jsonl", log);
  std::string board = Text("board.json");
  const auto at = board.find("\"version\": 1");
  ASSERT_NE(at, std::string::npos);
  board.replace(at, 12, "\"version\": 2");
  disk_.Put("lot/b/board.json", board);
  const Repair repair = Mend();
  EXPECT_TRUE(repair.done.empty());
  EXPECT_EQ(repair.left.size(), 2U);
  EXPECT_EQ(Text("log.jsonl"), log);
  EXPECT_EQ(Text("board.json"), board);
}

TEST_F(RepairTest, EightCopiesAreKept) {
  for (int i = 1; i <= 12; ++i) Relabel("label " + std::to_string(i));
  std::size_t former = 0;
  for (const std::string& name : disk_.FileNames()) {
    if (name.find("/.former/") != std::string::npos) ++former;
  }
  EXPECT_EQ(former, 8U);
  EXPECT_NE(Text(".former/board-0013.json").find("label 12"), std::string::npos);
  EXPECT_EQ(Text(".former/board-0005.json"), "");
}

}  // namespace
}  // namespace lieflat
