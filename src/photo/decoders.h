#pragma once
// One decoder a format. Each checks the size against the limits before it takes memory.

#include "lieflat/photo/picture.h"

namespace lieflat::internal {

Result<Picture> DecodeJpeg(std::string_view bytes,
                           const std::string& name,
                           Colours colours,
                           const PictureLimits& limits);
Result<Picture> DecodePng(std::string_view bytes,
                          const std::string& name,
                          Colours colours,
                          const PictureLimits& limits);
Result<Picture> DecodeHeif(std::string_view bytes,
                           const std::string& name,
                           Colours colours,
                           const PictureLimits& limits);

/// @error kRefused when the size is none, or over the limits.
Result<void> CheckSize(long width,
                       long height,
                       const std::string& name,
                       const PictureLimits& limits);
Error Damaged(const std::string& name, const std::string& kind, const std::string& what);

/// Orientation and focal length from an EXIF block, as it stands in a file ("Exif\0\0" first, or
/// the TIFF header itself); what is absent or makes no sense is left as it is.
void ReadExif(std::string_view block, Picture& picture);

/// Red, green, blue to grey with the weights of ITU-R BT.601, as JPEG's own luma.
void ToGrey(Picture& picture);

}  // namespace lieflat::internal
