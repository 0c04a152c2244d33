#pragma once
// The verb that makes the board's picture to scale, and measures on it.

#include "app/cli/command.h"

namespace lieflat::cli {

void AddPicture(App& app, Session& session);

}  // namespace lieflat::cli
