#pragma once
// bench.json: what is the same for every board of a bench: instruments, surface, the reader's own
// repeatability. Looked for in the lot (the folder above a board's), else in the user's settings
// folder.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/disk.h"
#include "lieflat/base/json.h"
#include "lieflat/readings/repeatability.h"

namespace lieflat {

struct Bench {
  std::map<std::string, Repeatability> repeatability;  ///< by instrument
  std::string instrument, surface;                     ///< usual ones; empty: the rest's default
  std::vector<std::string> skills;                     ///< "rework"
  std::optional<std::vector<std::string>> tools;       ///< "warm-box" "oven"; absent: never asked
};

/// The saved form.
Json ToJson(const Bench& bench);
/// An absent file is an empty bench. @error kRefused when malformed.
Result<Bench> LoadBench(const Disk& disk,
                        const Disk::Path& board_folder,
                        const Disk::Path& settings_folder);
Result<void> SaveBench(Disk& disk, const Disk::Path& lot, const Bench& bench);

}  // namespace lieflat
