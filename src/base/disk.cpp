#include "lieflat/base/disk.h"

#include <atomic>

#include <fmt/format.h>
#include <unistd.h>

namespace lieflat {
namespace {

constexpr std::string_view kTemporaryEnding = ".lieflat-new";

}  // namespace

bool IsTemporaryName(std::string_view name) {
  return name.starts_with('.') && name.ends_with(kTemporaryEnding);
}

Result<void> ReplaceFile(Disk& disk, const Disk::Path& file, std::string_view bytes) {
  // The process and a count in the name: two writers who hold no common lock still never share a
  // temporary file.
  static std::atomic<unsigned> count{0};
  const std::string name =
      fmt::format(".{}.{}-{}{}", file.filename().string(), ::getpid(), ++count, kTemporaryEnding);
  const Disk::Path temporary = file.parent_path() / name;
  if (const auto written = disk.WriteSynced(temporary, bytes); !written) return written.error();
  Result<void> moved;
  if (disk.IsFile(file)) moved = disk.CopyMode(file, temporary);
  if (moved) moved = disk.Rename(temporary, file);
  if (!moved) {
    Error error = moved.error();
    if (const auto removed = disk.Remove(temporary); !removed) {
      error.message += "; the temporary file " + temporary.string() + " could not be removed";
    }
    return error;
  }
  if (auto synced = disk.SyncFolder(file.parent_path()); !synced) {
    Error error = synced.error();
    error.message += "; " + file.string() + " holds the new content, which a power cut may undo";
    return error;
  }
  return {};
}

}  // namespace lieflat
