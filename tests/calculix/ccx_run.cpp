#include "calculix/ccx_run.h"

#include <cerrno>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace lieflat::testing {
namespace {

double Seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

/// This process's environment with one thread asked for, whatever it said before.
std::vector<std::string> EnvironmentOfOneThread() {
  std::vector<std::string> environment = {"OMP_NUM_THREADS=1"};
  for (char** entry = environ; *entry != nullptr; ++entry) {
    const std::string_view text = *entry;
    if (!text.starts_with("OMP_NUM_THREADS=") && !text.starts_with("CCX_NPROC")) {
      environment.emplace_back(text);
    }
  }
  return environment;
}

std::vector<char*> Pointers(std::vector<std::string>& texts) {
  std::vector<char*> pointers;
  pointers.reserve(texts.size() + 1);
  for (std::string& text : texts) {
    pointers.push_back(text.data());
  }
  pointers.push_back(nullptr);
  return pointers;
}

Result<ChildCost> WaitFor(pid_t child, const std::string& who, const std::string& remedy) {
  int status = 0;
  rusage usage{};
  if (::wait4(child, &status, 0, &usage) != child) {
    return Error{ErrorCode::kInternal, who, "lost sight of the child", ""};
  }
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
    return Error{
        ErrorCode::kInternal, who, fmt::format("ended with wait status {}", status), remedy};
  }
  return ChildCost{Seconds(usage.ru_utime) + Seconds(usage.ru_stime),
                   static_cast<double>(usage.ru_maxrss) / 1024};
}

}  // namespace

Result<ChildCost> RunChild(const std::vector<std::string>& command,
                           const std::filesystem::path& folder,
                           const std::filesystem::path& words) {
  std::vector<std::string> arguments = command;
  std::vector<std::string> environment = EnvironmentOfOneThread();
  posix_spawn_file_actions_t actions;
  ::posix_spawn_file_actions_init(&actions);
  ::posix_spawn_file_actions_addchdir_np(&actions, folder.c_str());
  ::posix_spawn_file_actions_addopen(
      &actions, 1, words.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  ::posix_spawn_file_actions_adddup2(&actions, 1, 2);
  pid_t child = 0;
  const int fault = ::posix_spawnp(&child,
                                   command.front().c_str(),
                                   &actions,
                                   nullptr,
                                   Pointers(arguments).data(),
                                   Pointers(environment).data());
  ::posix_spawn_file_actions_destroy(&actions);
  if (fault != 0) {
    return Error{ErrorCode::kInternal,
                 command.front(),
                 fmt::format("cannot be started: {}", std::generic_category().message(fault)),
                 "install it with tools/install-packages"};
  }
  return WaitFor(child, command.front(), fmt::format("read {}", words.string()));
}

Result<ChildCost> RunForked(const std::function<bool()>& work) {
  const pid_t child = ::fork();
  if (child == 0) {
    ::_exit(work() ? 0 : 1);
  }
  if (child < 0) {
    return Error{ErrorCode::kInternal, "fork", std::generic_category().message(errno), ""};
  }
  return WaitFor(child, "our own work in a child", "run it without the child");
}

}  // namespace lieflat::testing
