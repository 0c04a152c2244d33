// Every history of a few operations on a board folder, stopped or failed at every call to the disk;
// a power cut may follow and keep any part of what was not synced, in any order, with any blocks of
// the write that was under way. What POSIX promises is that much and no more (fsync, rename: IEEE
// Std 1003.1-2017): what was acknowledged is there, the rest is old or new, never a mixture.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "lieflat/record/folder.h"

#include "support/counts.h"
#include "support/fixed_clock.h"
#include "support/memory_disk.h"

namespace lieflat {
namespace {

using testing::Crash;
using testing::FixedClock;
using testing::MemoryDisk;

const Disk::Path kPath = "lot/017";

enum class Deed { kCreate, kChange, kNote, kKeep, kRepair };
constexpr std::array kDeeds = {
    Deed::kCreate, Deed::kChange, Deed::kNote, Deed::kKeep, Deed::kRepair};

/// Every sequence of one to `longest` deeds; without a first creation little happens in one.
std::vector<std::vector<Deed>> Histories(std::size_t longest) {
  std::vector<std::vector<Deed>> all, last = {{Deed::kCreate}};
  for (std::size_t length = 1; length < longest; ++length) {
    std::vector<std::vector<Deed>> longer;
    for (const auto& history : last) {
      for (const Deed deed : kDeeds) {
        longer.push_back(history);
        longer.back().push_back(deed);
      }
    }
    all.insert(all.end(), longer.begin(), longer.end());
    last = std::move(longer);
  }
  return all;
}

/// What a person was told, and what was being done when it ended.
struct Known {
  bool created = false;
  std::string label = "first";
  std::vector<std::string> notes;
  std::string label_under_way, note_under_way;  ///< empty: none
  bool create_under_way = false;
};

class Store {
 public:
  Store() { disk.Put("lot/readme", "a crate"); }

  [[nodiscard]] BoardFolder Folder() { return {disk, clock_, Calib::Embedded(), kPath}; }

  /// One deed; what is acknowledged goes into `known`, what failed stays "under way".
  void Do(Deed deed, int number, Known& known) {
    known.label_under_way = known.note_under_way = "";
    known.create_under_way = false;
    switch (deed) {
      case Deed::kCreate:
        known.create_under_way = !known.created;
        if (Folder().Create(Board())) known.created = true;
        break;
      case Deed::kChange: {
        const std::string label = fmt::format("label {}", number);
        if (known.created) known.label_under_way = label;
        if (Relabel(label)) known.label = label;
        break;
      }
      case Deed::kNote: {
        const std::string text = fmt::format("note {}", number);
        if (known.created) known.note_under_way = text;
        if (AddNote(text)) known.notes.push_back(text);
        break;
      }
      case Deed::kKeep:
        if (known.created) Folder().KeepAssessment("key", "{}");
        break;
      case Deed::kRepair:
        if (known.created) (void)RepairFolder(disk, kPath, Calib::Embedded());
        break;
    }
  }

  [[nodiscard]] bool Relabel(const std::string& label) {
    return Folder()
        .ChangeBoard([&](lieflat::Board& board) {
          board.label = label;
          return Result<void>();
        })
        .has_value();
  }
  [[nodiscard]] bool AddNote(const std::string& text) {
    return Folder()
        .Append([&](const BoardFolder::State&) -> Result<BoardFolder::NewEntry> {
          return BoardFolder::NewEntry{"note", {}, Json{{"text", text}}, std::nullopt};
        })
        .has_value();
  }

  MemoryDisk disk;

