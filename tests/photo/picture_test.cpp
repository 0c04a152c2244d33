// What a photo file may be, and what is refused, each with its reason.

#include "lieflat/photo/picture.h"

#include <fstream>
#include <numeric>

#include <gtest/gtest.h>
#include <png.h>
#include <turbojpeg.h>

#include "support/render/phone.h"
#include "support/temporary_folder.h"

namespace lieflat {
namespace {

using testing::ExifSegment;
using testing::ExifTags;
using testing::TemporaryFolder;

constexpr int kWide = 96, kHigh = 72;

/// A picture whose four quarters differ: bright at the upper left, ever darker clockwise.
std::vector<std::uint8_t> Quarters(int channels) {
  std::vector<std::uint8_t> pixels;
  for (int y = 0; y < kHigh; ++y) {
    for (int x = 0; x < kWide; ++x) {
      const bool right = x >= kWide / 2, lower = y >= kHigh / 2;
      const int value = !lower ? (right ? 170 : 230) : (right ? 110 : 50);
      for (int c = 0; c < channels; ++c) pixels.push_back(static_cast<std::uint8_t>(value));
    }
  }
  return pixels;
}

std::string Jpeg(const ExifTags& tags = {},
                 bool big_endian = false,
                 int width = kWide,
                 int height = kHigh) {
  std::vector<std::uint8_t> pixels = Quarters(1);
  if (width != kWide || height != kHigh)
    pixels.assign(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 128);
  tjhandle handle = tjInitCompress();
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  EXPECT_EQ(
      0,
      tjCompress2(
          handle, pixels.data(), width, 0, height, TJPF_GRAY, &bytes, &size, TJSAMP_GRAY, 95, 0));
  std::string file(reinterpret_cast<const char*>(bytes), size);
  tjFree(bytes);
  tjDestroy(handle);
  if (tags.orientation != 1 || tags.focal_35mm != 0) file.insert(2, ExifSegment(tags, big_endian));
  return file;
}

std::string Png(int width = kWide, int height = kHigh) {
  png_image image = {};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(width);
  image.height = static_cast<png_uint_32>(height);
  image.format = PNG_FORMAT_RGB;
  std::vector<std::uint8_t> pixels = Quarters(3);
  pixels.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3, 128);
  png_alloc_size_t size = 0;
  EXPECT_NE(0, png_image_write_to_memory(&image, nullptr, &size, 0, pixels.data(), 0, nullptr));
  std::string file(size, '\0');
  EXPECT_NE(0, png_image_write_to_memory(&image, file.data(), &size, 0, pixels.data(), 0, nullptr));
  return file;
}

int At(const Picture& picture, double x, double y) {
  return picture.Row(
      static_cast<int>(y * picture.height))[static_cast<int>(x * picture.width) * picture.channels];
}

/// The upper left, upper right, lower right and lower left quarter's value.
std::array<int, 4> Corners(const Picture& picture) {
  return {At(picture, 0.25, 0.25),
          At(picture, 0.75, 0.25),
          At(picture, 0.75, 0.75),
          At(picture, 0.25, 0.75)};
}

void ExpectQuarters(const Picture& picture, const std::array<int, 4>& expected) {
  constexpr int kCoding = 3;  // what JPEG and HEIC may change of a plain area
  const auto corners = Corners(picture);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(corners[i], expected[i], kCoding) << i;
}

std::string Refusal(const std::string& bytes, const PictureLimits& limits = {}) {
  const auto picture = DecodePicture(bytes, "a.jpg", Colours::kGrey, Turning::kAsStored, limits);
  return picture ? "read" : picture.error().Text();
}

TEST(Picture, JpegAndPngGiveTheirPixels) {
  for (const std::string& file : {Jpeg(), Png()}) {
    for (const Colours colours : {Colours::kGrey, Colours::kColour}) {
      const auto picture = DecodePicture(file, "a", colours);
      ASSERT_TRUE(picture) << picture.error().Text();
      EXPECT_EQ(picture->width, kWide);
      EXPECT_EQ(picture->height, kHigh);
      EXPECT_EQ(picture->channels, colours == Colours::kGrey ? 1 : 3);
      ExpectQuarters(*picture, {230, 170, 110, 50});
    }
  }
}

/// Coded by the programs that come with libheif, in HEVC.
TEST(Picture, HeicGivesItsPixels) {
  const TemporaryFolder folder;
  const auto png = folder.path() / "a.png", heic = folder.path() / "a.heic";
  std::ofstream(png, std::ios::binary) << Png();
  const std::string command =
      "heif-enc -q 95 '" + png.string() + "' -o '" + heic.string() + "' >/dev/null 2>&1";
  ASSERT_EQ(0, std::system(command.c_str())) << "is libheif-examples installed?";
  std::ifstream in(heic, std::ios::binary);
  const std::string bytes((std::istreambuf_iterator<char>(in)), {});
  const auto picture = DecodePicture(bytes, "a.heic", Colours::kGrey);
  ASSERT_TRUE(picture) << picture.error().Text();
  EXPECT_EQ(picture->kind, "HEIC");
  ExpectQuarters(*picture, {230, 170, 110, 50});
  const auto cut =
      DecodePicture(std::string_view(bytes).substr(0, bytes.size() / 2), "a.heic", Colours::kGrey);
  ASSERT_FALSE(cut);
  EXPECT_NE(cut.error().Text().find("cut off or damaged"), std::string::npos) << cut.error().Text();
}

/// TIFF 6.0, Orientation: where the stored first row and first column lie in the picture as seen.
TEST(Picture, EveryOrientationIsShownUpright) {
  const std::array<std::array<int, 4>, 8> seen = {{{230, 170, 110, 50},
                                                   {170, 230, 50, 110},
                                                   {110, 50, 230, 170},
                                                   {50, 110, 170, 230},
                                                   {230, 50, 110, 170},
                                                   {50, 230, 170, 110},
                                                   {110, 170, 230, 50},
                                                   {170, 110, 50, 230}}};
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const bool big_endian : {false, true}) {
      SCOPED_TRACE(orientation);
      const auto file = Jpeg({orientation, 26}, big_endian);
      const auto picture = DecodePicture(file, "a", Colours::kGrey, Turning::kUpright);
      ASSERT_TRUE(picture) << picture.error().Text();
      EXPECT_EQ(picture->focal_35mm, 26);
      EXPECT_EQ(picture->width, orientation >= 5 ? kHigh : kWide);
      ExpectQuarters(*picture, seen[static_cast<std::size_t>(orientation - 1)]);
      // As the sensor saw it: turned ones stay, mirrored ones are mirrored back, so that no
      // chessboard is ever seen from behind.
      const auto stored = DecodePicture(file, "a", Colours::kGrey);
      ASSERT_TRUE(stored);
      EXPECT_EQ(stored->width, kWide);
      const bool mirrored =
          orientation == 2 || orientation == 4 || orientation == 5 || orientation == 7;
      ExpectQuarters(*stored, seen[mirrored ? 1 : 0]);
    }
  }
}

