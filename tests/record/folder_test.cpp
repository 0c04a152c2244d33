#include "lieflat/record/folder.h"

#include <functional>
#include <optional>
#include <set>
#include <string>

#include <gtest/gtest.h>

#include "support/fixed_clock.h"
#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::Crash;
using testing::FixedClock;
using testing::MemoryDisk;

const Disk::Path kPath = "lot/017";

class FolderTest : public ::testing::Test {
 protected:
  FolderTest() {
    disk_.Put("lot/readme", "a crate");
    auto board = RectangularBoard(305, 244, Calib::Embedded());
    EXPECT_TRUE(board) << board.error().Text();
    board_ = *board;
    board_.label = "crate-3/017";
  }

  BoardFolder Folder() { return {disk_, clock_, Calib::Embedded(), kPath}; }
  void Create() {
    const auto created = Folder().Create(board_);
    ASSERT_TRUE(created) << created.error().Text();
  }
  Result<Entry> AddNote(const std::string& text) {
    return Folder().Append([&](const BoardFolder::State&) -> Result<BoardFolder::NewEntry> {
      return BoardFolder::NewEntry{"note", {"cooler"}, Json{{"text", text}}, std::nullopt};
    });
  }
  std::string LogText() { return disk_.Content(kPath / "log.jsonl").value_or(""); }

  MemoryDisk disk_;
  FixedClock clock_;
  Board board_;
};

TEST_F(FolderTest, CreateThenLoad) {
  Create();
  const auto state = Folder().Load();
  ASSERT_TRUE(state) << state.error().Text();
  EXPECT_EQ(DumpJson(ToJson(state->board)), DumpJson(ToJson(board_)));
  EXPECT_EQ(state->board_text, DumpJson(ToJson(board_)));
  EXPECT_TRUE(state->log.entries.empty());
  const auto again = Folder().Create(board_);
  ASSERT_FALSE(again);
  EXPECT_EQ(again.error().Text(),
            "lot/017: holds a board already (choose another folder, or change this board with: "
            "lieflat set)");
}

TEST_F(FolderTest, NoBoardIsSaidWithTheRemedy) {
  const std::string expected =
      "lot/017: holds no board (there is no board.json) (start one with: lieflat new DIR --size "
      "305x244)";
  EXPECT_EQ(Folder().Load().error().Text(), expected);
  EXPECT_EQ(AddNote("x").error().Text(), expected);
  const auto changed = Folder().ChangeBoard([](Board&) { return Result<void>(); });
  EXPECT_EQ(changed.error().Text(), expected);
}

TEST_F(FolderTest, AnEntryIsSavedAsOneLine) {
  Create();
  const auto entry = AddNote("two\nlines");
  ASSERT_TRUE(entry) << entry.error().Text();
  EXPECT_EQ(entry->id, "e1");
  EXPECT_EQ(LogText(),
            R"({"id":"e1","kind":"note","at":"2026-03-02T20:00:00+01:00","by_version":")" +
                std::string(kVersion) +
                R"(","fitted":["cooler"],"text":"two\nlines"})"
                "\n");
  const auto state = Folder().Load();
  ASSERT_TRUE(state) << state.error().Text();
  ASSERT_EQ(state->log.entries.size(), 1U);
  EXPECT_EQ(state->log.entries[0].fields, entry->fields);
  EXPECT_EQ(state->log.entries[0].line, entry->line);
}

TEST_F(FolderTest, TheMakerSeesTheStateAndSetsTheTime) {
  Create();
  ASSERT_TRUE(AddNote("first"));
  const auto entry = Folder().Append([&](const BoardFolder::State& state) {
    EXPECT_EQ(state.log.entries.size(), 1U);
    EXPECT_EQ(state.board.label, "crate-3/017");
    return Result<BoardFolder::NewEntry>(BoardFolder::NewEntry{
        "works", {}, Json{{"state", "yes"}}, Instant{clock_.now.unix_seconds - 3600, 0}});
  });
  ASSERT_TRUE(entry) << entry.error().Text();
  EXPECT_EQ(entry->id, "e2");
  EXPECT_EQ(entry->at.Iso(), "2026-03-02T18:00:00+00:00");
}

TEST_F(FolderTest, WhatCouldNotBeReadBackIsNotWritten) {
  Create();
  const auto append = [&](const std::string& kind, const Json& fields) {
    return Folder().Append([&](const BoardFolder::State&) {
      return Result<BoardFolder::NewEntry>(BoardFolder::NewEntry{kind, {}, fields, std::nullopt});
    });
  };
  EXPECT_FALSE(append("works", Json{{"state", "perhaps"}}));
  EXPECT_FALSE(append("note", Json{{"txt", "x"}}));
  EXPECT_EQ(append("void", Json{{"target", "e5"}, {"reason", "x"}}).error().Text(),
            "lot/017/log.jsonl:1, target: \"e5\" is no earlier entry of this log (the log has no "
            "entries yet)");
  const auto given_up = Folder().Append([](const BoardFolder::State&) {
    return Result<BoardFolder::NewEntry>(Error{ErrorCode::kBadUse, "there", "no", ""});
  });
  EXPECT_EQ(given_up.error().code, ErrorCode::kBadUse);
  EXPECT_EQ(LogText(), "");
}

