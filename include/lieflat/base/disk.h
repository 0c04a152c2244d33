#pragma once
// The file system as the program uses it: few primitives, so that a test can put a disk in memory
// in its place, let it run full, or stop between any two calls. Paths are UTF-8. Errors carry the
// path in `where` and the system's word in `message`.

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "lieflat/base/result.h"

namespace lieflat {

/// Held as long as it lives.
class FolderLock {
 public:
  virtual ~FolderLock() = default;
};

class Disk {
 public:
  using Path = std::filesystem::path;
  virtual ~Disk() = default;

  /// @error kRefused when the file is absent, a folder, unreadable or longer than 64 MiB.
  virtual Result<std::string> Read(const Path& file) const = 0;
  /// Something that is no folder. True as well for what cannot be looked at (a disk that fails):
  /// taken for absent, a log would be begun anew; Read says what is wrong.
  [[nodiscard]] virtual bool IsFile(const Path& path) const = 0;
  [[nodiscard]] virtual bool IsFolder(const Path& path) const = 0;
  /// Names (not paths) of the entries of a folder, sorted.
  virtual Result<std::vector<std::string>> List(const Path& folder) const = 0;
  /// The folder and its missing parents.
  virtual Result<void> MakeFolder(const Path& folder) = 0;
  /// Creates or truncates, writes all, and syncs the file; what was written in part is removed
  /// again on failure.
  virtual Result<void> WriteSynced(const Path& file, std::string_view bytes) = 0;
  /// Appends and syncs, a new file with its folder; on failure cuts the file back to its old
  /// length.
  virtual Result<void> AppendSynced(const Path& file, std::string_view bytes) = 0;
  /// Cuts a file to a length and syncs it.
  virtual Result<void> Truncate(const Path& file, std::size_t length) = 0;
  virtual Result<void> Rename(const Path& from, const Path& to) = 0;
  /// Gives `to` the access mode of `from`, where the system has modes.
  virtual Result<void> CopyMode(const Path& from, const Path& to) = 0;
  virtual Result<void> Remove(const Path& file) = 0;
  virtual Result<void> SyncFolder(const Path& folder) = 0;
  /// An exclusive lock on `folder`/.lock, waited for at most `wait_seconds`.
  /// @error kBusy when another process or thread holds it still.
  virtual Result<std::unique_ptr<FolderLock>> Lock(const Path& folder, double wait_seconds) = 0;
};

/// The machine's own.
Disk& RealDisk();

/// Replaces a file so that a reader sees the old bytes or the new, never a mixture: a temporary
/// file in the same folder, sync, rename, sync of the folder. On failure the old file is whole and
/// the temporary one removed; only a failure of the last step leaves the new one in place, and the
/// message says so. Keeps the file's access mode.
Result<void> ReplaceFile(Disk& disk, const Disk::Path& file, std::string_view bytes);

/// True for the name of a temporary file that ReplaceFile leaves behind when the program is killed
/// in its midst.
bool IsTemporaryName(std::string_view name);

}  // namespace lieflat
