#include "lieflat/photo/picture.h"

#include <fmt/format.h>

#include "photo/decoders.h"

namespace lieflat {
namespace internal {

Result<void> CheckSize(long width,
                       long height,
                       const std::string& name,
                       const PictureLimits& limits) {
  constexpr long kLeastSide = 64;
  if (width < kLeastSide || height < kLeastSide) {
    return Error{ErrorCode::kRefused,
                 name,
                 fmt::format("{} x {} pixels are too few to measure on", width, height),
                 "give the photo as the phone took it, not a preview of it"};
  }
  const double megapixels = 1e-6 * static_cast<double>(width) * static_cast<double>(height);
  if (width > limits.side || height > limits.side || megapixels > limits.megapixels) {
    return Error{ErrorCode::kRefused,
                 name,
                 fmt::format("{} x {} pixels are over the limit of {:.0f} megapixels and {} a side",
                             width,
                             height,
                             limits.megapixels,
                             limits.side),
                 "take it at the phone's usual size (12 megapixels are plenty)"};
  }
  return {};
}

Error Damaged(const std::string& name, const std::string& kind, const std::string& what) {
  return {ErrorCode::kRefused,
          name,
          fmt::format("the {} file is cut off or damaged: {}", kind, what),
          "copy it from the phone again"};
}

void ToGrey(Picture& picture) {
  if (picture.channels == 1) return;
  const std::size_t count = picture.pixels.size() / 3;
  for (std::size_t i = 0; i < count; ++i) {
    const unsigned red = picture.pixels[3 * i], green = picture.pixels[3 * i + 1],
                   blue = picture.pixels[3 * i + 2];
    picture.pixels[i] =
        static_cast<std::uint8_t>((19595U * red + 38470U * green + 7471U * blue + 32768U) >> 16U);
  }
  picture.pixels.resize(count);
  picture.channels = 1;
}

}  // namespace internal

namespace {

/// What the first bytes say; empty: none of the kinds that are read.
std::string KindOf(std::string_view bytes) {
  using namespace std::string_view_literals;
  if (bytes.starts_with("\xFF\xD8\xFF"sv)) return "JPEG";
  if (bytes.starts_with("\x89PNG\r\n\x1A\n"sv)) return "PNG";
  if (bytes.size() > 12 && bytes.substr(4, 4) == "ftyp"sv) {
    const auto brand = bytes.substr(8, 4);
    for (const auto known :
         {"heic"sv, "heix"sv, "hevc"sv, "mif1"sv, "msf1"sv, "avif"sv, "heim"sv}) {
      if (brand == known) return "HEIC";
    }
  }
  return "";
}

/// The mirrored orientations, mirrored back: 2 and 4 left to right, 5 and 7 likewise, so that what
/// is left is a turn.
bool IsMirrored(int orientation) {
  return orientation == 2 || orientation == 4 || orientation == 5 || orientation == 7;
}

}  // namespace

Result<Picture> DecodePicture(std::string_view bytes,
                              const std::string& name,
                              Colours colours,
                              Turning turning,
                              const PictureLimits& limits) {
  if (bytes.size() > limits.file_bytes) {
    return Error{ErrorCode::kRefused,
                 name,
                 fmt::format("{:.0f} MB are over the limit of {:.0f} MB",
                             static_cast<double>(bytes.size()) / 1048576.0,
                             static_cast<double>(limits.file_bytes) / 1048576.0),
                 "send the photo as JPEG"};
  }
  const std::string kind = KindOf(bytes);
  Result<Picture> picture =
      kind == "JPEG"  ? internal::DecodeJpeg(bytes, name, colours, limits)
      : kind == "PNG" ? internal::DecodePng(bytes, name, colours, limits)
      : kind == "HEIC"
          ? internal::DecodeHeif(bytes, name, colours, limits)
          : Result<Picture>(Error{ErrorCode::kRefused,
                                  name,
                                  bytes.empty() ? "is empty" : "is no JPEG, PNG or HEIC photo",
                                  "give the photo file itself, as the phone stores it"});
  if (!picture) return picture;
  picture->kind = kind;
  if (turning == Turning::kUpright) return Oriented(*picture, picture->orientation);
  if (IsMirrored(picture->orientation)) return Oriented(*picture, 2);
  return picture;
}

Picture Oriented(const Picture& picture, int orientation) {
  if (orientation < 2 || orientation > 8) return picture;
  Picture out = picture;
  const bool transposed = orientation >= 5;
  if (transposed) std::swap(out.width, out.height);
  const int w = picture.width, h = picture.height;
  const auto channels = static_cast<std::size_t>(picture.channels);
  for (int y = 0; y < out.height; ++y) {
    for (int x = 0; x < out.width; ++x) {
      // Where the pixel shown at (x, y) is stored (TIFF 6.0, Orientation).
      int sx = x, sy = y;
      switch (orientation) {
        case 2:
          sx = w - 1 - x;
          break;
        case 3:
          sx = w - 1 - x;
          sy = h - 1 - y;
          break;
        case 4:
          sy = h - 1 - y;
          break;
        case 5:
          sx = y;
          sy = x;
          break;
        case 6:
          sx = y;
          sy = h - 1 - x;
          break;
        case 7:
          sx = w - 1 - y;
          sy = h - 1 - x;
          break;
        default:
          sx = w - 1 - y;
          sy = x;
          break;
      }
      const std::uint8_t* const from = picture.Row(sy) + static_cast<std::size_t>(sx) * channels;
      std::uint8_t* const to =
          out.pixels.data() + (static_cast<std::size_t>(y) * static_cast<std::size_t>(out.width) +
                               static_cast<std::size_t>(x)) *
                                  channels;
      for (std::size_t c = 0; c < channels; ++c) to[c] = from[c];
    }
  }
  return out;
}

}  // namespace lieflat
