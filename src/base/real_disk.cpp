// The machine's file system, by POSIX calls: the standard streams neither sync nor say why a call
// failed.

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstdio>
#include <system_error>
#include <thread>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lieflat/base/disk.h"

namespace lieflat {
namespace {

using Path = Disk::Path;
constexpr std::size_t kLongest = 64ULL << 20U;

std::string Word(int fault) { return std::generic_category().message(fault); }

/// A call that changes something went wrong.
Error WriteError(const Path& path, const std::string& doing, int fault) {
  if (fault == ENOSPC || fault == EDQUOT) {
    return {ErrorCode::kInternal,
            path.string(),
            "the disk is full: " + doing + " failed, nothing was changed",
            "free some space and try again"};
  }
  if (fault == EFBIG) {
    return {ErrorCode::kInternal,
            path.string(),
            "the file would grow past the largest size allowed: " + doing +
                " failed, nothing was changed",
            "raise the limit on file sizes (ulimit -f) or free some space, and try again"};
  }
  const bool denied = fault == EACCES || fault == EPERM || fault == EROFS;
  return {ErrorCode::kInternal,
          path.string(),
          fmt::format("{} failed: {}", doing, Word(fault)),
          denied ? "check who may write there" : "check the path and the disk"};
}

Error ReadError(const Path& path, int fault) {
  if (fault == ENOENT || fault == ENOTDIR) {
    return {
        ErrorCode::kRefused, path.string(), "there is no such file or folder", "check the path"};
  }
  return {ErrorCode::kRefused, path.string(), "cannot be read: " + Word(fault), "check the path"};
}

/// What cannot be looked at for another reason may well be there; reading it then says why not.
bool SaysAbsent(int fault) {
  return fault == ENOENT || fault == ENOTDIR || fault == ENAMETOOLONG || fault == ELOOP;
}

/// 0 or what went wrong. Asked once more when the disk, not the path, is at fault: what fails in
/// passing would else be taken for something that is there.
int LookAt(const Path& path, struct stat& status) {
  if (::stat(path.c_str(), &status) == 0) return 0;
  if (SaysAbsent(errno)) return errno;
  return ::stat(path.c_str(), &status) == 0 ? 0 : errno;
}

/// A file descriptor, closed at the latest when it goes out of scope.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  [[nodiscard]] int number() const { return number_; }
  [[nodiscard]] bool is_open() const { return number_ >= 0; }
  int Release() { return std::exchange(number_, -1); }
  /// 0, or what went wrong; some network file systems report a failed write only here.
  int Close() {
    const int number = std::exchange(number_, -1);
    return ::close(number) == 0 || errno == EINTR ? 0 : errno;
  }

