#pragma once
// Shares as words.

#include <string>

#include "lieflat/lasting/creep.h"

namespace lieflat {

/// "34.2 % (21.0 to 50.6)": median and 5 to 95 % of what stays, to a tenth of a percent.
std::string PercentWords(const Triple& share);

}  // namespace lieflat
