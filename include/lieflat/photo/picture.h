#pragma once
// Reading photos: JPEG, PNG, HEIC/HEIF. What a file is, is told by its bytes, not its name; its
// size is known before any pixel is decoded.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lieflat/base/result.h"

namespace lieflat {

/// Grey or colour pixels as stored, row by row from the top; values carry the sRGB curve.
struct Picture {
  int width = 0, height = 0, channels = 1;  ///< 1 grey, 3 red green blue
  std::vector<std::uint8_t> pixels;
  /// From EXIF: the focal length in terms of a 36 x 24 mm frame, when stated.
  std::optional<double> focal_35mm;
  int orientation = 1;  ///< EXIF 1..8 as stated; pixels are as stored, except as `upright` says
  std::string kind;     ///< "JPEG" "PNG" "HEIC"

  [[nodiscard]] const std::uint8_t* Row(int y) const {
    return pixels.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(width) *
                               static_cast<std::size_t>(channels);
  }
};

struct PictureLimits {
  std::size_t file_bytes = std::size_t{40} << 20;
  double megapixels = 120.0;
  int side = 16000;
};

enum class Colours { kGrey, kColour };
/// kAsStored: mirrored orientations are mirrored back, turned ones stay as the sensor saw them (the
/// lens's centre and distortion belong to the sensor). kUpright: as a person sees it.
enum class Turning { kAsStored, kUpright };

/// @param name  what to call it in a refusal.
/// @error kRefused: not a photo, cut off, too large, damaged; each with what to do.
Result<Picture> DecodePicture(std::string_view bytes,
                              const std::string& name,
                              Colours colours,
                              Turning turning = Turning::kAsStored,
                              const PictureLimits& limits = {});

/// Pixels turned and mirrored as the EXIF orientation asks (1..8; others as 1).
Picture Oriented(const Picture& picture, int orientation);

}  // namespace lieflat
