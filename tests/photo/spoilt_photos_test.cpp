// One good photo of a board on the lay sheet (the sample's, rendered), and what a hand, a lamp and
// a frame do to it: the good one becomes a picture, the others are refused with the reason and what
// to do.

#include <algorithm>
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "lieflat/base/json.h"
#include "lieflat/board/board.h"
#include "lieflat/photo/board_picture.h"

#include "support/render/sets.h"

namespace lieflat {
namespace {

std::string Sample(const char* name) {
  std::ifstream in(std::string(LIEFLAT_SOURCE_DIR "/samples/photos/") + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

const Picture& Good() {
  static const Picture good = [] {
    auto picture = DecodePicture(Sample("damaged.jpg"), "damaged.jpg", Colours::kColour);
    EXPECT_TRUE(picture) << picture.error().Text();
    return picture.value();
  }();
  return good;
}

/// Empty when it became a picture; else the refusal.
std::string Refusal(const Picture& photo) {
  const Printed printed = Printed::Of(Calib::Embedded());
  auto taken = TakeBoardPhoto(EncodePng(photo), "photo.png", printed);
  if (!taken) return taken.error().Text();
  const auto truth = ParseJson(Sample("damaged-truth.json"), "truth");
  const Json& read = truth.value().at("read_on_a_rule_mm");
  const Board board =
      testing::DescribedBoard(Calib::Embedded(), {read[0].get<double>(), read[1].get<double>()});
  std::vector<BoardPhoto> photos;
  photos.push_back(std::move(*taken));
  const auto picture = MakeBoardPicture(photos, board, {}, printed, Calib::Embedded());
  return picture ? "" : picture.error().Text();
}

/// The middle of it, `share` of its width and height.
Picture Cropped(const Picture& from, double share) {
  Picture out = from;
  out.width = static_cast<int>(share * from.width);
  out.height = static_cast<int>(share * from.height);
  out.pixels.clear();
  const int left = (from.width - out.width) / 2, top = (from.height - out.height) / 2;
  for (int y = 0; y < out.height; ++y) {
    const std::uint8_t* const row = from.Row(top + y) + std::ptrdiff_t{3} * left;
    out.pixels.insert(out.pixels.end(), row, row + std::ptrdiff_t{3} * out.width);
  }
  return out;
}

/// A running mean over 2 reach + 1 pixels along rows, or columns.
Picture Smeared(const Picture& from, int reach, bool down) {
  Picture out = from;
  const int length = down ? from.height : from.width, lines = down ? from.width : from.height;
  const std::ptrdiff_t step = std::ptrdiff_t{3} * (down ? from.width : 1);
  for (int line = 0; line < lines; ++line) {
    const std::ptrdiff_t first = std::ptrdiff_t{3} * line * (down ? 1 : from.width);
    for (int k = 0; k < 3; ++k) {
      const auto at = [&](int i) {
        return static_cast<int>(
            from.pixels[static_cast<std::size_t>(first + std::clamp(i, 0, length - 1) * step + k)]);
      };
      int sum = 0;
      for (int i = -reach; i <= reach; ++i) sum += at(i);
      for (int i = 0; i < length; ++i) {
        out.pixels[static_cast<std::size_t>(first + i * step + k)] =
            static_cast<std::uint8_t>(sum / (2 * reach + 1));
        sum += at(i + reach + 1) - at(i - reach);
      }
    }
  }
  return out;
}

TEST(SpoiltPhotos, TheGoodOneBecomesAPicture) { EXPECT_EQ(Refusal(Good()), ""); }

TEST(SpoiltPhotos, ABlurredOneIsRefused) {
  // Out of focus.
  const int little = Good().width / 400;
  const std::string why = Refusal(Smeared(Smeared(Good(), little, false), little, true));
  EXPECT_NE(why.find("blurred"), std::string::npos) << why;
  EXPECT_NE(why.find("hold the phone still"), std::string::npos) << why;
  // A hand that moved, by 1/165 of the frame and by 1/70.
  for (const int part : {350, 140}) {
    const std::string moved = Refusal(Smeared(Good(), Good().width / part, false));
    EXPECT_NE(moved.find("hold still"), std::string::npos) << moved;
  }
  // Out of focus, so far that no marker can be read.
  const int wide = Good().width / 60;
  EXPECT_NE(Refusal(Smeared(Smeared(Good(), wide, false), wide, true)).find("hold still"),
            std::string::npos);
}

TEST(SpoiltPhotos, ADarkOneIsRefused) {
  Picture dark = Good();
  for (auto& value : dark.pixels) value = static_cast<std::uint8_t>(value / 8);
  const std::string why = Refusal(dark);
  EXPECT_NE(why.find("more light"), std::string::npos) << why;
}

TEST(SpoiltPhotos, ACroppedOneIsRefused) {
  // The board alone, hardly any of the sheet around it.
  const std::string why = Refusal(Cropped(Good(), 0.5));
  EXPECT_NE(why.find("move back until the sheet shows on all sides"), std::string::npos) << why;
}

TEST(SpoiltPhotos, OneThatCutsTheBoardIsRefused) {
  // Its right-hand part, a corner or two of the board beyond the frame.
  const Picture& good = Good();
  Picture part = good;
  part.width = 7 * good.width / 10;
  part.pixels.clear();
  for (int y = 0; y < good.height; ++y) {
    const std::uint8_t* const end = good.Row(y) + std::ptrdiff_t{3} * good.width;
    part.pixels.insert(part.pixels.end(), end - std::ptrdiff_t{3} * part.width, end);
  }
  const std::string why = Refusal(part);
  EXPECT_NE(why.find("the board is cropped"), std::string::npos) << why;
  EXPECT_NE(why.find("move back"), std::string::npos) << why;
}

TEST(SpoiltPhotos, OneWithoutTheSheetIsRefused) {
  // Nothing but the board.
  const std::string why = Refusal(Cropped(Good(), 0.45));
  EXPECT_NE(why.find("no marker of a printed sheet is seen"), std::string::npos) << why;
  EXPECT_NE(why.find("lay the board on the lay sheet"), std::string::npos) << why;
}

}  // namespace
}  // namespace lieflat