TEST_F(FolderTest, ChangeBoardChecksAndReplaces) {
  Create();
  const auto changed = Folder().ChangeBoard([](Board& board) {
    board.label = "shelf/2";
    return Result<void>();
  });
  ASSERT_TRUE(changed) << changed.error().Text();
  EXPECT_EQ(changed->label, "shelf/2");
  const auto before = disk_.Content(kPath / "board.json");
  const auto refused = Folder().ChangeBoard([](Board& board) {
    board.thickness_mm.value = 100.0;
    return Result<void>();
  });
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kRefused);
  const auto given_up = Folder().ChangeBoard([](Board&) {
    return Result<void>(Error{ErrorCode::kBadUse, "w", "m", ""});
  });
  EXPECT_EQ(given_up.error().code, ErrorCode::kBadUse);
  EXPECT_EQ(disk_.Content(kPath / "board.json"), before);
}

TEST_F(FolderTest, LeftoversOfAStoppedReplacementGo) {
  Create();
  disk_.hook = [](const std::string& step, const Disk::Path& path) -> std::optional<Error> {
    if (step == "rename" && path.filename() == "board.json") throw Crash();
    return std::nullopt;
  };
  const auto rename = [](Board& board) {
    board.label = "other";
    return Result<void>();
  };
  EXPECT_THROW((void)Folder().ChangeBoard(rename), Crash);
  disk_.hook = nullptr;
  disk_.Restart();
  EXPECT_EQ(VerifyFolder(disk_, kPath, Calib::Embedded()).warnings.size(), 1U);
  ASSERT_TRUE(Folder().ChangeBoard(rename));
  EXPECT_TRUE(VerifyFolder(disk_, kPath, Calib::Embedded()).warnings.empty());
}

TEST_F(FolderTest, ALockedFolderIsBusy) {
  Create();
  const auto held = disk_.Lock(kPath, 0.0);
  ASSERT_TRUE(held);
  EXPECT_EQ(AddNote("x").error().code, ErrorCode::kBusy);
  const auto changed = Folder().ChangeBoard([](Board&) { return Result<void>(); });
  EXPECT_EQ(changed.error().code, ErrorCode::kBusy);
  EXPECT_TRUE(Folder().Load());  // reading needs no lock
}

TEST_F(FolderTest, ATornLineIsSetAsideAtEveryByte) {
  Create();
  ASSERT_TRUE(AddNote("first"));
  const std::string first = LogText();
  ASSERT_TRUE(AddNote("torn"));
  const std::string second = LogText().substr(first.size());
  for (std::size_t bytes = 1; bytes < second.size(); ++bytes) {
    SCOPED_TRACE(bytes);
    const std::string torn = second.substr(0, bytes);
    disk_.Put(kPath / "log.jsonl", first + torn);
    if (disk_.IsFile(kPath / "log.torn")) {
      ASSERT_TRUE(disk_.Remove(kPath / "log.torn"));
    }
    const auto loaded = Folder().Load();
    ASSERT_TRUE(loaded) << loaded.error().Text();
    EXPECT_EQ(loaded->log.warnings.size(), 1U);
    const auto entry = AddNote("after");
    ASSERT_TRUE(entry) << entry.error().Text();
    EXPECT_EQ(entry->id, "e2");
    EXPECT_EQ(disk_.Content(kPath / "log.torn"), torn + "\n");
    const auto state = Folder().Load();
    ASSERT_TRUE(state) << state.error().Text();
    EXPECT_TRUE(state->log.warnings.empty());
    ASSERT_EQ(state->log.entries.size(), 2U);
    EXPECT_EQ(state->log.entries[1].fields.at("text"), "after");
  }
}

/// Counts steps and fails or stops at one of them.
struct Saboteur {
  int at;
  bool stop;
  int seen = 0;
  std::string hit = {};
  std::optional<Error> operator()(const std::string& step, const Disk::Path& path) {
    if (seen++ != at) return std::nullopt;
    hit = step;
    if (stop) throw Crash();
    return Error{ErrorCode::kInternal, path.string(), "made to fail at " + step, ""};
  }
};

