#pragma once
// A page of a PDF as grey pixels, by pdftoppm: a reader of PDF that is not ours.

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "support/temporary_folder.h"

namespace lieflat::testing {

struct GreyPage {
  int width = 0, height = 0;
  std::vector<unsigned char> pixels;
  [[nodiscard]] double At(int x, int y) const {
    return pixels.at(static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                     static_cast<std::size_t>(x));
  }
};

/// @param page  from 1. Width 0 when pdftoppm is absent or fails.
inline GreyPage RenderPdf(const std::string& pdf, int page, int dots_per_inch) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "sheet.pdf";
  std::ofstream(file, std::ios::binary) << pdf;
  const auto picture = folder.path() / "page";
  const std::string command = fmt::format("pdftoppm -gray -singlefile -r {} -f {} -l {} '{}' '{}'",
                                          dots_per_inch,
                                          page,
                                          page,
                                          file.string(),
                                          picture.string());
  GreyPage result;
  if (std::system(command.c_str()) != 0) return result;
  std::ifstream in(picture.string() + ".pgm", std::ios::binary);
  std::string magic;
  int depth = 0;
  in >> magic >> result.width >> result.height >> depth;
  in.get();
  result.pixels.resize(static_cast<std::size_t>(result.width) *
                       static_cast<std::size_t>(result.height));
  in.read(reinterpret_cast<char*>(result.pixels.data()),
          static_cast<std::streamsize>(result.pixels.size()));
  return result;
}

}  // namespace lieflat::testing
