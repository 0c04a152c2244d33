#pragma once
// The photos of a set in a document: which were used, which not and why.

#include <vector>

#include "lieflat/base/json.h"
#include "lieflat/photo/lying.h"

namespace lieflat::internal {

Json PhotosJson(const std::vector<PhotoUse>& photos);

}  // namespace lieflat::internal
