// A writer that is killed (SIGKILL) at random moments, and two writers at once: what was
// acknowledged is there, and every folder passes `verify`.

#include <array>
#include <chrono>
#include <set>
#include <string>
#include <thread>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lieflat/base/random.h"
#include "lieflat/record/folder.h"

#include "support/counts.h"
#include "support/fixed_clock.h"
#include "support/temporary_folder.h"

namespace lieflat {
namespace {

using testing::Count;
using testing::FixedClock;
using testing::TemporaryFolder;

constexpr std::uint64_t kSeed = 20260302;
constexpr double kLongestLifeMs = 60.0;

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

/// Runs `work` in a child that says each thing it has been promised over a pipe, one line each;
/// kills it after `life`. Returns the whole lines that were said before it died.
template <typename Work>
std::vector<std::string> SaidBeforeDeath(std::chrono::microseconds life, const Work& work) {
  std::array<int, 2> ends{};
  EXPECT_EQ(::pipe2(ends.data(), O_CLOEXEC), 0);
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    work([&](const std::string& line) {
      const std::string text = line + "\n";
      if (::write(ends[1], text.data(), text.size()) != static_cast<ssize_t>(text.size())) {
        ::_exit(1);
      }
    });
    ::_exit(2);  // the work has no end of its own
  }
  ::close(ends[1]);
  // Its life counts from its first sign, so that a busy machine does not kill it before it has
  // begun.
  std::string said(1, '\0');
  EXPECT_EQ(::read(ends[0], said.data(), 1), 1);
  std::this_thread::sleep_for(life);
  EXPECT_EQ(::kill(child, SIGKILL), 0);
  std::array<char, 4096> block{};
  for (ssize_t size = 0; (size = ::read(ends[0], block.data(), block.size())) > 0;) {
    said.append(block.data(), static_cast<std::size_t>(size));
  }
  ::close(ends[0]);
  int status = 0;
  EXPECT_EQ(::waitpid(child, &status, 0), child);
  EXPECT_TRUE(WIFSIGNALED(status)) << "the child ended by itself: " << WEXITSTATUS(status);
  std::vector<std::string> lines;
  for (std::size_t start = 0, end = 0; (end = said.find('\n', start)) != std::string::npos;) {
    lines.push_back(said.substr(start, end - start));
    start = end + 1;
  }
  return lines;
}

std::chrono::microseconds RandomLife(Random& random) {
  return std::chrono::microseconds(static_cast<int>(random.Uniform(0.0, kLongestLifeMs) * 1000));
}

TEST(Kill, EveryAcknowledgedEntryIsThere) {
  SCOPED_TRACE(::testing::Message() << "seed " << kSeed);
  Random random(kSeed);
  const int rounds = Count(30, 300);
  std::size_t acknowledged = 0;
  for (int round = 0; round < rounds; ++round) {
    SCOPED_TRACE(round);
    const TemporaryFolder temporary;
    const FixedClock clock;
    BoardFolder folder(RealDisk(), clock, Calib::Embedded(), temporary.path() / "b");
    ASSERT_TRUE(folder.Create(AnyBoard()));
    const auto said = SaidBeforeDeath(RandomLife(random), [&](const auto& say) {
      while (const auto entry = AddNote(folder, "as fast as it can")) say(entry->id);
    });
    acknowledged += said.size();
    const auto state = folder.Load();
    ASSERT_TRUE(state) << state.error().Text();
    for (const std::string& id : said) {
      EXPECT_NE(state->log.Find(id), nullptr) << id << " was acknowledged and is lost";
    }
    // At most the one that was being written may be there beyond what was said.
    EXPECT_LE(state->log.entries.size(), said.size() + 1);
    const Verification found = VerifyFolder(RealDisk(), folder.path(), Calib::Embedded());
    EXPECT_TRUE(found.faults.empty()) << found.faults[0].Text();
    ASSERT_TRUE(AddNote(folder, "after the fall"));
    EXPECT_TRUE(VerifyFolder(RealDisk(), folder.path(), Calib::Embedded()).warnings.empty());
  }
  EXPECT_GT(acknowledged, static_cast<std::size_t>(rounds)) << "the writer hardly ran";
}

TEST(Kill, TheDescriptionIsOldOrNew) {
  SCOPED_TRACE(::testing::Message() << "seed " << kSeed);
  Random random(kSeed + 1);
  const int rounds = Count(30, 300);
  for (int round = 0; round < rounds; ++round) {
    SCOPED_TRACE(round);
    const TemporaryFolder temporary;
    const FixedClock clock;
    BoardFolder folder(RealDisk(), clock, Calib::Embedded(), temporary.path() / "b");
    ASSERT_TRUE(folder.Create(AnyBoard()));
    const auto said = SaidBeforeDeath(RandomLife(random), [&](const auto& say) {
      for (int number = 1;; ++number) {
        const auto changed = folder.ChangeBoard([&](Board& board) {
          board.label = std::to_string(number);
          return Result<void>();
        });
        if (!changed) return;
        say(changed->label);
      }
    });
    const auto state = folder.Load();
    ASSERT_TRUE(state) << state.error().Text();
    const int last = said.empty() ? 0 : std::stoi(said.back());
    const int now = state->board.label.empty() ? 0 : std::stoi(state->board.label);
    EXPECT_TRUE(now == last || now == last + 1) << now << " after " << last;
    const Verification found = VerifyFolder(RealDisk(), folder.path(), Calib::Embedded());
    EXPECT_TRUE(found.faults.empty()) << found.faults[0].Text();
    ASSERT_TRUE(folder.ChangeBoard([](Board& board) {
      board.label = "after";
      return Result<void>();
    }));
    EXPECT_TRUE(VerifyFolder(RealDisk(), folder.path(), Calib::Embedded()).warnings.empty());
  }
}

TEST(TwoWriters, NothingIsLost) {
  const TemporaryFolder temporary;
  const FixedClock clock;
  BoardFolder folder(RealDisk(), clock, Calib::Embedded(), temporary.path() / "b");
  ASSERT_TRUE(folder.Create(AnyBoard()));
  constexpr int kWriters = 2;
  constexpr int kEach = 100;
  std::vector<pid_t> children;
  for (int writer = 0; writer < kWriters; ++writer) {
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      for (int i = 0; i < kEach; ++i) {
        if (!AddNote(folder, std::to_string(writer) + ":" + std::to_string(i))) ::_exit(1);
      }
      ::_exit(0);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  }
  const auto state = folder.Load();
  ASSERT_TRUE(state) << state.error().Text();
  std::set<std::string> texts;
  for (const Entry& entry : state->log.entries) texts.insert(entry.fields.at("text"));
  EXPECT_EQ(texts.size(), static_cast<std::size_t>(kWriters * kEach));
  EXPECT_EQ(state->log.entries.size(), static_cast<std::size_t>(kWriters * kEach));
  EXPECT_EQ(state->log.NextId(), "e201");
}

}  // namespace
}  // namespace lieflat
