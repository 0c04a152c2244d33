#include "app/web/lanes.h"

#include <utility>

namespace lieflat::web {

Lanes::Lanes(std::size_t threads_a_lane, std::size_t most_waiting) : most_waiting_(most_waiting) {
  for (Queue& queue : queues_) {
    for (std::size_t i = 0; i < threads_a_lane; ++i)
      threads_.emplace_back([this, &queue] { Run(queue); });
  }
}

Lanes::~Lanes() { Close(); }

bool Lanes::Put(Lane lane, std::function<void()> work) {
  Queue& queue = queues_[lane == Lane::kQuick ? 0 : 1];
  {
    const std::lock_guard lock(mutex_);
    if (closing_ || queue.waiting.size() >= most_waiting_) return false;
    queue.waiting.push_back(std::move(work));
  }
  queue.more.notify_one();
  return true;
}

void Lanes::Close() {
  {
    const std::lock_guard lock(mutex_);
    closing_ = true;
  }
  for (Queue& queue : queues_) queue.more.notify_all();
  for (std::thread& thread : threads_) {
    if (thread.joinable()) thread.join();
  }
}

void Lanes::Run(Queue& queue) {
  while (true) {
    std::function<void()> work;
    {
      std::unique_lock lock(mutex_);
      queue.more.wait(lock, [&] { return closing_ || !queue.waiting.empty(); });
      if (queue.waiting.empty()) return;
      work = std::move(queue.waiting.front());
      queue.waiting.pop_front();
    }
    work();
  }
}

}  // namespace lieflat::web
