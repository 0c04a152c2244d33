#include <memory>

#include <libexif/exif-data.h>

#include "photo/decoders.h"

namespace lieflat::internal {
namespace {

struct Release {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

std::optional<int> ShortOf(ExifData* data, ExifIfd part, ExifTag tag) {
  const ExifEntry* const entry = exif_content_get_entry(data->ifd[part], tag);
  if (entry == nullptr || entry->format != EXIF_FORMAT_SHORT || entry->components < 1 ||
      entry->size < 2) {
    return std::nullopt;
  }
  return exif_get_short(entry->data, exif_data_get_byte_order(data));
}

}  // namespace

void ReadExif(std::string_view block, Picture& picture) {
  if (block.empty()) return;
  constexpr std::size_t kLargest = std::size_t{1} << 20;
  if (block.size() > kLargest) return;
  std::string whole(block);
  constexpr std::string_view kStart("Exif\0\0", 6);
  if (!whole.starts_with(kStart)) whole.insert(0, kStart);
  const std::unique_ptr<ExifData, Release> data(
      exif_data_new_from_data(reinterpret_cast<const unsigned char*>(whole.data()),
                              static_cast<unsigned int>(whole.size())));
  if (!data) return;
  if (const auto turned = ShortOf(data.get(), EXIF_IFD_0, EXIF_TAG_ORIENTATION);
      turned && *turned >= 1 && *turned <= 8) {
    picture.orientation = *turned;
  }
  constexpr int kShortestMm = 8, kLongestMm = 400;
  if (const auto focal = ShortOf(data.get(), EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
      focal && *focal >= kShortestMm && *focal <= kLongestMm) {
    picture.focal_35mm = *focal;
  }
}

}  // namespace lieflat::internal