 private:
  int number_;
};

constexpr mode_t kNewFileMode = 0666;  // the user's umask takes its part away

int Open(const Path& path, int flags) {
  int number = 0;
  do {
    number = ::open(path.c_str(), flags | O_CLOEXEC, kNewFileMode);
  } while (number < 0 && errno == EINTR);
  return number;
}

int WriteAll(int number, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(number, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    if (written == 0) return ENOSPC;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

int Sync(int number) {
  while (::fsync(number) != 0) {
    if (errno != EINTR) return errno;
  }
  return 0;
}

int Cut(int number, off_t length) {
  while (::ftruncate(number, length) != 0) {
    if (errno != EINTR) return errno;
  }
  return 0;
}

class FileLock : public FolderLock {
 public:
  explicit FileLock(int number) : descriptor_(number) {}

 private:
  Descriptor descriptor_;  // the lock ends when it is closed
};

/// Leaves the process's number in the lock file for whoever waits. Only a help for a message: that
/// it could not be written (a full disk) is no fault of the lock.
void LeaveName(int number) {
  const std::string name = fmt::format("{}\n", ::getpid());
  if (::ftruncate(number, 0) != 0) return;
  [[maybe_unused]] const ssize_t written = ::pwrite(number, name.data(), name.size(), 0);
}

std::string HolderName(int number) {
  char text[24] = {};
  const ssize_t size = ::pread(number, text, sizeof text - 1, 0);
  const std::string_view view(text, size > 0 ? static_cast<std::size_t>(size) : 0);
  const auto digits = std::min(view.find_first_not_of("0123456789"), view.size());
  if (digits == 0) return "another program";
  return fmt::format("process {}", view.substr(0, digits));
}

class MachineDisk : public Disk {
 public:
  Result<std::string> Read(const Path& file) const override {
    const Descriptor descriptor(Open(file, O_RDONLY));
    if (!descriptor.is_open()) return ReadError(file, errno);
    struct stat status {};
    if (::fstat(descriptor.number(), &status) != 0) return ReadError(file, errno);
    if (S_ISDIR(status.st_mode)) {
      return Error{ErrorCode::kRefused, file.string(), "is a folder, not a file", "name the file"};
    }
    std::string text;
    char block[1U << 16U];
    while (true) {
      const ssize_t size = ::read(descriptor.number(), block, sizeof block);
      if (size < 0 && errno == EINTR) continue;
      if (size < 0) return ReadError(file, errno);
      if (size == 0) return text;
      text.append(block, static_cast<std::size_t>(size));
      if (text.size() > kLongest) {
        return Error{
            ErrorCode::kRefused, file.string(), "longer than 64 MiB", "is it the right file?"};
      }
    }
  }

  [[nodiscard]] bool IsFile(const Path& path) const override {
    struct stat status {};
    const int fault = LookAt(path, status);
    return fault == 0 ? !S_ISDIR(status.st_mode) : !SaysAbsent(fault);
  }

  [[nodiscard]] bool IsFolder(const Path& path) const override {
    struct stat status {};
    return LookAt(path, status) == 0 && S_ISDIR(status.st_mode);
  }

  Result<std::vector<std::string>> List(const Path& folder) const override {
    std::error_code fault;
    std::vector<std::string> names;
    std::filesystem::directory_iterator entry;
    do {
      entry = std::filesystem::directory_iterator(folder, fault);
    } while (fault.value() == EINTR);
    while (!fault && entry != std::filesystem::directory_iterator()) {
      names.push_back(entry->path().filename().string());
      entry.increment(fault);
    }
    if (fault) return ReadError(folder, fault.value());
    std::sort(names.begin(), names.end());
    return names;
  }

  Result<void> MakeFolder(const Path& folder) override {
    std::error_code fault;
    std::filesystem::create_directories(folder, fault);
    if (fault) return WriteError(folder, "making the folder", fault.value());
    return {};
  }

  Result<void> WriteSynced(const Path& file, std::string_view bytes) override {
    Descriptor descriptor(Open(file, O_WRONLY | O_CREAT | O_TRUNC));
    if (!descriptor.is_open()) return WriteError(file, "opening for writing", errno);
    int fault = WriteAll(descriptor.number(), bytes);
    if (fault == 0) fault = Sync(descriptor.number());
    const int closing = descriptor.Close();
    if (fault == 0) fault = closing;
    if (fault == 0) return {};
    Error error = WriteError(file, "writing", fault);
    if (::unlink(file.c_str()) != 0) error.message += "; a part of the file was left behind";
    return error;
  }

  Result<void> AppendSynced(const Path& file, std::string_view bytes) override {
    bool created = false;
    int number = Open(file, O_WRONLY | O_APPEND);
    if (number < 0 && errno == ENOENT) {
      number = Open(file, O_WRONLY | O_APPEND | O_CREAT);
      created = true;
    }
    Descriptor descriptor(number);
    if (!descriptor.is_open()) return WriteError(file, "opening for writing", errno);
    struct stat before {};
    if (::fstat(number, &before) != 0) return WriteError(file, "looking at the file", errno);
    int fault = WriteAll(number, bytes);
    if (fault == 0) fault = Sync(number);
    if (fault != 0) {
      Error error = WriteError(file, "writing", fault);
      int undone = Cut(number, before.st_size);
      if (undone == 0) undone = Sync(number);
      if (undone != 0) error.message += "; a torn line may be left at its end: " + Word(undone);
      return error;
    }
    // It is synced: what closing may still complain of concerns none of these bytes.
    (void)descriptor.Close();
    if (!created) return {};
    auto synced = SyncFolder(file.parent_path());
    if (!synced && ::unlink(file.c_str()) != 0) {
      Error error = synced.error();
      error.message += "; what was written may still be in " + file.string();
      return error;
    }
    return synced;
  }

  Result<void> Truncate(const Path& file, std::size_t length) override {
    Descriptor descriptor(Open(file, O_WRONLY));
    if (!descriptor.is_open()) return WriteError(file, "opening for writing", errno);
    int fault = Cut(descriptor.number(), static_cast<off_t>(length));
    if (fault == 0) fault = Sync(descriptor.number());
    const int closing = descriptor.Close();
    if (fault == 0) fault = closing;
    if (fault != 0) return WriteError(file, "cutting", fault);
    return {};
  }

  Result<void> Rename(const Path& from, const Path& to) override {
    if (::rename(from.c_str(), to.c_str()) != 0) return WriteError(to, "renaming", errno);
    return {};
  }

  Result<void> CopyMode(const Path& from, const Path& to) override {
    struct stat status {};
    if (::stat(from.c_str(), &status) != 0) return WriteError(from, "looking at the file", errno);
    constexpr mode_t kModeBits = 07777;
    if (::chmod(to.c_str(), status.st_mode & kModeBits) != 0) {
      return WriteError(to, "keeping the access mode", errno);
    }
    return {};
  }

  Result<void> Remove(const Path& file) override {
    if (::unlink(file.c_str()) != 0) return WriteError(file, "removing", errno);
    return {};
  }

  Result<void> SyncFolder(const Path& folder) override {
    const Path path = folder.empty() ? Path(".") : folder;
    const Descriptor descriptor(Open(path, O_RDONLY | O_DIRECTORY));
    if (!descriptor.is_open()) return WriteError(path, "opening the folder", errno);
    const int fault = Sync(descriptor.number());
    // Some file systems cannot sync a folder and say EINVAL; they have nothing to be made durable
    // by it.
    if (fault != 0 && fault != EINVAL) return WriteError(path, "syncing the folder", fault);
    return {};
  }

  Result<std::unique_ptr<FolderLock>> Lock(const Path& folder, double wait_seconds) override {
    const Path file = folder / ".lock";
    Descriptor descriptor(Open(file, O_RDWR | O_CREAT));
    if (!descriptor.is_open()) return WriteError(file, "opening the lock", errno);
    constexpr auto kPause = std::chrono::milliseconds(5);
    const auto start = std::chrono::steady_clock::now();
    while (::flock(descriptor.number(), LOCK_EX | LOCK_NB) != 0) {
      if (errno != EWOULDBLOCK && errno != EINTR) return WriteError(file, "locking", errno);
      const std::chrono::duration<double> waited = std::chrono::steady_clock::now() - start;
      if (waited.count() >= wait_seconds)
        return Busy(folder, HolderName(descriptor.number()), wait_seconds);
      std::this_thread::sleep_for(kPause);
    }
    LeaveName(descriptor.number());
    return std::unique_ptr<FolderLock>(std::make_unique<FileLock>(descriptor.Release()));
  }

 private:
  static Error Busy(const Path& folder, const std::string& holder, double waited) {
    return {ErrorCode::kBusy,
            folder.string(),
            fmt::format("{} is changing this folder; waited {} s", holder, waited),
            "let it finish or close it (an open page, another terminal), then try again"};
  }
};

}  // namespace

Disk& RealDisk() {
  static MachineDisk disk;
  return disk;
}

}  // namespace lieflat
