#pragma once
// LIEFLAT_CHECK(condition, what): a promise of our own code. Throws std::logic_error; only the app
// catches it.

#include <stdexcept>
#include <string>

namespace lieflat::internal {
[[noreturn]] inline void BrokenPromise(const char* condition,
                                       const char* file,
                                       int line,
                                       const std::string& what) {
  throw std::logic_error(std::string(file) + ":" + std::to_string(line) + ": " + condition + ": " +
                         what);
}
}  // namespace lieflat::internal

#define LIEFLAT_CHECK(condition, what)                                            \
  do {                                                                            \
    if (!(condition)) {                                                           \
      ::lieflat::internal::BrokenPromise(#condition, __FILE__, __LINE__, (what)); \
    }                                                                             \
  } while (false)
