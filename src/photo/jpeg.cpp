#include <memory>

#include <turbojpeg.h>

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
