#pragma once
// What the page offers to choose from, with plain names, out of the numbers that are relied on.

#include <string>

#include "lieflat/base/calib.h"

namespace lieflat::web {

std::string CatalogText(const Calib& calib);

}  // namespace lieflat::web