TEST(Picture, ExifThatMakesNoSenseIsPassedOver) {
  const std::string file = Jpeg({6, 26});
  for (std::size_t at = 12; at < 70; ++at) {
    std::string broken = file;
    broken[at] = static_cast<char>(broken[at] ^ 0x5A);
    (void)DecodePicture(
        broken, "a", Colours::kGrey, Turning::kUpright);  // no crash; sanitizers look on
  }
  const auto odd = DecodePicture(Jpeg({9, 3}), "a", Colours::kGrey);
  ASSERT_TRUE(odd);
  EXPECT_EQ(odd->orientation, 1);
  EXPECT_EQ(odd->focal_35mm, std::nullopt);
}

TEST(Picture, WhatIsNoPhotoIsRefused) {
  EXPECT_EQ(
      Refusal("not a photo"),
      "a.jpg: is no JPEG, PNG or HEIC photo (give the photo file itself, as the phone stores it)");
  EXPECT_EQ(Refusal(""), "a.jpg: is empty (give the photo file itself, as the phone stores it)");
  EXPECT_NE(
      Refusal(Jpeg().substr(0, Jpeg().size() * 2 / 3)).find("the JPEG file is cut off or damaged"),
      std::string::npos);
  EXPECT_NE(Refusal(Png().substr(0, 150)).find("the PNG file is cut off or damaged"),
            std::string::npos);
  EXPECT_NE(Refusal(Png().substr(0, 20)).find("its header is not there"), std::string::npos);
  EXPECT_NE(Refusal(Jpeg({}, false, 64, 32)).find("64 x 32 pixels are too few"), std::string::npos);
  EXPECT_NE(Refusal(Jpeg(), {.file_bytes = 100}).find("over the limit"), std::string::npos);
}

/// A PNG of 20 000 x 20 000 is refused from its header: its pixels would take 1.2 GB.
TEST(Picture, ABombIsRefusedBeforeItsPixelsAreDecoded) {
  std::string bomb = Png();
  for (const std::size_t at : {16U, 20U}) bomb.replace(at, 4, std::string("\x00\x00\x4E\x20", 4));
  EXPECT_EQ(Refusal(bomb),
            "a.jpg: 20000 x 20000 pixels are over the limit of 120 megapixels and 16000 a side "
            "(take it at the phone's "
            "usual size (12 megapixels are plenty))");
  EXPECT_NE(Refusal(Jpeg({}, false, 512, 400), {.megapixels = 0.2}).find("over the limit"),
            std::string::npos);
}

}  // namespace
}  // namespace lieflat
