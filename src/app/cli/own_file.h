#pragma once
// Files that are written for a person to take away: pages and pictures.

#include <string>

#include "lieflat/base/disk.h"

namespace lieflat::cli {

struct OwnFile {
  std::string path;
  std::string what;  ///< "report", "picture"
  std::string mark;  ///< by which a later run knows a file of ours, in its first kilobyte
  bool force = false;
};

/// A file of ours may be written anew at any time; anything else at that place is somebody's work.
/// @error kRefused: no such folder, a folder of that name, somebody's file without `force`.
Result<void> WriteOwnFile(Disk& disk, const OwnFile& file, const std::string& content);

}  // namespace lieflat::cli
