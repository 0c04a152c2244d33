#pragma once
// The ways of pressing, as flags.

#include <string>
#include <vector>

#include "lieflat/press/way.h"

#include "app/cli/command.h"

namespace lieflat::cli {

struct PressFlags {
  std::string way, gap, load;
  std::vector<std::string> weights, shims, bars;
};

void AddPressFlags(App& verb, PressFlags& flags);
/// @error kBadUse: a way without what it needs, a flag of another way, a malformed value.
Result<PressWay> ReadPressWay(const PressFlags& flags);

}  // namespace lieflat::cli
