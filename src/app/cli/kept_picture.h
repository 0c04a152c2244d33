#pragma once
// The pictures to scale that a board's folder keeps, one a side.

#include <vector>

#include "lieflat/photo/board_picture.h"
#include "lieflat/report/html.h"

#include "app/cli/command.h"

namespace lieflat::cli {

struct KeptPicture {
  Disk::Path png, json;
  static KeptPicture Of(const Disk::Path& folder, Side side);
};

/// @param folder  as the person named it, for the refusal. @error kRefused: none is kept, damaged.
Result<BoardPicture> OpenKeptPicture(Session& session,
                                     const KeptPicture& kept,
                                     const std::string& folder);

/// Those that are kept, small enough for a page. @error kRefused: one is damaged.
Result<std::vector<FacePicture>> FacesForPage(Session& session, const Disk::Path& folder);

}  // namespace lieflat::cli
