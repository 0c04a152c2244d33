#include <csetjmp>
#include <cstring>

#include <png.h>

#include "photo/decoders.h"

namespace lieflat::internal {
namespace {

constexpr std::size_t kHeader = 33;  // signature, length, "IHDR", 13 bytes, checksum

std::uint32_t BigEndian(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i)
    value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

/// The eXIf chunk, if any.
std::string_view ExifBlock(std::string_view bytes) {
  std::size_t at = 8;
  while (at + 12 <= bytes.size()) {
    const std::size_t length = BigEndian(bytes, at);
    const std::string_view type = bytes.substr(at + 4, 4);
    if (length > bytes.size() - at - 12) break;
    if (type == "eXIf") return bytes.substr(at + 8, length);
    if (type == "IDAT") break;
    at += 12 + length;
  }
  return {};
}

}  // namespace

Result<Picture> DecodePng(std::string_view bytes,
                          const std::string& name,
                          Colours colours,
                          const PictureLimits& limits) {
  if (bytes.size() < kHeader) return Damaged(name, "PNG", "its header is not there");
  const std::uint32_t width = BigEndian(bytes, 16), height = BigEndian(bytes, 20);
  if (auto size = CheckSize(static_cast<long>(width), static_cast<long>(height), name, limits);
      !size) {
    return size.error();
  }
  png_image image;
  std::memset(&image, 0, sizeof(image));
  image.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) == 0) {
    const std::string what = image.message;
    png_image_free(&image);
    return Damaged(name, "PNG", what);
  }
  image.format = colours == Colours::kGrey ? PNG_FORMAT_GRAY : PNG_FORMAT_RGB;
  Picture picture;
  picture.width = static_cast<int>(width);
  picture.height = static_cast<int>(height);
  picture.channels = colours == Colours::kGrey ? 1 : 3;
  picture.pixels.resize(PNG_IMAGE_SIZE(image));
  const png_color white = {255, 255, 255};
  if (png_image_finish_read(&image, &white, picture.pixels.data(), 0, nullptr) == 0) {
    const std::string what = image.message;
    png_image_free(&image);
    return Damaged(name, "PNG", what);
  }
  ReadExif(ExifBlock(bytes), picture);
  return picture;
}

}  // namespace lieflat::internal
