#include "app/cli/read_text.h"

#include <cstdio>

namespace lieflat::cli {

Result<std::string> ReadText(Session& session, const std::string& file) {
  if (file != "-") return session.disk.Read(file);
  constexpr std::size_t kLongest = std::size_t{64} << 20U;  // as the disk's own bound
  std::string text;
  char block[65536];
  for (std::size_t got = std::fread(block, 1, sizeof block, stdin); got > 0;
       got = std::fread(block, 1, sizeof block, stdin)) {
    text.append(block, got);
    if (text.size() > kLongest)
      return Error{
          ErrorCode::kRefused, "stdin", "is longer than 64 MiB", "give a sheet of readings"};
  }
  if (std::ferror(stdin) != 0)
    return Error{ErrorCode::kRefused, "stdin", "cannot be read", "give a file"};
  return text;
}

}  // namespace lieflat::cli