 private:
  [[nodiscard]] static lieflat::Board Board() {
    auto board = RectangularBoard(305, 244, Calib::Embedded()).value();
    board.label = "first";
    return board;
  }
  FixedClock clock_;
};

/// Old or new where something was under way; told is there.
void ExpectWhole(Store& store, const Known& known) {
  const auto state = store.Folder().Load();
  if (!state) {
    ASSERT_FALSE(known.created) << state.error().Text();
    ASSERT_FALSE(store.disk.IsFile(kPath / "board.json")) << state.error().Text();
    return;
  }
  ASSERT_TRUE(known.created || known.create_under_way);
  const Verification found = VerifyFolder(store.disk, kPath, Calib::Embedded());
  ASSERT_TRUE(found.faults.empty()) << found.faults[0].Text();
  const std::string& label = state->board.label;
  ASSERT_TRUE(label == known.label || label == known.label_under_way) << label;
  std::vector<std::string> notes;
  for (const Entry& entry : state->log.entries) notes.push_back(entry.fields.at("text"));
  if (notes.size() == known.notes.size() + 1) {
    ASSERT_EQ(notes.back(), known.note_under_way);
    notes.pop_back();
  }
  ASSERT_EQ(notes, known.notes);
}

/// Work goes on as if nothing had been.
void ExpectUsable(Store& store, const Known& known) {
  if (!store.disk.IsFile(kPath / "board.json")) {
    Known fresh = known;
    store.Do(Deed::kCreate, 0, fresh);
    ASSERT_TRUE(fresh.created);
  }
  ASSERT_TRUE(store.AddNote("after"));
  ASSERT_TRUE(store.Relabel("after"));
  ASSERT_TRUE(RepairFolder(store.disk, kPath, Calib::Embedded()));
  const Verification found = VerifyFolder(store.disk, kPath, Calib::Embedded());
  ASSERT_TRUE(found.faults.empty());
  ASSERT_TRUE(found.warnings.empty()) << found.warnings[0];
  ASSERT_EQ(store.Folder().Load()->board.label, "after");
}

/// Runs a history on a fresh disk and stops it before call number `at`. @return which call that
/// was, or nothing when the history ends before.
std::optional<std::string> RunUntil(
    Store& store, const std::vector<Deed>& history, int at, MemoryDisk::Torn torn, Known& known) {
  store.disk.torn = torn;
  std::optional<std::string> hit;
  int seen = 0;
  store.disk.hook = [&](const std::string& step, const Disk::Path&) -> std::optional<Error> {
    if (seen++ != at) return std::nullopt;
    hit = step;
    throw Crash();
  };
  try {
    for (std::size_t i = 0; i < history.size(); ++i)
      store.Do(history[i], static_cast<int>(i), known);
  } catch (const Crash&) {
  }
  store.disk.hook = nullptr;
  return hit;
}

std::string Name(const std::vector<Deed>& history) {
  std::string name;
  for (const Deed deed : history)
    name += std::array{
        "create ", "change ", "note ", "keep ", "repair "}[static_cast<std::size_t>(deed)];
  return name;
}

/// One stop: as after a kill, and after a power cut that keeps each part of what was not synced.
void StopAt(const std::vector<Deed>& history, int at, MemoryDisk::Torn torn, std::size_t& cases) {
  unsigned cuts = 1;
  for (unsigned kept = 0; kept <= cuts; ++kept) {  // the last round: no power cut
    Store store;
    Known known;
    RunUntil(store, history, at, torn, known);
    cuts = 1U << store.disk.PendingNames();
    SCOPED_TRACE(kept);
    if (kept == cuts) {
      store.disk.Restart();
    } else {
      store.disk.PowerCut(kept);
    }
    ++cases;
    ASSERT_NO_FATAL_FAILURE(ExpectWhole(store, known));
    ASSERT_NO_FATAL_FAILURE(ExpectUsable(store, known));
  }
}

TEST(Crash, EveryHistoryStoppedAtEveryCall) {
  using Torn = MemoryDisk::Torn;
  std::size_t cases = 0;
  const auto longest = static_cast<std::size_t>(testing::Count(4, 5));
  for (const std::vector<Deed>& history : Histories(longest)) {
    for (int at = 0;; ++at) {
      Store store;
      Known known;
      const auto step = RunUntil(store, history, at, Torn::kHalf, known);
      if (!step) break;
      SCOPED_TRACE(Name(history) + "at " + std::to_string(at) + ", " + *step);
      const bool writing = step->ends_with("-half");
      for (const Torn torn :
           {Torn::kHalf, Torn::kNothing, Torn::kAll, Torn::kZerosFirst, Torn::kZerosLast}) {
        ASSERT_NO_FATAL_FAILURE(StopAt(history, at, torn, cases));
        if (!writing) break;
      }
    }
  }
  RecordProperty("cases", std::to_string(cases));
  EXPECT_GT(cases, 10000U);
}

// A call that fails is told as a failure that names the disk's error, and changes nothing; only of
// the last step of all, the sync of a folder, it may be that the new content stands.
TEST(Crash, EveryHistoryFailedAtEveryCall) {
  const auto longest = static_cast<std::size_t>(testing::Count(4, 5));
  for (const std::vector<Deed>& history : Histories(longest)) {
    for (int at = 0;; ++at) {
      Store store;
      Known known;
      std::optional<std::string> hit;
      int seen = 0;
      store.disk.hook = [&](const std::string& step, const Disk::Path& path) {
        if (seen++ != at) return std::optional<Error>();
        hit = step;
        return std::optional<Error>(
            Error{ErrorCode::kInternal, path.string(), "made to fail", "try again"});
      };
      Known before;
      for (std::size_t i = 0; i < history.size(); ++i) {
        if (!hit) before = known;
        const bool failed_before = hit.has_value();
        store.Do(history[i], static_cast<int>(i), known);
        if (hit && !failed_before && *hit != "sync-folder") {
          // What failed was not told as done, and what is there is what was there.
          known.label_under_way = known.note_under_way = "";
          ASSERT_NO_FATAL_FAILURE(ExpectWhole(store, known)) << Name(history) << at << *hit;
        }
        if (hit && *hit == "sync-folder" && !failed_before) break;
      }
      store.disk.hook = nullptr;
      if (!hit) break;
      SCOPED_TRACE(Name(history) + "at " + std::to_string(at) + ", " + *hit);
      ASSERT_NO_FATAL_FAILURE(ExpectWhole(store, known));
      ASSERT_NO_FATAL_FAILURE(ExpectUsable(store, known));
    }
  }
}

}  // namespace
}  // namespace lieflat
