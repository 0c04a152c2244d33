#include "app/web/child.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <ctime>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

extern char** environ;  // NOLINT(readability-redundant-declaration): POSIX leaves it to the program

namespace lieflat::web {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool kShadowMemory = true;  // the sanitizers map terabytes that they never touch
#else
constexpr bool kShadowMemory = false;
#endif

using Time = std::chrono::steady_clock::time_point;

class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() { Close(); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&& other) noexcept : number_(other.Release()) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    Close();
    number_ = other.Release();
    return *this;
  }
  [[nodiscard]] int number() const { return number_; }
  [[nodiscard]] bool open() const { return number_ >= 0; }
  void Close() {
    if (number_ >= 0) ::close(number_);
    number_ = -1;
  }

 private:
  int Release() { return std::exchange(number_, -1); }
  int number_ = -1;
};

struct Pipe {
  Descriptor read, write;
  bool Make() {
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) return false;
    read = Descriptor(ends[0]);
    write = Descriptor(ends[1]);
    return true;
  }
};

void SetLimit(int resource, std::size_t most) {
  const rlimit limit{most, most};
  ::setrlimit(static_cast<__rlimit_resource_t>(resource), &limit);
}

/// Between fork and exec: system calls alone.
[[noreturn]] void BecomeProgram(
    const ChildLimits& limits, char* const* words, pid_t server, int in, int out, int err) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != server) ::_exit(127);  // it ended before the line above
  ::setpgid(0, 0);                          // Ctrl-C at the terminal is the server's to handle
  if (!kShadowMemory) SetLimit(RLIMIT_AS, limits.memory_bytes);
  SetLimit(RLIMIT_FSIZE, limits.file_bytes);
  SetLimit(RLIMIT_CORE, 0);
  SetLimit(RLIMIT_CPU, static_cast<std::size_t>(limits.time.count()) + 5);
  if (::dup2(in, 0) < 0 || ::dup2(out, 1) < 0 || ::dup2(err, 2) < 0) ::_exit(127);
  ::signal(SIGPIPE, SIG_DFL);
  ::signal(SIGINT, SIG_DFL);
  ::signal(SIGTERM, SIG_DFL);
  sigset_t none;
  ::sigemptyset(&none);
  ::sigprocmask(SIG_SETMASK, &none, nullptr);
  ::execve("/proc/self/exe", words, environ);
  ::_exit(127);
}

/// What is being read from the program, with a bound.
struct Drain {
  Descriptor& from;
  std::string& into;
  bool Take(std::size_t most) {
    std::array<char, 65536> block{};
    const ssize_t got = ::read(from.number(), block.data(), block.size());
    if (got < 0 && (errno == EINTR || errno == EAGAIN)) return true;
    if (got <= 0) {
      from.Close();
      return true;
    }
    into.append(block.data(), static_cast<std::size_t>(got));
    return into.size() <= most;
  }
};

class Running {
 public:
  Running(const ChildRequest& request, ChildResult& result) : request_(request), result_(result) {}

  bool Start() {
    Pipe in, out, err;
    if (!in.Make() || !out.Make() || !err.Make()) return false;
    std::vector<std::string> words = request_.words;
    words.insert(words.begin(), "lieflat");
    std::vector<char*> pointers;
    for (auto& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    const pid_t server = ::getpid();
    pid_ = ::fork();
    if (pid_ == 0) {
      BecomeProgram(request_.limits,
                    pointers.data(),
                    server,
                    in.read.number(),
                    out.write.number(),
                    err.write.number());
    }
    if (pid_ < 0) return false;
    in_ = std::move(in.write);
    out_ = std::move(out.read);
    err_ = std::move(err.read);
    ::fcntl(in_.number(), F_SETFL, O_NONBLOCK);
    return true;
  }

  /// Feeds and drains it until it has closed its streams; ends it when a bound is reached.
  void Serve() {
    const Time until = std::chrono::steady_clock::now() + request_.limits.time;
    if (request_.input.empty()) in_.Close();
    while (out_.open() || err_.open()) {
      Wait();
      if (std::chrono::steady_clock::now() >= until) return Stop(ChildResult::End::kTimeout);
      if (request_.cancelled && request_.cancelled()) return Stop(ChildResult::End::kCancelled);
      if (result_.out.size() > request_.limits.output_bytes ||
          result_.err.size() > request_.limits.output_bytes)
        return Stop(ChildResult::End::kTooLong);
    }
    int status = 0;
    while (::waitpid(pid_, &status, 0) < 0 && errno == EINTR) {
    }
    result_.end = WIFEXITED(status) ? ChildResult::End::kExited : ChildResult::End::kKilled;
    result_.status = WIFEXITED(status) ? WEXITSTATUS(status) : WTERMSIG(status);
  }

 private:
  void Wait() {
    constexpr int kTickMs = 50;
    std::array<pollfd, 3> watched{
        {{in_.number(), POLLOUT, 0}, {out_.number(), POLLIN, 0}, {err_.number(), POLLIN, 0}}};
    if (::poll(watched.data(), watched.size(), kTickMs) <= 0) return;
    if (in_.open() && watched[0].revents != 0) Feed();
    if (out_.open() && watched[1].revents != 0)
      Drain{out_, result_.out}.Take(request_.limits.output_bytes);
    if (err_.open() && watched[2].revents != 0) {
      Drain{err_, result_.err}.Take(request_.limits.output_bytes);
      TellLines();
    }
  }

  void Feed() {
    const ssize_t wrote =
        ::write(in_.number(), request_.input.data() + fed_, request_.input.size() - fed_);
    if (wrote > 0) fed_ += static_cast<std::size_t>(wrote);
    const bool later = wrote < 0 && (errno == EAGAIN || errno == EINTR);
    if ((wrote < 0 && !later) || fed_ == request_.input.size()) in_.Close();
  }

  void TellLines() {
    for (auto end = result_.err.find('\n', told_); end != std::string::npos;
         end = result_.err.find('\n', told_)) {
      if (request_.progress) request_.progress(result_.err.substr(told_, end - told_));
      told_ = end + 1;
    }
  }

  /// Asks it to end (long work then stops cleanly), and ends it when it does not.
  void Stop(ChildResult::End end) {
    constexpr int kPatienceMs = 1000, kTickMs = 10;
    result_.end = end;
    ::kill(pid_, SIGINT);
    for (int waited = 0; waited < kPatienceMs; waited += kTickMs) {
      if (::waitpid(pid_, nullptr, WNOHANG) != 0) return;
      const timespec tick{0, kTickMs * 1'000'000L};
      ::nanosleep(&tick, nullptr);
    }
    ::kill(pid_, SIGKILL);
    while (::waitpid(pid_, nullptr, 0) < 0 && errno == EINTR) {
    }
  }

  const ChildRequest& request_;
  ChildResult& result_;
  pid_t pid_ = -1;
  Descriptor in_, out_, err_;
  std::size_t fed_ = 0, told_ = 0;
};

}  // namespace

ChildResult RunProgram(const ChildRequest& request) {
  ChildResult result;
  Running running(request, result);
  if (running.Start()) running.Serve();
  return result;
}

}  // namespace lieflat::web
