// Replacing and appending with a failure or a stop before, or in the midst of, every call to the
// disk: old or new, never a mixture.

#include <optional>
#include <string>

#include <gtest/gtest.h>

#include "lieflat/base/disk.h"

#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::Crash;
using testing::MemoryDisk;

const std::string kOld = "the old content, whole";
const std::string kNew = "the new content, a little longer than the old one";
constexpr int kMoreThanAllSteps = 30;

enum class How { kFail, kStop };

/// Fails or stops at the nth step (from 0); counts all steps.
struct Saboteur {
  int at;
  How how;
  int seen = 0;
  std::string hit = {};

  std::optional<Error> operator()(const std::string& step, const Disk::Path& path) {
    if (seen++ != at) return std::nullopt;
    hit = step;
    if (how == How::kStop) throw Crash();
    return Error{ErrorCode::kInternal, path.string(), "made to fail at " + step, ""};
  }
};

/// What is under the name after a replacement in which step `at` went wrong; the step's name, empty
/// when all were passed.
struct Outcome {
  std::string step;
  bool done = false;
  bool stopped = false;
  std::string content, after_power_cut;
  std::size_t files = 0;
};

Outcome Replace(int at, How how, bool exists) {
  MemoryDisk disk;
  disk.Put("lot/board/other", "x");
  if (exists) disk.Put("lot/board/board.json", kOld);
  Saboteur saboteur{at, how};
  disk.hook = std::ref(saboteur);
  Outcome outcome;
  try {
    outcome.done = ReplaceFile(disk, "lot/board/board.json", kNew).has_value();
  } catch (const Crash&) {
    outcome.stopped = true;
  }
  disk.hook = nullptr;
  outcome.step = saboteur.hit;
  outcome.content = disk.Content("lot/board/board.json").value_or("absent");
  outcome.files = disk.FileNames().size();
  disk.PowerCut();
  outcome.after_power_cut = disk.Content("lot/board/board.json").value_or("absent");
  return outcome;
}

class ReplaceAtEveryStep : public ::testing::TestWithParam<bool> {};
INSTANTIATE_TEST_SUITE_P(OldFile, ReplaceAtEveryStep, ::testing::Bool());

TEST_P(ReplaceAtEveryStep, FailureLeavesOldOrNew) {
  const std::string old = GetParam() ? kOld : "absent";
  int step = 0;
  for (;; ++step) {
    const Outcome outcome = Replace(step, How::kFail, GetParam());
    SCOPED_TRACE(::testing::Message() << "step " << step << " " << outcome.step);
    ASSERT_LT(step, kMoreThanAllSteps);
    if (outcome.step.empty()) break;
    EXPECT_FALSE(outcome.done);
    // Only the last step, the folder's sync, leaves the new content, and says so.
    EXPECT_EQ(outcome.content, outcome.step == "sync-folder" ? kNew : old);
    EXPECT_TRUE(outcome.after_power_cut == old || outcome.after_power_cut == kNew);
    // No temporary file is left: "other" and, if any, board.json.
    EXPECT_EQ(outcome.files, outcome.content == "absent" ? 1U : 2U);
  }
  // write write-half [copy-mode] rename sync-folder
  EXPECT_EQ(step, GetParam() ? 5 : 4);
}

TEST_P(ReplaceAtEveryStep, StopLeavesOldOrNew) {
  const std::string old = GetParam() ? kOld : "absent";
  for (int step = 0;; ++step) {
    const Outcome outcome = Replace(step, How::kStop, GetParam());
    SCOPED_TRACE(::testing::Message() << "step " << step << " " << outcome.step);
    ASSERT_LT(step, kMoreThanAllSteps);
    if (outcome.step.empty()) {
      EXPECT_TRUE(outcome.done);
      EXPECT_EQ(outcome.after_power_cut, kNew) << "acknowledged, so it must survive a power cut";
      break;
    }
    EXPECT_TRUE(outcome.stopped);
    EXPECT_TRUE(outcome.content == old || outcome.content == kNew) << outcome.content;
    EXPECT_TRUE(outcome.after_power_cut == old || outcome.after_power_cut == kNew)
        << outcome.after_power_cut;
  }
}

TEST(Replace, SaysWhenOnlyTheLastStepFailed) {
  MemoryDisk disk;
  disk.Put("b/board.json", kOld);
  disk.hook = [](const std::string& step, const Disk::Path& path) -> std::optional<Error> {
    if (step != "sync-folder") return std::nullopt;
    return Error{ErrorCode::kInternal, path.string(), "syncing the folder failed", ""};
  };
  const auto replaced = ReplaceFile(disk, "b/board.json", kNew);
  ASSERT_FALSE(replaced);
  EXPECT_EQ(replaced.error().Text(),
            "b: syncing the folder failed; b/board.json holds the new content, which a power cut "
            "may undo");
}

TEST(Replace, DiskFullAtEveryCapacity) {
  // Both contents stand side by side for a moment: that much room is needed, and no less will do.
  const std::size_t needed = kOld.size() + kNew.size();
  for (std::size_t capacity = kOld.size(); capacity <= needed + 2; ++capacity) {
    SCOPED_TRACE(capacity);
    MemoryDisk disk;
    disk.Put("b/board.json", kOld);
    disk.capacity = capacity;
    const auto replaced = ReplaceFile(disk, "b/board.json", kNew);
    EXPECT_EQ(replaced.has_value(), capacity >= needed);
    EXPECT_EQ(disk.Content("b/board.json"), replaced ? kNew : kOld);
    EXPECT_EQ(disk.FileNames().size(), 1U);
    if (!replaced) {
      EXPECT_NE(replaced.error().message.find("the disk is full"), std::string::npos);
    }
  }
}

TEST(Append, FailureOrStopAtEveryStep) {
  for (const How how : {How::kFail, How::kStop}) {
    for (int step = 0;; ++step) {
      MemoryDisk disk;
      disk.Put("b/log", "one\n");
      Saboteur saboteur{step, how};
      disk.hook = std::ref(saboteur);
      bool done = false;
      try {
        done = disk.AppendSynced("b/log", "two\n").has_value();
      } catch (const Crash&) {
        done = false;
      }
      SCOPED_TRACE(::testing::Message() << "step " << step << " " << saboteur.hit);
      ASSERT_LT(step, kMoreThanAllSteps);
      disk.PowerCut();
      const std::string content = disk.Content("b/log").value_or("absent");
      if (saboteur.hit.empty()) {
        EXPECT_TRUE(done);
        EXPECT_EQ(content, "one\ntwo\n");
        break;
      }
      EXPECT_FALSE(done);
      // A stop may leave a torn tail, which the log's reader sets aside; what was there before is
      // whole.
      EXPECT_TRUE(content.starts_with("one\n")) << content;
      if (how == How::kFail) {
        EXPECT_EQ(content, "one\n");
      }
    }
  }
}

TEST(Replace, TemporaryNamesAreTold) {
  MemoryDisk disk;
  disk.Put("b/board.json", kOld);
  std::string temporary;
  disk.hook = [&](const std::string& step, const Disk::Path& path) -> std::optional<Error> {
    if (step == "write") temporary = path.filename().string();
    return std::nullopt;
  };
  ASSERT_TRUE(ReplaceFile(disk, "b/board.json", kNew));
  EXPECT_TRUE(IsTemporaryName(temporary)) << temporary;
  EXPECT_FALSE(IsTemporaryName("board.json"));
  EXPECT_FALSE(IsTemporaryName(".lock"));
}

}  // namespace
}  // namespace lieflat
