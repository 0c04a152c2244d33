// A file of calib with a piece of it replaced by the fuzzer's bytes: taken or refused with the
// file's name, never a crash. What is taken still has the numbers of the program's own file.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include <fuzzer/FuzzedDataProvider.h>

#include "lieflat/base/calib.h"
#include "lieflat/base/text.h"

#include "one_file_disk.h"
#include "require.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using lieflat::fuzz::Require;
  static const std::vector<std::string> kFiles = {"laminates",
                                                  "part_classes",
                                                  "acceptance",
                                                  "damage_criteria",
                                                  "gauges",
                                                  "creep",
                                                  "choice",
                                                  "presets",
                                                  "mats",
                                                  "shape",
                                                  "photo"};
  FuzzedDataProvider bytes(data, size);
  const std::string stem = kFiles[bytes.ConsumeIntegralInRange<std::size_t>(0, kFiles.size() - 1)];
  std::string text = lieflat::Calib::Embedded().Document(stem).dump();
  const auto at = bytes.ConsumeIntegralInRange<std::size_t>(0, text.size());
  const auto away = bytes.ConsumeIntegralInRange<std::size_t>(0, 64);
  text.replace(at, away, bytes.ConsumeRemainingBytesAsString());
  const lieflat::Disk::Path file = "own/" + stem + ".json";
  const auto calib = lieflat::Calib::WithFolder(lieflat::fuzz::OneFileDisk(file, text), "own");
  if (!calib) {
    Require(calib.error().where.starts_with(file.string()),
            "an error names the file: " + calib.error().Text());
    Require(lieflat::IsUtf8(calib.error().Text()), "an error can be printed");
    return 0;
  }
  Require(calib->Fingerprint() != lieflat::Calib::Embedded().Fingerprint(),
          "what was replaced shows in the key");
  // The program's own entries are all there, whatever was put beside them.
  Require(
      calib->Number("laminates", "/laminates/fr4-tg130/poisson").value > 0.0 || stem == "laminates",
      "a number is found");
  return 0;
}
