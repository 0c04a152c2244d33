#pragma once
// A property that a fuzz target holds its input against; the fuzzer keeps the input that breaks it.

#include <cstdio>
#include <cstdlib>
#include <string>

namespace lieflat::fuzz {

inline void Require(bool holds, const std::string& what) {
  if (holds) return;
  (void)std::fprintf(stderr, "broken: %s\n", what.c_str());
  std::abort();
}

}  // namespace lieflat::fuzz
