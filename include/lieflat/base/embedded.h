#pragma once
// Files placed in the program by cmake/embed.cmake; each table ends with a null name.

namespace lieflat {

struct EmbeddedFile {
  const char* name;
  const char* begin;
  const char* end;
};

// NOLINTNEXTLINE(readability-identifier-naming): cmake/embed.cmake makes the name from its prefix
extern const EmbeddedFile calib_table[];

}  // namespace lieflat