// Every step of an append to a log with a torn tail fails, or stops the program, in turn; a power
// cut follows. What was acknowledged is there, the rest is whole.
TEST_F(FolderTest, AppendFailedOrStoppedAtEveryStep) {
  for (const bool stop : {false, true}) {
    for (int step = 0;; ++step) {
      SCOPED_TRACE(::testing::Message() << (stop ? "stop" : "failure") << " at step " << step);
      ASSERT_LT(step, 30);
      disk_ = MemoryDisk();
      disk_.Put("lot/readme", "a crate");
      Create();
      ASSERT_TRUE(AddNote("first"));
      disk_.Put(kPath / "log.jsonl", LogText() + "{\"id\": \"e2\", \"ki");
      Saboteur saboteur{step, stop};
      disk_.hook = std::ref(saboteur);
      bool acknowledged = false;
      try {
        acknowledged = AddNote("second").has_value();
      } catch (const Crash&) {
        acknowledged = false;
      }
      disk_.hook = nullptr;
      disk_.PowerCut();
      const auto state = Folder().Load();
      ASSERT_TRUE(state) << state.error().Text();
      ASSERT_GE(state->log.entries.size(), acknowledged ? 2U : 1U);
      EXPECT_EQ(state->log.entries[0].fields.at("text"), "first");
      EXPECT_TRUE(VerifyFolder(disk_, kPath, Calib::Embedded()).faults.empty());
      const auto next = AddNote("third");
      ASSERT_TRUE(next) << next.error().Text();
      if (saboteur.hit.empty()) {
        EXPECT_TRUE(acknowledged);
        break;
      }
      EXPECT_FALSE(acknowledged);
    }
  }
}

TEST_F(FolderTest, AssessmentsAreKeptUnderTheirKey) {
  Create();
  const auto folder = Folder();
  EXPECT_EQ(folder.KeptAssessment("k1"), std::nullopt);
  folder.KeepAssessment("k1", "{\n  \"format\": \"x\"\n}\n");
  EXPECT_EQ(folder.KeptAssessment("k1"), "{\n  \"format\": \"x\"\n}\n");
  EXPECT_EQ(folder.KeptAssessment("k2"), std::nullopt);
  folder.KeepAssessment("k2", "y");
  EXPECT_EQ(folder.KeptAssessment("k2"), "y");
  for (const char* damaged :
       {"", "{", "[]", "{\"key\": \"k2\"}", "{\"key\": 2, \"document\": \"y\"}"}) {
    disk_.Put(kPath / ".cache" / "assessment.json", damaged);
    EXPECT_EQ(folder.KeptAssessment("k2"), std::nullopt) << damaged;
  }
}

TEST_F(FolderTest, AFolderThatCannotBeWrittenKeepsNothingAndDoesNotMind) {
  Create();
  for (const std::string denied : {"make-folder", "write", "rename", "sync-folder"}) {
    disk_.hook = [&](const std::string& step, const Disk::Path& path) -> std::optional<Error> {
      if (step != denied) return std::nullopt;
      return Error{ErrorCode::kInternal, path.string(), "the disk is read-only", ""};
    };
    EXPECT_NO_THROW(Folder().KeepAssessment("k", "text")) << denied;
    EXPECT_TRUE(Folder().Load()) << denied;
  }
}

TEST_F(FolderTest, TheKeyDependsOnEverythingThatTakesPart) {
  BoardFolder::State state;
  state.board_text = "ab";
  state.log_text = "c";
  const Calib& calib = Calib::Embedded();
  std::set<std::string> keys;
  const auto key = [&](const std::string& extra) {
    return BoardFolder::AssessmentKey(state, calib, extra);
  };
  keys.insert(key(""));
  EXPECT_EQ(*keys.begin(), key(""));
  EXPECT_EQ(keys.begin()->size(), 32U);
  keys.insert(key("--worth rare"));
  state.log_text = "d";
  keys.insert(key(""));
  state.board_text = "a";
  state.log_text = "bc";  // the same bytes in a row, parted elsewhere
  keys.insert(key(""));
  MemoryDisk own;
  own.Put("own/laminates.json", DumpJson(calib.Document("laminates")));
  const auto other = Calib::WithFolder(own, "own");
  ASSERT_TRUE(other) << other.error().Text();
  keys.insert(BoardFolder::AssessmentKey(state, *other, ""));
  EXPECT_EQ(keys.size(), 5U);
}

TEST_F(FolderTest, ALotIsItsBoardFolders) {
  Create();
  disk_.Put("lot/002/board.json", "{}");
  disk_.Put("lot/photos/x.jpg", "");
  const auto lot = BoardFolders(disk_, "lot");
  ASSERT_TRUE(lot) << lot.error().Text();
  EXPECT_EQ(*lot, (std::vector<Disk::Path>{"lot/002", "lot/017"}));
  const auto one = BoardFolders(disk_, kPath);
  ASSERT_TRUE(one);
  EXPECT_EQ(*one, std::vector<Disk::Path>{kPath});
  EXPECT_EQ(BoardFolders(disk_, "lot/photos").error().Text(),
            "lot/photos: holds no board folder (start one with: lieflat new DIR --size 305x244)");
  EXPECT_FALSE(BoardFolders(disk_, "nowhere"));
}

}  // namespace
}  // namespace lieflat
