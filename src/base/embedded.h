#pragma once
// Files placed in the program by cmake/embed.cmake; each table ends with a null name.

namespace lieflat {

struct EmbeddedFile {
  const char* name;
  const char* begin;
  const char* end;
};

extern const EmbeddedFile calib_table[];

}  // namespace lieflat
