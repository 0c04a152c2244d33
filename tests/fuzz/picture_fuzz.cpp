// Any bytes as a photo: decoded or refused, never more than was promised, no crash.

#include "lieflat/base/text.h"
#include "lieflat/photo/picture.h"

#include "require.h"

using lieflat::fuzz::Require;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(data, data + size);
  const lieflat::PictureLimits limits{.file_bytes = 1U << 20U, .megapixels = 1.0, .side = 2000};
  for (const auto turning : {lieflat::Turning::kAsStored, lieflat::Turning::kUpright}) {
    const auto picture =
        lieflat::DecodePicture(bytes, "a", lieflat::Colours::kGrey, turning, limits);
    if (!picture) {
      Require(lieflat::IsUtf8(picture.error().Text()), "an error can be printed");
      continue;
    }
    Require(picture->width <= limits.side && picture->height <= limits.side, "within the limits");
    Require(picture->pixels.size() == static_cast<std::size_t>(picture->width) *
                                          static_cast<std::size_t>(picture->height),
            "one byte a pixel");
    Require(picture->orientation >= 1 && picture->orientation <= 8, "a known orientation");
  }
  return 0;
}
