#include "app/cli/own_file.h"

#include <fmt/format.h>

#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

Result<void> MayReplace(const Disk& disk, const OwnFile& file) {
  const auto folder = Disk::Path(file.path).parent_path();
  if (!folder.empty() && !disk.IsFolder(folder)) {
    return Error{
        ErrorCode::kRefused, file.path, "its folder is not there", "make it, or give another name"};
  }
  if (disk.IsFolder(file.path))
    return Error{ErrorCode::kRefused, file.path, "is a folder", "name a file in it"};
  if (file.force || !disk.IsFile(file.path)) return {};
  LIEFLAT_TAKE(old, disk.Read(file.path));
  constexpr std::size_t kHeadBytes = 1024;  // the mark stands in the head
  if (old.substr(0, kHeadBytes).find(file.mark) != std::string::npos) return {};
  return Error{ErrorCode::kRefused,
               file.path,
               fmt::format("is there already and is no {} of lieflat's", file.what),
               "give another name, or --force to replace it"};
}

}  // namespace

Result<void> WriteOwnFile(Disk& disk, const OwnFile& file, const std::string& content) {
  LIEFLAT_TRY(MayReplace(disk, file));
  return ReplaceFile(disk, file.path, content);
}

}  // namespace lieflat::cli
