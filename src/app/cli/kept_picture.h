#pragma once
// The pictures that a board's folder keeps: its faces to scale, one a side, and what photos showed.

#include <vector>

#include "lieflat/photo/board_picture.h"
#include "lieflat/record/log.h"
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

/// Where the picture of what an entry's photos showed is kept, in the board's folder.
std::string SeenPictureName(const std::string& entry);
/// Those of the newest readings that count, the newest first; of one that is gone, that it is.
Result<std::vector<SeenPicture>> SeenForPage(Session& session,
                                             const Disk::Path& folder,
                                             const Log& log);

}  // namespace lieflat::cli
