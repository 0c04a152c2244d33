#pragma once
// What a way of holding would do, for a terminal of 80 columns and as a picture.

#include <string>

#include "lieflat/assess/preview.h"

namespace lieflat {

/// The first lines answer: does it come flat, under what load, which part is worst, how likely is
/// harm, how slowly to press. On stand-offs the recipe for the washers follows.
std::string PreviewText(const Preview& preview);

/// A picture that stands alone: lines of equal bend, where it is pressed and carried, parts hatched
/// by the share they take.
std::string PreviewSvg(const Preview& preview);

}  // namespace lieflat
