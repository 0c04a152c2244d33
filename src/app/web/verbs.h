#pragma once
// What the page may ask the program to do with a board: a closed list of verbs and of the flags of
// each. No flag that names a file is among them; what a file would hold comes as the request's
// input, photos by their name in the board's own folder.

#include <string>
#include <vector>

#include "lieflat/base/disk.h"
#include "lieflat/base/json.h"

namespace lieflat::web {

struct Command {
  std::vector<std::string> words;  ///< of the command line, the verb first
  std::string input;
  bool slow = false;  ///< may take seconds
};

/// @param request  {"verb", "words", "flags", "input"}; others are refused.
/// @error kBadUse: what is wrong with the request. What is wrong with the values the program says.
Result<Command> CommandOf(const Json& request, const Disk::Path& board);

/// {"flags", "input", "quick", "replace"} as `assess DIR --with -`.
Result<Command> LiveCommand(const Json& request, const Disk::Path& board);
/// {"flags"} as `glance`.
Result<Command> GlanceCommand(const Json& request);
/// {"name", "flags"} as `new LOT/NAME`; `board` is set to the name.
Result<Command> NewCommand(const Json& request, const Disk::Path& lot, std::string& board);

}  // namespace lieflat::web
