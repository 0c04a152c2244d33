#pragma once
// Until when each connection must have got on; whoever has not is cut. libmicrohttpd's own time-out
// counts from the last byte, so that one byte a second would hold a connection for ever.

#include <chrono>
#include <condition_variable>
#include <map>
#include <mutex>
#include <optional>
#include <thread>

namespace lieflat::web {

class Deadlines {
 public:
  using Clock = std::chrono::steady_clock;
  using Span = std::chrono::milliseconds;

  Deadlines();
  ~Deadlines();
  Deadlines(const Deadlines&) = delete;
  Deadlines& operator=(const Deadlines&) = delete;

  void Open(const void* connection, int socket, Span span);
  void Closed(const void* connection);  ///< before its socket is closed
  void Extend(const void* connection, Span span);
  void Hold(const void* connection);  ///< none, until the next Extend
  [[nodiscard]] std::size_t open() const;

 private:
  struct Guarded {
    int socket = -1;
    std::optional<Clock::time_point> until;
  };
  void Run();

  mutable std::mutex mutex_;
  std::condition_variable changed_;
  bool closing_ = false;
  std::map<const void*, Guarded> guarded_;
  std::thread thread_;
};

}  // namespace lieflat::web
