// What the library makes of a board folder or a lot, as the JSON that command line and page must
// show too:  library_says FOLDER [--lot]

#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "lieflat/assess/lot.h"
#include "lieflat/base/clock.h"

int main(int argc, char** argv) {
  if (argc < 2) return EXIT_FAILURE;
  const bool lot = argc > 2 && std::strcmp(argv[2], "--lot") == 0;
  auto& disk = lieflat::RealDisk();
  const auto& clock = lieflat::RealClock();
  const auto& calib = lieflat::Calib::Embedded();
  lieflat::Result<lieflat::Json> document = lieflat::Json();
  if (lot) {
    const auto whole = lieflat::AssessLot(disk, clock, calib, argv[1], "/nonexistent");
    document = whole ? lieflat::Result<lieflat::Json>(ToJson(*whole)) : whole.error();
  } else {
    document = lieflat::AssessmentDocument(disk, clock, calib, argv[1], "/nonexistent");
  }
  if (!document) {
    std::fprintf(stderr, "%s\n", document.error().Text().c_str());
    return EXIT_FAILURE;
  }
  std::fputs(lieflat::DumpJson(*document).c_str(), stdout);
  return EXIT_SUCCESS;
}
