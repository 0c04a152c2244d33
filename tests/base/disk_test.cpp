// The machine's own disk: what the calls promise, on a real file system.

#include "lieflat/base/disk.h"

#include <csignal>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support/temporary_folder.h"

namespace lieflat {
namespace {

using testing::TemporaryFolder;

std::string ReadOr(const Disk::Path& file, const std::string& otherwise) {
  const auto text = RealDisk().Read(file);
  return text ? *text : otherwise;
}

TEST(RealDisk, WritesAppendsCutsAndLists) {
  const TemporaryFolder folder;
  Disk& disk = RealDisk();
  const auto inner = folder.path() / "a" / "b";
  ASSERT_TRUE(disk.MakeFolder(inner));
  ASSERT_TRUE(disk.MakeFolder(inner));
  EXPECT_TRUE(disk.IsFolder(inner));
  EXPECT_FALSE(disk.IsFile(inner));
  ASSERT_TRUE(disk.AppendSynced(inner / "log", "one\n"));
  ASSERT_TRUE(disk.AppendSynced(inner / "log", "two\n"));
  EXPECT_EQ(ReadOr(inner / "log", ""), "one\ntwo\n");
  ASSERT_TRUE(disk.Truncate(inner / "log", 4));
  EXPECT_EQ(ReadOr(inner / "log", ""), "one\n");
  ASSERT_TRUE(disk.WriteSynced(inner / "other", "x"));
  const auto names = disk.List(inner);
  ASSERT_TRUE(names);
  EXPECT_EQ(*names, (std::vector<std::string>{"log", "other"}));
  ASSERT_TRUE(disk.Rename(inner / "other", inner / "moved"));
  ASSERT_TRUE(disk.Remove(inner / "moved"));
  EXPECT_FALSE(disk.IsFile(inner / "moved"));
  EXPECT_TRUE(disk.SyncFolder(inner));
}

TEST(RealDisk, ErrorsNameThePath) {
  const TemporaryFolder folder;
  Disk& disk = RealDisk();
  const auto absent = folder.path() / "absent";
  EXPECT_EQ(disk.Read(absent).error().Text(),
            absent.string() + ": there is no such file or folder (check the path)");
  EXPECT_EQ(disk.Read(folder.path()).error().Text(),
            folder.path().string() + ": is a folder, not a file (name the file)");
  EXPECT_EQ(disk.List(absent).error().Text(),
            absent.string() + ": there is no such file or folder (check the path)");
  EXPECT_EQ(disk.WriteSynced(absent / "x", "1").error().Text(),
            (absent / "x").string() +
                ": opening for writing failed: No such file or directory (check the path and the "
                "disk)");
  EXPECT_EQ(disk.AppendSynced(absent / "x", "1").error().where, (absent / "x").string());
  EXPECT_EQ(disk.Truncate(absent, 0).error().where, absent.string());
  EXPECT_EQ(disk.Rename(absent, folder.path() / "y").error().code, ErrorCode::kInternal);
  EXPECT_EQ(disk.Remove(absent).error().where, absent.string());
  EXPECT_FALSE(disk.SyncFolder(absent));
  EXPECT_FALSE(disk.CopyMode(absent, folder.path()));
  EXPECT_FALSE(disk.Lock(absent, 0.0));
}

TEST(RealDisk, TooLongAFileIsRefused) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "long";
  ASSERT_TRUE(RealDisk().WriteSynced(file, "x"));
  ASSERT_TRUE(RealDisk().Truncate(file, (64U << 20U) + 1));  // a hole takes no room
  EXPECT_EQ(RealDisk().Read(file).error().Text(),
            file.string() + ": longer than 64 MiB (is it the right file?)");
}

TEST(RealDisk, ReplacingKeepsTheAccessMode) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "board.json";
  ASSERT_TRUE(ReplaceFile(RealDisk(), file, "old"));
  constexpr mode_t kMode = 0640;
  ASSERT_EQ(::chmod(file.c_str(), kMode), 0);
  ASSERT_TRUE(ReplaceFile(RealDisk(), file, "new"));
  EXPECT_EQ(ReadOr(file, ""), "new");
  struct stat status {};
  ASSERT_EQ(::stat(file.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777U, kMode);
  EXPECT_EQ(RealDisk().List(folder.path())->size(), 1U);
}

TEST(RealDisk, LockIsExclusiveAndNamesTheHolder) {
  const TemporaryFolder folder;
  auto held = RealDisk().Lock(folder.path(), 0.0);
  ASSERT_TRUE(held) << held.error().Text();
  const auto refused = RealDisk().Lock(folder.path(), 0.02);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kBusy);
  EXPECT_EQ(refused.error().Text(),
            folder.path().string() + ": process " + std::to_string(::getpid()) +
                " is changing this folder; waited 0.02 s (let it finish or close it (an open page, "
                "another terminal), then try again)");
  held->reset();
  EXPECT_TRUE(RealDisk().Lock(folder.path(), 0.0));
}

