#include "app/web/jobs.h"

#include <algorithm>

#include "lieflat/base/json.h"

namespace lieflat::web {

void Job::Tell(const std::string& line) {
  const std::lock_guard lock(mutex_);
  progress_ = line;
}

void Job::Finish(Answer answer) {
  const std::lock_guard lock(mutex_);
  answer_ = std::move(answer);
  finished_ = true;
}

bool Job::finished() const {
  const std::lock_guard lock(mutex_);
  return finished_;
}

Answer Job::Document() const {
  const std::lock_guard lock(mutex_);
  const char* state = !finished_             ? "running"
                      : cancelled_           ? "cancelled"
                      : answer_.status < 400 ? "done"
                                             : "failed";
  Answer answer;
  answer.body = std::string(R"({"state": ")") + state + R"(", "progress": )" +
                Json(progress_).dump(-1, ' ', false, Json::error_handler_t::replace);
  if (finished_ && answer_.status < 400 && !cancelled_) {
    answer.body += R"(, "result": )" + answer_.body;
  } else if (finished_ && !answer_.body.empty()) {
    const auto document = ParseJson(answer_.body, "answer");
    if (document && document->contains("error"))
      answer.body += R"(, "error": )" + document->at("error").dump();
  }
  answer.body += "}\n";
  return answer;
}

std::shared_ptr<Job> Jobs::Start(std::string& number) {
  const std::lock_guard lock(mutex_);
  for (auto job = jobs_.begin(); job != jobs_.end() && jobs_.size() >= kMost;)
    job = job->second->finished() ? jobs_.erase(job) : std::next(job);
  if (jobs_.size() >= kMost) return nullptr;
  auto job = std::make_shared<Job>();
  number = std::to_string(next_);
  jobs_[next_++] = job;
  return job;
}

std::shared_ptr<Job> Jobs::Find(const std::string& number) const {
  const std::lock_guard lock(mutex_);
  const auto found = jobs_.find(std::stoi(number));  // digits, nine at most: see RouteOf
  return found == jobs_.end() ? nullptr : found->second;
}

void Jobs::CancelAll() {
  const std::lock_guard lock(mutex_);
  for (const auto& [_, job] : jobs_) job->Cancel();
}

}  // namespace lieflat::web
