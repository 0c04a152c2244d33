#pragma once
// Runs the program itself: whatever reads a board's files, decodes a picture or computes happens in
// a process of its own, with bounds on memory, time and output, and ends with the server.

#include <atomic>
#include <chrono>
#include <functional>
#include <string>
#include <vector>

namespace lieflat::web {

struct ChildLimits {
  std::size_t memory_bytes = std::size_t{1} << 30U;
  std::size_t output_bytes = std::size_t{16} << 20U;
  std::size_t file_bytes = std::size_t{64} << 20U;
  std::chrono::seconds time{60};
};

struct ChildRequest {
  std::vector<std::string> words;  ///< after the program's name
  std::string input;               ///< its stdin
  ChildLimits limits = {};
  std::function<bool()> cancelled = {};                   ///< asked a few times a second
  std::function<void(const std::string&)> progress = {};  ///< a line of stderr, as it comes
};

struct ChildResult {
  enum class End { kExited, kTimeout, kTooLong, kCancelled, kKilled, kNotStarted };
  End end = End::kNotStarted;
  int status = 0;
  std::string out, err;
};

/// SIGPIPE must be ignored, as main() does.
ChildResult RunProgram(const ChildRequest& request);

}  // namespace lieflat::web