TEST(RealDisk, LockIsWaitedFor) {
  const TemporaryFolder folder;
  auto held = RealDisk().Lock(folder.path(), 0.0);
  ASSERT_TRUE(held);
  std::thread releaser([&] {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    held->reset();
  });
  EXPECT_TRUE(RealDisk().Lock(folder.path(), 20.0));
  releaser.join();
}

/// Runs `job` in a child process in which no file may grow past `limit` bytes; its return value is
/// the exit status.
int WithFileLimit(rlim_t limit, int (*job)(const Disk::Path&), const Disk::Path& file) {
  const pid_t child = ::fork();
  if (child == 0) {
    (void)std::signal(SIGXFSZ, SIG_IGN);  // so that write says EFBIG
    const rlimit sizes{limit, limit};
    if (::setrlimit(RLIMIT_FSIZE, &sizes) != 0) ::_exit(99);
    ::_exit(job(file));
  }
  int status = 0;
  EXPECT_EQ(::waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

bool SaysTooLarge(const Error& error) {
  return error.message ==
         "the file would grow past the largest size allowed: writing failed, nothing was changed";
}

TEST(RealDisk, AppendThatDoesNotFitIsCutBack) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "log";
  for (rlim_t limit = 8; limit < 16; ++limit) {
    SCOPED_TRACE(limit);
    ASSERT_TRUE(RealDisk().WriteSynced(file, "12345678"));
    const auto job = [](const Disk::Path& path) {
      const auto added = RealDisk().AppendSynced(path, "abcdefgh");
      return !added && SaysTooLarge(added.error()) ? 0 : 1;
    };
    EXPECT_EQ(WithFileLimit(limit, job, file), 0);
    EXPECT_EQ(ReadOr(file, ""), "12345678");
  }
}

TEST(RealDisk, ReplacementThatDoesNotFitLeavesTheOldFile) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "board.json";
  ASSERT_TRUE(RealDisk().WriteSynced(file, "old"));
  for (rlim_t limit = 0; limit < 8; ++limit) {
    SCOPED_TRACE(limit);
    const auto job = [](const Disk::Path& path) {
      const auto replaced = ReplaceFile(RealDisk(), path, "new text");
      return !replaced && SaysTooLarge(replaced.error()) ? 0 : 1;
    };
    EXPECT_EQ(WithFileLimit(limit, job, file), 0);
    EXPECT_EQ(ReadOr(file, ""), "old");
    EXPECT_EQ(RealDisk().List(folder.path())->size(), 1U) << "a temporary file is left";
  }
}

TEST(RealDisk, DeviceWithoutRoomIsSaidPlainly) {
  const auto written = RealDisk().AppendSynced("/dev/full", "x");
  ASSERT_FALSE(written);
  EXPECT_TRUE(
      written.error().message.starts_with("the disk is full: writing failed, nothing was changed"))
      << written.error().Text();
}

}  // namespace
}  // namespace lieflat
