#include "app/web/deadlines.h"

#include <sys/socket.h>

namespace lieflat::web {

Deadlines::Deadlines() : thread_([this] { Run(); }) {}

Deadlines::~Deadlines() {
  {
    const std::lock_guard lock(mutex_);
    closing_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void Deadlines::Open(const void* connection, int socket, Span span) {
  {
    const std::lock_guard lock(mutex_);
    guarded_[connection] = {socket, Clock::now() + span};
  }
  changed_.notify_all();
}

void Deadlines::Closed(const void* connection) {
  const std::lock_guard lock(mutex_);
  guarded_.erase(connection);
}

void Deadlines::Extend(const void* connection, Span span) {
  const std::lock_guard lock(mutex_);
  if (const auto found = guarded_.find(connection); found != guarded_.end())
    found->second.until = Clock::now() + span;
}

void Deadlines::Hold(const void* connection) {
  const std::lock_guard lock(mutex_);
  if (const auto found = guarded_.find(connection); found != guarded_.end())
    found->second.until.reset();
}

std::size_t Deadlines::open() const {
  const std::lock_guard lock(mutex_);
  return guarded_.size();
}

void Deadlines::Run() {
  constexpr Span kTick{200};
  std::unique_lock lock(mutex_);
  while (!closing_) {
    if (guarded_.empty()) {
      changed_.wait(lock);  // nobody is there: nothing is to be woken for
    } else {
      changed_.wait_for(lock, kTick, [this] { return closing_; });
    }
    const auto now = Clock::now();
    for (auto& [_, guarded] : guarded_) {
      if (!guarded.until || now < *guarded.until) continue;
      ::shutdown(guarded.socket, SHUT_RDWR);  // the server sees its end and cleans up
      guarded.until.reset();
    }
  }
}

}  // namespace lieflat::web
