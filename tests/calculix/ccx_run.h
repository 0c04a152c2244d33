#pragma once
// Another program run as a child, and what it cost.

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "lieflat/base/result.h"

namespace lieflat::testing {

struct ChildCost {
  double cpu_s = 0.0;    ///< user and system
  double peak_mb = 0.0;  ///< largest resident set
};

/// Runs `command` in `folder` on one processor, its words going to `words`, and waits for it.
/// @error kInternal when it cannot be started or does not end with status 0.
Result<ChildCost> RunChild(const std::vector<std::string>& command,
                           const std::filesystem::path& folder,
                           const std::filesystem::path& words);

/// Runs our own work in a child, so that its peak of memory is its own; `work` says whether it went
/// well.
/// @error kInternal when it did not.
Result<ChildCost> RunForked(const std::function<bool()>& work);

}  // namespace lieflat::testing
