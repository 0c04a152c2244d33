// A disk that runs full, in memory at every capacity and on the machine's own disk by a limit on
// file sizes: a clear error, and the state before it whole.

#include <csignal>
#include <string>

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lieflat/record/folder.h"

#include "support/fixed_clock.h"
#include "support/memory_disk.h"
#include "support/temporary_folder.h"

namespace lieflat {
namespace {

using testing::FixedClock;
using testing::MemoryDisk;
using testing::TemporaryFolder;

Board AnyBoard() {
  auto board = RectangularBoard(305, 244, Calib::Embedded());
  EXPECT_TRUE(board);
  return *board;
}

Result<Entry> AddNote(BoardFolder& folder, const std::string& text) {
  return folder.Append([&](const BoardFolder::State&) {
    return Result<BoardFolder::NewEntry>(
        BoardFolder::NewEntry{"note", {}, Json{{"text", text}}, std::nullopt});
  });
}

Result<Board> Rename(BoardFolder& folder, const std::string& label) {
  return folder.ChangeBoard([&](Board& board) {
    board.label = label;
    return Result<void>();
  });
}

TEST(DiskFull, AtEveryCapacityTheOldStateIsWhole) {
  const FixedClock clock;
  std::size_t done_from = 0;
  for (std::size_t spare = 0; done_from == 0; ++spare) {
    SCOPED_TRACE(spare);
    ASSERT_LT(spare, 5000U);
    MemoryDisk disk;
    disk.Put("readme", "");
    BoardFolder folder(disk, clock, Calib::Embedded(), "b");
    ASSERT_TRUE(folder.Create(AnyBoard()));
    ASSERT_TRUE(AddNote(folder, "first"));
    const auto board = disk.Content("b/board.json");
    const auto log = disk.Content("b/log.jsonl");
    disk.capacity = disk.UsedBytes() + spare;
    const auto added = AddNote(folder, "second");
    if (!added) {
      EXPECT_EQ(added.error().Text(),
                "b/log.jsonl: the disk is full: writing failed, nothing was changed (free some "
                "space and try again)");
      EXPECT_EQ(disk.Content("b/log.jsonl"), log);
    }
    const auto renamed = Rename(folder, "another");
    if (!renamed) {
      EXPECT_NE(renamed.error().message.find("the disk is full"), std::string::npos);
      EXPECT_EQ(disk.Content("b/board.json"), board);
    }
    const Verification found = VerifyFolder(disk, "b", Calib::Embedded());
    EXPECT_TRUE(found.faults.empty());
    EXPECT_TRUE(found.warnings.empty());
    EXPECT_EQ(found.entries, added ? 2 : 1);
    if (added && renamed) done_from = spare;
  }
  // The replacement needs the room of a second board.json, the new entry that of its line.
  EXPECT_GT(done_from, 100U);
}

TEST(DiskFull, CreatingAtEveryCapacityLeavesABoardOrNone) {
  const FixedClock clock;
  const std::size_t needed = 2 * DumpJson(ToJson(AnyBoard())).size();  // and its copy
  for (std::size_t capacity = 0; capacity <= needed; ++capacity) {
    SCOPED_TRACE(capacity);
    MemoryDisk disk;
    disk.Put("readme", "");
    disk.capacity = capacity;
    BoardFolder folder(disk, clock, Calib::Embedded(), "b");
    const auto created = folder.Create(AnyBoard());
    EXPECT_EQ(created.has_value(), capacity == needed);
    EXPECT_EQ(disk.IsFile("b/board.json"), capacity == needed);
    EXPECT_EQ(disk.FileNames().size(), created ? 3U : 1U);
  }
}

/// In a child process in which no file may grow past `limit`: one entry, one new label; 0 when both
/// outcomes are as they should be, and the note was refused exactly when it does not fit.
int ChildUnderLimit(const Disk::Path& path, rlim_t limit, bool note_fits) {
  const pid_t child = ::fork();
  if (child == 0) {
    (void)std::signal(SIGXFSZ, SIG_IGN);
    const rlimit sizes{limit, limit};
    if (::setrlimit(RLIMIT_FSIZE, &sizes) != 0) ::_exit(99);
    const FixedClock clock;
    BoardFolder folder(RealDisk(), clock, Calib::Embedded(), path);
    const auto added = AddNote(folder, "second");
    if (added.has_value() != note_fits) ::_exit(1);
    if (!added && added.error().message.find("largest size allowed") == std::string::npos) {
      ::_exit(2);
    }
    ::_exit(0);
  }
  int status = 0;
  EXPECT_EQ(::waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST(DiskFull, ALimitOnFileSizesOnTheMachinesDisk) {
  const TemporaryFolder temporary;
  const FixedClock clock;
  BoardFolder folder(RealDisk(), clock, Calib::Embedded(), temporary.path() / "b");
  ASSERT_TRUE(folder.Create(AnyBoard()));
  ASSERT_TRUE(AddNote(folder, "first"));
  const auto first = RealDisk().Read(folder.path() / "log.jsonl");
  ASSERT_TRUE(first);
  ASSERT_TRUE(AddNote(folder, "second"));
  const auto both = RealDisk().Read(folder.path() / "log.jsonl");
  ASSERT_TRUE(both);
  constexpr std::size_t kStep = 7;
  for (std::size_t limit = first->size(); limit < both->size(); limit += kStep) {
    SCOPED_TRACE(limit);
    ASSERT_TRUE(RealDisk().Truncate(folder.path() / "log.jsonl", first->size()));
    EXPECT_EQ(ChildUnderLimit(folder.path(), limit, false), 0);
    EXPECT_EQ(*RealDisk().Read(folder.path() / "log.jsonl"), *first);
    const Verification found = VerifyFolder(RealDisk(), folder.path(), Calib::Embedded());
    EXPECT_TRUE(found.faults.empty());
    EXPECT_TRUE(found.warnings.empty());
  }
  ASSERT_TRUE(RealDisk().Truncate(folder.path() / "log.jsonl", first->size()));
  EXPECT_EQ(ChildUnderLimit(folder.path(), both->size(), true), 0);
  EXPECT_EQ(*RealDisk().Read(folder.path() / "log.jsonl"), *both);
}

TEST(DiskFull, ALimitOnFileSizesLeavesTheOldDescription) {
  const TemporaryFolder temporary;
  const FixedClock clock;
  BoardFolder folder(RealDisk(), clock, Calib::Embedded(), temporary.path() / "b");
  ASSERT_TRUE(folder.Create(AnyBoard()));
  const auto before = RealDisk().Read(folder.path() / "board.json");
  ASSERT_TRUE(before);
  const pid_t child = ::fork();
  if (child == 0) {
    (void)std::signal(SIGXFSZ, SIG_IGN);
    const rlim_t limit = before->size() / 2;
    const rlimit sizes{limit, limit};
    if (::setrlimit(RLIMIT_FSIZE, &sizes) != 0) ::_exit(99);
    const auto renamed = Rename(folder, "another");
    const bool clear =
        !renamed && renamed.error().message.find("largest size allowed") != std::string::npos;
    ::_exit(clear ? 0 : 1);
  }
  int status = 0;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  EXPECT_EQ(WIFEXITED(status) ? WEXITSTATUS(status) : -1, 0);
  EXPECT_EQ(*RealDisk().Read(folder.path() / "board.json"), *before);
  EXPECT_TRUE(VerifyFolder(RealDisk(), folder.path(), Calib::Embedded()).warnings.empty());
}

}  // namespace
}  // namespace lieflat
