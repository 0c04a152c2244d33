#pragma once
// Long work that the page looks after by number: how far it got, its end, its cancelling.

#include <atomic>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "app/web/http.h"

namespace lieflat::web {

class Job {
 public:
  void Tell(const std::string& line);
  void Cancel() { cancelled_ = true; }
  [[nodiscard]] bool cancelled() const { return cancelled_; }
  void Finish(Answer answer);
  [[nodiscard]] bool finished() const;
  /// {"state", "progress", "result" | "error"}; the result's bytes stand in it as they came.
  [[nodiscard]] Answer Document() const;

 private:
  std::atomic<bool> cancelled_{false};
  mutable std::mutex mutex_;
  std::string progress_;
  bool finished_ = false;
  Answer answer_;
};

/// The last few; older ones that have ended are forgotten.
class Jobs {
 public:
  static constexpr std::size_t kMost = 16;
  /// The job and its number; null when as many are running as are kept.
  std::shared_ptr<Job> Start(std::string& number);
  [[nodiscard]] std::shared_ptr<Job> Find(const std::string& number) const;
  void CancelAll();

 private:
  mutable std::mutex mutex_;
  int next_ = 1;
  std::map<int, std::shared_ptr<Job>> jobs_;
};

}  // namespace lieflat::web
