// Any bytes as bench.json: a bench or an error that names the file, never a crash; an accepted one
// survives its saved form.

#include <cstddef>
#include <cstdint>
#include <string>

#include "lieflat/base/text.h"
#include "lieflat/record/bench.h"

#include "one_file_disk.h"
#include "require.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using lieflat::fuzz::OneFileDisk;
  using lieflat::fuzz::Require;
  const lieflat::Disk::Path file = "crate/bench.json", board = "crate/017";
  const auto bench =
      lieflat::LoadBench(OneFileDisk(file, std::string(data, data + size)), board, "settings");
  if (!bench) {
    Require(bench.error().where.starts_with(file.string()),
            "an error names the file: " + bench.error().Text());
    Require(lieflat::IsUtf8(bench.error().Text()), "an error can be printed");
    return 0;
  }
  const std::string saved = lieflat::DumpJson(lieflat::ToJson(*bench));
  const auto again = lieflat::LoadBench(OneFileDisk(file, saved), board, "settings");
  Require(again.has_value(), again ? "" : "what is saved is read again: " + again.error().Text());
  Require(lieflat::DumpJson(lieflat::ToJson(*again)) == saved, "a bench survives its saved form");
  return 0;
}
