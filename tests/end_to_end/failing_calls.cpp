// Loaded before the C library (LD_PRELOAD): counts the calls that touch files below one folder and
// lets the n-th go wrong.
//   LIEFLAT_FAULT_ROOT   the folder; relative paths count as lying in it
//   LIEFLAT_FAULT_TRACE  a file outside it that gets a line for each call counted:
//                        number, name, whether it changes, path
//   LIEFLAT_FAULT_AT     which call goes wrong; absent: none
//   LIEFLAT_FAULT_KIND   eio, enospc, eintr: that error, nothing done
//                        short: half of a write is done
//                        torn: and what follows on that file says ENOSPC
//                        dead: EIO, and for every later call that changes something
//                        kill: the process is killed before the call
// The real calls are looked up once; a call inside of the C library itself does not pass here.

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

#include <dirent.h>
#include <dlfcn.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

namespace {

enum class Does { kLooks, kChanges };
enum class Goes { kWell, kWrong, kHalf };

constexpr int kMostFiles = 1024;

struct Plan {
  std::string root, kind;
  long at = 0;
  int trace = -1;
  std::array<bool, kMostFiles> watched{};
  std::array<std::string, kMostFiles> path;
  std::array<bool, kMostFiles> torn{};
  std::atomic<long> count{0};
  bool dead = false;
};

std::string Value(const char* name) {
  const char* text = std::getenv(name);
  return text != nullptr ? text : "";
}

Plan& ThePlan() {
  static Plan* plan = [] {
    auto* fresh = new Plan;  // never deleted: calls come until the very end
    fresh->root = Value("LIEFLAT_FAULT_ROOT");
    fresh->kind = Value("LIEFLAT_FAULT_KIND");
    fresh->at = std::atol(Value("LIEFLAT_FAULT_AT").c_str());
    const std::string trace = Value("LIEFLAT_FAULT_TRACE");
    if (!trace.empty()) {
      fresh->trace = static_cast<int>(syscall(
          SYS_openat, AT_FDCWD, trace.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600));
    }
    return fresh;
  }();
  return *plan;
}

template <typename Function>
Function Real(const char* name) {
  return reinterpret_cast<Function>(dlsym(RTLD_NEXT, name));
}

bool Counts(const char* path) {
  const Plan& plan = ThePlan();
  if (plan.root.empty() || path == nullptr) return false;
  return path[0] != '/' || std::strncmp(path, plan.root.c_str(), plan.root.size()) == 0;
}

bool Counts(int file) {
  return file >= 0 && file < kMostFiles && ThePlan().watched.at(static_cast<std::size_t>(file));
}

std::string PathOf(int file) { return ThePlan().path.at(static_cast<std::size_t>(file)); }

/// Counts the call and says how it goes; sets errno when wrong.
Goes Count(const char* name, Does does, const std::string& path) {
  Plan& plan = ThePlan();
  const long number = ++plan.count;
  const bool changes = does == Does::kChanges;
  const std::string line =
      std::to_string(number) + " " + name + (changes ? " changes " : " looks ") + path + "\n";
  if (plan.trace >= 0) (void)syscall(SYS_write, plan.trace, line.data(), line.size());
  if (plan.dead && changes) {
    errno = EIO;
    return Goes::kWrong;
  }
  if (number != plan.at) return Goes::kWell;
  if (plan.kind == "kill") (void)raise(SIGKILL);
  if (plan.kind == "short" || plan.kind == "torn") return Goes::kHalf;
  plan.dead = plan.kind == "dead";
  errno = plan.kind == "enospc" ? ENOSPC : plan.kind == "eintr" ? EINTR : EIO;
  return Goes::kWrong;
}

void Watch(int file, const char* path) {
  if (file < 0 || file >= kMostFiles) return;
  Plan& plan = ThePlan();
  plan.watched.at(static_cast<std::size_t>(file)) = true;
  plan.torn.at(static_cast<std::size_t>(file)) = false;
  plan.path.at(static_cast<std::size_t>(file)) = path;
}

int Opened(const char* name, const char* path, int flags, mode_t mode) {
  const auto real = Real<int (*)(int, const char*, int, ...)>("openat");
  if (!Counts(path)) return real(AT_FDCWD, path, flags, mode);
  const Does does = (flags & (O_CREAT | O_TRUNC)) != 0 || (flags & O_ACCMODE) != O_RDONLY
                        ? Does::kChanges
                        : Does::kLooks;
  if (Count(name, does, path) == Goes::kWrong) return -1;
  const int file = real(AT_FDCWD, path, flags, mode);
  Watch(file, path);
  return file;
}

mode_t ModeOf(int flags, va_list more) {
  return (flags & (O_CREAT | __O_TMPFILE)) != 0 ? va_arg(more, mode_t) : 0;
}

/// What a write that is cut short still takes.
bool Torn(int file) {
  if (!ThePlan().torn.at(static_cast<std::size_t>(file))) return false;
  errno = ENOSPC;
  return true;
}

std::size_t Half(int file, std::size_t size) {
  ThePlan().torn.at(static_cast<std::size_t>(file)) = ThePlan().kind == "torn";
  return size > 1 ? size / 2 : size;
}

}  // namespace

