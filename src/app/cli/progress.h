#pragma once
// Long work: how far it got, on stderr, and a clean end at Ctrl-C. While one of these lives, Ctrl-C
// asks the work to stop instead of ending the program; what it would have written is not begun.

#include <chrono>
#include <functional>
#include <stop_token>

namespace lieflat::cli {

class Progress {
 public:
  /// @param lines  plain lines from the first moment, often, for a program that reads them.
  explicit Progress(bool lines = false);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  /// To be called with the share done. On a terminal one line that renews itself, from half a
  /// second on; else a plain line every few seconds, when the work looks like taking longer than
  /// that.
  void Tell(double done);
  [[nodiscard]] std::function<void(double done)> Teller() {
    return [this](double done) { Tell(done); };
  }
  [[nodiscard]] std::stop_token stop() const { return source_.get_token(); }

 private:
  using Time = std::chrono::steady_clock::time_point;
  Time started_, told_;
  bool lines_, terminal_, shown_ = false;
  int percent_ = -1;
  std::stop_source source_;
  void (*before_)(int);
};

}  // namespace lieflat::cli
