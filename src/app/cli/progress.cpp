#include "app/cli/progress.h"

#include <algorithm>
#include <csignal>
#include <cstdio>

#include <unistd.h>

namespace lieflat::cli {
namespace {

using std::chrono::milliseconds;

constexpr milliseconds kSilent{500}, kSilentPlain{5000};
constexpr milliseconds kRenew{100};   // a line on a terminal
constexpr milliseconds kPlain{5000};  // a line in a file, of work that takes as long

volatile std::sig_atomic_t interrupted = 0;

void Interrupt(int /*signal*/) { interrupted = 1; }

}  // namespace

Progress::Progress(bool lines)
    : started_(std::chrono::steady_clock::now()),
      told_(started_),
      lines_(lines),
      terminal_(!lines && ::isatty(STDERR_FILENO) == 1) {
  interrupted = 0;
  before_ = std::signal(SIGINT, Interrupt);
  // What was told to ignore Ctrl-C (a job in the background) goes on ignoring it.
  if (before_ == SIG_IGN) std::signal(SIGINT, SIG_IGN);
}

Progress::~Progress() {
  if (shown_ && terminal_) std::fputs("\r\033[K", stderr);
  std::signal(SIGINT, before_ == SIG_ERR ? SIG_DFL : before_);
}

void Progress::Tell(double done) {
  if (interrupted != 0) source_.request_stop();
  const Time now = std::chrono::steady_clock::now();
  if (!lines_ && now - started_ < (terminal_ ? kSilent : kSilentPlain)) return;
  if (shown_ && now - told_ < (terminal_ || lines_ ? kRenew : kPlain)) return;
  const bool is_short = done > 0.0 && (now - started_) * (1.0 - done) / done < kPlain;
  if (!terminal_ && !lines_ && is_short) return;
  const int percent = std::clamp(static_cast<int>(100.0 * done), 0, 100);
  if (percent == percent_) return;
  percent_ = percent;
  told_ = now;
  shown_ = true;
  std::fprintf(stderr, terminal_ ? "\rlieflat: %d %% done" : "lieflat: %d %% done\n", percent);
  std::fflush(stderr);
}

}  // namespace lieflat::cli