// The C library's own names and signatures.
// NOLINTBEGIN(readability-identifier-naming)
extern "C" {

int open(const char* path, int flags, ...) {
  va_list more;
  va_start(more, flags);
  const mode_t mode = ModeOf(flags, more);
  va_end(more);
  return Opened("open", path, flags, mode);
}

int open64(const char* path, int flags, ...) {
  va_list more;
  va_start(more, flags);
  const mode_t mode = ModeOf(flags, more);
  va_end(more);
  return Opened("open", path, flags, mode);
}

int openat(int folder, const char* path, int flags, ...) {
  va_list more;
  va_start(more, flags);
  const mode_t mode = ModeOf(flags, more);
  va_end(more);
  if (folder == AT_FDCWD || path[0] == '/') return Opened("openat", path, flags, mode);
  if (Counts(folder) &&
      Count("openat", (flags & O_CREAT) != 0 ? Does::kChanges : Does::kLooks, path) == Goes::kWrong)
    return -1;
  const int file = Real<int (*)(int, const char*, int, ...)>("openat")(folder, path, flags, mode);
  if (Counts(folder)) Watch(file, path);
  return file;
}

int creat(const char* path, mode_t mode) {
  return Opened("creat", path, O_CREAT | O_WRONLY | O_TRUNC, mode);
}

int close(int file) {
  static const auto real = Real<int (*)(int)>("close");
  if (!Counts(file)) return real(file);
  const bool written = (fcntl(file, F_GETFL) & O_ACCMODE) != O_RDONLY;
  const Goes goes = Count("close", written ? Does::kChanges : Does::kLooks, PathOf(file));
  ThePlan().watched.at(static_cast<std::size_t>(file)) = false;
  const int fault = errno;
  const int done = real(file);  // the number is free again, whatever close says
  if (goes != Goes::kWrong) return done;
  errno = fault;
  return -1;
}

ssize_t read(int file, void* bytes, size_t size) {
  static const auto real = Real<ssize_t (*)(int, void*, size_t)>("read");
  if (Counts(file) && Count("read", Does::kLooks, PathOf(file)) == Goes::kWrong) return -1;
  return real(file, bytes, size);
}

ssize_t pread(int file, void* bytes, size_t size, off_t at) {
  static const auto real = Real<ssize_t (*)(int, void*, size_t, off_t)>("pread");
  if (Counts(file) && Count("pread", Does::kLooks, PathOf(file)) == Goes::kWrong) return -1;
  return real(file, bytes, size, at);
}

ssize_t write(int file, const void* bytes, size_t size) {
  static const auto real = Real<ssize_t (*)(int, const void*, size_t)>("write");
  if (!Counts(file)) return real(file, bytes, size);
  const Goes goes = Count("write", Does::kChanges, PathOf(file));
  if (goes == Goes::kWrong || Torn(file)) return -1;
  return real(file, bytes, goes == Goes::kHalf ? Half(file, size) : size);
}

ssize_t pwrite(int file, const void* bytes, size_t size, off_t at) {
  static const auto real = Real<ssize_t (*)(int, const void*, size_t, off_t)>("pwrite");
  if (!Counts(file)) return real(file, bytes, size, at);
  const Goes goes = Count("pwrite", Does::kChanges, PathOf(file));
  if (goes == Goes::kWrong || Torn(file)) return -1;
  return real(file, bytes, goes == Goes::kHalf ? Half(file, size) : size, at);
}

ssize_t writev(int file, const iovec* pieces, int count) {
  static const auto real = Real<ssize_t (*)(int, const iovec*, int)>("writev");
  if (!Counts(file)) return real(file, pieces, count);
  const Goes goes = Count("writev", Does::kChanges, PathOf(file));
  if (goes == Goes::kWrong || Torn(file)) return -1;
  return real(file, pieces, goes == Goes::kHalf && count > 1 ? count / 2 : count);
}

// A call on an open file, or on a path, with nothing done when it goes wrong.
#define ON_FILE(name, does, parameters, arguments)                                   \
  int name parameters {                                                              \
    static const auto real = Real<int(*) parameters>(#name);                         \
    if (Counts(file) && Count(#name, does, PathOf(file)) == Goes::kWrong) return -1; \
    return real arguments;                                                           \
  }
#define ON_PATH(name, does, parameters, arguments)                           \
  int name parameters {                                                      \
    static const auto real = Real<int(*) parameters>(#name);                 \
    if (Counts(path) && Count(#name, does, path) == Goes::kWrong) return -1; \
    return real arguments;                                                   \
  }
ON_FILE(fsync, Does::kChanges, (int file), (file))
ON_FILE(fdatasync, Does::kChanges, (int file), (file))
ON_FILE(ftruncate, Does::kChanges, (int file, off_t length), (file, length))
ON_FILE(ftruncate64, Does::kChanges, (int file, off64_t length), (file, length))
ON_FILE(flock, Does::kChanges, (int file, int how), (file, how))
ON_FILE(fchmod, Does::kChanges, (int file, mode_t mode), (file, mode))
ON_PATH(truncate, Does::kChanges, (const char* path, off_t length), (path, length))
ON_PATH(rename, Does::kChanges, (const char* path, const char* to), (path, to))
ON_PATH(link, Does::kChanges, (const char* path, const char* to), (path, to))
ON_PATH(unlink, Does::kChanges, (const char* path), (path))
ON_PATH(remove, Does::kChanges, (const char* path), (path))
ON_PATH(rmdir, Does::kChanges, (const char* path), (path))
ON_PATH(mkdir, Does::kChanges, (const char* path, mode_t mode), (path, mode))
ON_PATH(chmod, Does::kChanges, (const char* path, mode_t mode), (path, mode))
// Headers declare that these are given paths; a null one still has to be passed on.
#ifdef __clang__
#pragma clang diagnostic ignored "-Wtautological-pointer-compare"
#else
#pragma GCC diagnostic ignored "-Wnonnull-compare"
#endif
ON_PATH(stat, Does::kLooks, (const char* path, struct stat* status), (path, status))
ON_PATH(stat64, Does::kLooks, (const char* path, struct stat64* status), (path, status))
ON_PATH(lstat, Does::kLooks, (const char* path, struct stat* status), (path, status))
ON_PATH(lstat64, Does::kLooks, (const char* path, struct stat64* status), (path, status))
ON_FILE(fstat, Does::kLooks, (int file, struct stat* status), (file, status))
ON_FILE(fstat64, Does::kLooks, (int file, struct stat64* status), (file, status))

DIR* opendir(const char* path) {
  static const auto real = Real<DIR* (*)(const char*)>("opendir");
  if (Counts(path) && Count("opendir", Does::kLooks, path) == Goes::kWrong) return nullptr;
  DIR* folder = real(path);
  if (folder != nullptr && Counts(path)) Watch(dirfd(folder), path);
  return folder;
}

DIR* fdopendir(int file) {
  static const auto real = Real<DIR* (*)(int)>("fdopendir");
  if (Counts(file) && Count("fdopendir", Does::kLooks, PathOf(file)) == Goes::kWrong)
    return nullptr;
  return real(file);
}

dirent* readdir(DIR* folder) {
  static const auto real = Real<dirent* (*)(DIR*)>("readdir");
  const int file = dirfd(folder);
  if (Counts(file) && Count("readdir", Does::kLooks, PathOf(file)) == Goes::kWrong) return nullptr;
  return real(folder);
}

int closedir(DIR* folder) {
  static const auto real = Real<int (*)(DIR*)>("closedir");
  const int file = dirfd(folder);
  if (Counts(file)) ThePlan().watched.at(static_cast<std::size_t>(file)) = false;
  return real(folder);
}

}  // extern "C"
// NOLINTEND(readability-identifier-naming)
