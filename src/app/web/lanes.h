#pragma once
// Where work waits for its turn, off the thread that serves the sockets: a quick lane (figures
// while typing, small reads) and a slow one, each with its own threads and a bounded queue, so that
// long work never holds up short.

#include <array>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace lieflat::web {

enum class Lane { kQuick, kSlow };

class Lanes {
 public:
  explicit Lanes(std::size_t threads_a_lane = 2, std::size_t most_waiting = 64);
  ~Lanes();
  Lanes(const Lanes&) = delete;
  Lanes& operator=(const Lanes&) = delete;

  /// False when the lane is full, or closing: the work was not taken.
  bool Put(Lane lane, std::function<void()> work);
  /// Takes no more; what waits is still run, so that everybody hears the end. Returns when all is
  /// done.
  void Close();

 private:
  struct Queue {
    std::deque<std::function<void()>> waiting;
    std::condition_variable more;
  };
  void Run(Queue& queue);

  std::size_t most_waiting_;
  std::mutex mutex_;
  bool closing_ = false;
  std::array<Queue, 2> queues_;
  std::vector<std::thread> threads_;
};

}  // namespace lieflat::web
