// The child is this test program itself, /proc/self/exe: it plays the part that its first word asks
// for, before the tests' own main would begin.

#include "app/web/child.h"

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <thread>

#include <gmock/gmock.h>
#include <unistd.h>

namespace lieflat::web {
namespace {

[[noreturn]] void Play(const std::string& part) {
  char block[4096];
  if (part == "echo") {
    for (ssize_t got = 0; (got = ::read(0, block, sizeof block)) > 0;) {
      if (::write(1, block, static_cast<std::size_t>(got)) != got) std::_Exit(9);
    }
    std::fputs("told\n", stderr);
    std::_Exit(3);
  }
  if (part == "flood") {
    std::memset(block, 'x', sizeof block);
    while (::write(1, block, sizeof block) > 0) {
    }
  }
  if (part == "sleep") std::this_thread::sleep_for(std::chrono::hours(1));
  if (part == "hoard") {
    // More than its limit: refused by the system, the allocation throws, and the program ends.
    volatile char* hoard = new char[std::size_t{3} << 30U];
    hoard[0] = 1;
  }
  if (part == "deaf") std::_Exit(0);  // its input is not read
  std::_Exit(9);
}

struct Player {
  Player() {
    FILE* line = std::fopen("/proc/self/cmdline", "r");
    if (line == nullptr) return;
    char words[256] = {};
    const std::size_t got = std::fread(words, 1, sizeof words - 1, line);
    std::fclose(line);
    const std::size_t first = std::strlen(words) + 1;
    const std::string mark = "--part=";
    if (first < got && std::string(words + first).starts_with(mark))
      Play(std::string(words + first).substr(mark.size()));
  }
} const kPlayer;

/// As the program's main does: a write to a child that has gone is an error, not the end.
const auto kNoSigpipe = std::signal(SIGPIPE, SIG_IGN);

ChildRequest Asked(const std::string& part) {
  ChildRequest request;
  request.words = {"--part=" + part};
  return request;
}

TEST(Child, StreamsAndExit) {
  ChildRequest request = Asked("echo");
  for (int i = 0; i < 300000; ++i)
    request.input += static_cast<char>('a' + i % 26);  // more than a pipe holds
  std::string told;
  request.progress = [&](const std::string& line) { told += line; };
  const ChildResult result = RunProgram(request);
  EXPECT_EQ(ChildResult::End::kExited, result.end);
  EXPECT_EQ(3, result.status);
  EXPECT_EQ(request.input, result.out);
  EXPECT_EQ("told\n", result.err);
  EXPECT_EQ("told", told);
}

TEST(Child, InputThatIsNotReadIsNoFault) {
  ChildRequest request = Asked("deaf");
  request.input.assign(1000000, 'x');
  EXPECT_EQ(ChildResult::End::kExited, RunProgram(request).end);
}

TEST(Child, TooMuchOutput) {
  ChildRequest request = Asked("flood");
  request.limits.output_bytes = 100000;
  const ChildResult result = RunProgram(request);
  EXPECT_EQ(ChildResult::End::kTooLong, result.end);
  EXPECT_LT(result.out.size(), 300000U);
}

TEST(Child, TooLong) {
  ChildRequest request = Asked("sleep");
  request.limits.time = std::chrono::seconds(1);
  EXPECT_EQ(ChildResult::End::kTimeout, RunProgram(request).end);
}

TEST(Child, Cancelled) {
  ChildRequest request = Asked("sleep");
  int asked = 0;
  request.cancelled = [&] { return ++asked > 2; };
  EXPECT_EQ(ChildResult::End::kCancelled, RunProgram(request).end);
}

#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
TEST(Child, TooMuchMemory) {
  ChildRequest request = Asked("hoard");
  const ChildResult result = RunProgram(request);
  EXPECT_EQ(ChildResult::End::kKilled, result.end);
  EXPECT_EQ(SIGABRT, result.status);
}
#endif

}  // namespace
}  // namespace lieflat::web
