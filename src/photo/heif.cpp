#include <memory>

#include <libheif/heif.h>

#include "photo/decoders.h"

namespace lieflat::internal {
namespace {

template <typename T, void (*Release)(T*)>
struct Releaser {
  void operator()(T* held) const { Release(held); }
};
using Context = std::unique_ptr<heif_context, Releaser<heif_context, heif_context_free>>;
struct ReleaseHandle {
  void operator()(const heif_image_handle* held) const { heif_image_handle_release(held); }
};
struct ReleaseImage {
  void operator()(const heif_image* held) const { heif_image_release(held); }
};

void ReadMetadata(const heif_image_handle* handle, Picture& picture) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(handle, "Exif", &id, 1) < 1) return;
  const std::size_t size = heif_image_handle_get_metadata_size(handle, id);
  constexpr std::size_t kLargest = std::size_t{1} << 20;
  constexpr std::size_t kOffset = 4;  // the block begins with the offset of its TIFF header
  if (size <= kOffset || size > kLargest) return;
  std::string block(size, '\0');
  if (heif_image_handle_get_metadata(handle, id, block.data()).code != heif_error_Ok) return;
  ReadExif(std::string_view(block).substr(kOffset), picture);
}

}  // namespace

Result<Picture> DecodeHeif(std::string_view bytes,
                           const std::string& name,
                           Colours colours,
                           const PictureLimits& limits) {
  const Context context(heif_context_alloc());
  if (!context)
    return Error{ErrorCode::kInternal, name, "no HEIC decoder", "is there memory left?"};
  heif_context_set_maximum_image_size_limit(context.get(), limits.side);
  heif_error fault = heif_context_read_from_memory_without_copy(
      context.get(), bytes.data(), bytes.size(), nullptr);
  if (fault.code != heif_error_Ok) return Damaged(name, "HEIC", fault.message);
  heif_image_handle* raw_handle = nullptr;
  fault = heif_context_get_primary_image_handle(context.get(), &raw_handle);
  const std::unique_ptr<const heif_image_handle, ReleaseHandle> handle(raw_handle);
  if (fault.code != heif_error_Ok) return Damaged(name, "HEIC", fault.message);
  const int width = heif_image_handle_get_width(handle.get());
  const int height = heif_image_handle_get_height(handle.get());
  if (auto size = CheckSize(width, height, name, limits); !size) return size.error();
  heif_image* raw_image = nullptr;
  fault = heif_decode_image(
      handle.get(), &raw_image, heif_colorspace_RGB, heif_chroma_interleaved_RGB, nullptr);
  const std::unique_ptr<const heif_image, ReleaseImage> image(raw_image);
  if (fault.code != heif_error_Ok) return Damaged(name, "HEIC", fault.message);

  Picture picture;
  picture.width = heif_image_get_width(image.get(), heif_channel_interleaved);
  picture.height = heif_image_get_height(image.get(), heif_channel_interleaved);
  picture.channels = 3;
  if (auto size = CheckSize(picture.width, picture.height, name, limits); !size)
    return size.error();
  int stride = 0;
  const std::uint8_t* const plane =
      heif_image_get_plane_readonly(image.get(), heif_channel_interleaved, &stride);
  const std::size_t row = static_cast<std::size_t>(picture.width) * 3;
  if (plane == nullptr || stride < 0 || static_cast<std::size_t>(stride) < row) {
    return Damaged(name, "HEIC", "it holds no pixels");
  }
  picture.pixels.reserve(row * static_cast<std::size_t>(picture.height));
  for (int y = 0; y < picture.height; ++y) {
    const std::uint8_t* const from = plane + static_cast<std::ptrdiff_t>(y) * stride;
    picture.pixels.insert(picture.pixels.end(), from, from + row);
  }
  if (colours == Colours::kGrey) ToGrey(picture);
  ReadMetadata(handle.get(), picture);
  // The decoder has turned the picture itself; EXIF's word for it must not turn it again.
  picture.orientation = 1;
  return picture;
}

}  // namespace lieflat::internal
