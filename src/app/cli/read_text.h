#pragma once
// A file's text, or stdin's for "-".

#include <string>

#include "app/cli/command.h"

namespace lieflat::cli {

Result<std::string> ReadText(Session& session, const std::string& file);

}  // namespace lieflat::cli
