#pragma once
// The light of a sheet at places of its own frame, out of a photo whose camera is solved.

#include <functional>
#include <optional>

#include "lieflat/photo/bundle.h"
#include "lieflat/photo/picture.h"
#include "lieflat/sheet/layout.h"

#include "photo/contact_edge.h"
#include "photo/paper_height.h"

namespace lieflat::internal {

/// Light at a place of the sheet's frame, height included; nothing off the picture.
using LightInSpace = std::function<std::optional<double>(const Eigen::Vector3d&)>;

/// @param weakest  one channel, as stored; must outlive the result, as must lens and shot.
LightInSpace LightOfSpace(const Picture& weakest, const Lens& lens, const Shot& shot);

/// The same on the paper, whose height along the stand line is taken for its own.
SheetLight LightOfSheet(const Picture& weakest,
                        const Lens& lens,
                        const Shot& shot,
                        const PaperHeight& paper,
                        const MatLayout& mat);

}  // namespace lieflat::internal
