#include <algorithm>
#include <memory>

#include <turbojpeg.h>

#include "lieflat/photo/board_picture.h"

#include "photo/decoders.h"

namespace lieflat::internal {
namespace {

struct Close {
  void operator()(void* handle) const { tjDestroy(handle); }
};

/// The EXIF block of a JPEG: the first APP1 segment that begins with "Exif".
std::string_view ExifBlock(std::string_view bytes) {
  std::size_t at = 2;
  while (at + 4 <= bytes.size()) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(bytes[at + i]); };
    if (byte(0) != 0xFF) break;
    const unsigned marker = byte(1);
    if (marker == 0xDA || marker == 0xD9) break;  // the pixels begin, or the end
    const std::size_t length = std::size_t{byte(2)} << 8U | byte(3);
    if (length < 2 || at + 2 + length > bytes.size()) break;
    const std::string_view segment = bytes.substr(at + 4, length - 2);
    if (marker == 0xE1 && segment.starts_with("Exif")) return segment;
    at += 2 + length;
  }
  return {};
}

}  // namespace

Result<Picture> DecodeJpeg(std::string_view bytes,
                           const std::string& name,
                           Colours colours,
                           const PictureLimits& limits) {
  const std::unique_ptr<void, Close> handle(tjInitDecompress());
  if (!handle) return Error{ErrorCode::kInternal, name, "no JPEG decoder", "is there memory left?"};
  const auto* const data = reinterpret_cast<const unsigned char*>(bytes.data());
  const auto length = static_cast<unsigned long>(bytes.size());
  int width = 0, height = 0, sampling = 0, space = 0;
  if (tjDecompressHeader3(handle.get(), data, length, &width, &height, &sampling, &space) != 0) {
    return Damaged(name, "JPEG", tjGetErrorStr2(handle.get()));
  }
  if (auto size = CheckSize(width, height, name, limits); !size) return size.error();
  if (space == TJCS_CMYK || space == TJCS_YCCK) {
    return Error{ErrorCode::kRefused,
                 name,
                 "is a print picture (CMYK), no photo",
                 "give the photo as the phone stores it"};
  }
  Picture picture;
  picture.width = width;
  picture.height = height;
  picture.channels = colours == Colours::kGrey ? 1 : 3;
  picture.pixels.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) *
                        static_cast<std::size_t>(picture.channels));
  const int format = colours == Colours::kGrey ? TJPF_GRAY : TJPF_RGB;
  // A file cut off is only a warning to the decoder, and the rest of the picture grey: refused.
  if (tjDecompress2(handle.get(),
                    data,
                    length,
                    picture.pixels.data(),
                    width,
                    0,
                    height,
                    format,
                    TJFLAG_ACCURATEDCT | TJFLAG_LIMITSCANS) != 0) {
    return Damaged(name, "JPEG", tjGetErrorStr2(handle.get()));
  }
  ReadExif(ExifBlock(bytes), picture);
  return picture;
}

}  // namespace lieflat::internal

namespace lieflat {
namespace {

Picture Shrunk(const Picture& from, int factor) {
  Picture out;
  out.width = from.width / factor;
  out.height = from.height / factor;
  out.channels = from.channels;
  out.pixels.reserve(static_cast<std::size_t>(out.width) * static_cast<std::size_t>(out.height) *
                     static_cast<std::size_t>(out.channels));
  for (int y = 0; y < out.height; ++y) {
    for (int x = 0; x < out.width; ++x) {
      for (int k = 0; k < out.channels; ++k) {
        int sum = factor * factor / 2;
        for (int j = 0; j < factor; ++j) {
          const std::uint8_t* const row = from.Row(y * factor + j);
          for (int i = 0; i < factor; ++i) sum += row[(x * factor + i) * from.channels + k];
        }
        out.pixels.push_back(static_cast<std::uint8_t>(sum / (factor * factor)));
      }
    }
  }
  return out;
}

struct Free {
  void operator()(unsigned char* bytes) const { tjFree(bytes); }
};

}  // namespace

Result<std::string> EncodeSmallJpeg(const Picture& picture, int most_px) {
  const int longer = std::max(picture.width, picture.height);
  const int factor = std::max(1, (longer + most_px - 1) / most_px);
  const Picture small = factor == 1 ? picture : Shrunk(picture, factor);
  const std::unique_ptr<void, internal::Close> handle(tjInitCompress());
  unsigned char* bytes = nullptr;
  unsigned long length = 0;
  constexpr int kQuality = 82;
  const bool done = handle && tjCompress2(handle.get(),
                                          small.pixels.data(),
                                          small.width,
                                          0,
                                          small.height,
                                          small.channels == 1 ? TJPF_GRAY : TJPF_RGB,
                                          &bytes,
                                          &length,
                                          small.channels == 1 ? TJSAMP_GRAY : TJSAMP_420,
                                          kQuality,
                                          TJFLAG_ACCURATEDCT) == 0;
  const std::unique_ptr<unsigned char, Free> owned(bytes);
  if (!done)
    return Error{ErrorCode::kInternal, "picture", "no JPEG encoder", "is there memory left?"};
  return std::string(reinterpret_cast<const char*>(bytes), length);
}

}  // namespace lieflat
