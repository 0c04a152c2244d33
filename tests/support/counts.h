#pragma once
// Tests that repeat a check many times take a short form in daily work and the full count with
// LIEFLAT_FULL=1.

#include <cstdlib>

namespace lieflat::testing {

inline bool Full() { return std::getenv("LIEFLAT_FULL") != nullptr; }
inline int Count(int short_form, int full) { return Full() ? full : short_form; }

}  // namespace lieflat::testing
