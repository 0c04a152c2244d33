#pragma once
// The light of a sheet at places of its own frame, out of a photo whose camera is solved.

#include "lieflat/photo/bundle.h"
#include "lieflat/photo/picture.h"
#include "lieflat/sheet/layout.h"

#include "photo/contact_edge.h"
#include "photo/paper_height.h"

namespace lieflat::internal {

/// @param weakest  one channel, as stored; must outlive the result, as must lens and shot.
SheetLight LightOfSheet(const Picture& weakest,
                        const Lens& lens,
                        const Shot& shot,
                        const PaperHeight& paper,
                        const MatLayout& mat);

}  // namespace lieflat::internal
