#pragma once
// The files of a board folder by name, and the copies of its descriptions.
//
//   board.json  log.jsonl  log.torn  .former/board-0007.json  .cache/  .lock  photos/

#include <string_view>
#include <vector>

#include "lieflat/base/disk.h"

namespace lieflat {

inline constexpr const char* kBoardName = "board.json";
inline constexpr const char* kLogName = "log.jsonl";
inline constexpr const char* kTornName = "log.torn";
/// So many copies of descriptions are kept, the current one among them.
inline constexpr std::size_t kMostCopies = 8;

/// There is a description, or what a board folder holds beside one that was lost.
bool HoldsBoard(const Disk& disk, const Disk::Path& folder);

/// Temporary files of a program that was stopped in the midst of a replacement. Called under the
/// lock, when no one else can be writing here. One that cannot be removed does no harm: it is never
/// read, and `verify` names it.
void RemoveLeftovers(Disk& disk, const Disk::Path& folder);

/// Files of the copies, the newest first.
std::vector<Disk::Path> CopiesOfBoard(const Disk& disk, const Disk::Path& folder);

/// Whether that list is whole. @error of the disk: the copies' folder is there, but cannot be
/// looked into; then the list is empty as it is for a board without copies.
Result<void> CopiesListed(const Disk& disk, const Disk::Path& folder);

/// Keeps a copy of a description that is about to be written, and removes the oldest beyond
/// kMostCopies.
Result<void> KeepCopy(Disk& disk, const Disk::Path& folder, std::string_view board_text);

}  // namespace lieflat
