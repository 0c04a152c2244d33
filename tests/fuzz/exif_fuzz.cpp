// Any bytes as the EXIF block of a small JPEG.

#include <algorithm>

#include "lieflat/photo/picture.h"

#include "photo/decoders.h"

#include "require.h"

using lieflat::fuzz::Require;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  lieflat::Picture picture;
  lieflat::internal::ReadExif(std::string(data, data + size), picture);
  Require(picture.orientation >= 1 && picture.orientation <= 8, "a known orientation");
  Require(!picture.focal_35mm || (*picture.focal_35mm >= 8 && *picture.focal_35mm <= 400),
          "a focal length that makes sense");
  return 0;
}
