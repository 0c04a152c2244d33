// Rows of twelve pins, 0.64 mm thick, 2.54 mm apart, one of them bent, on rendered photos of known
// truth (tests/support/render/damaged_board.h, which shares no code with what measures).

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <gtest/gtest.h>

#include "lieflat/photo/picture_measures.h"

#include "support/counts.h"
#include "support/render/damaged_board.h"

namespace lieflat {
namespace {

TEST(PinRow, FindsTheBentPinAndByHowMuch) {
  const int count = testing::Count(2, 20);
  const Printed printed = Printed::Of(Calib::Embedded());
  int held = 0, pins = 0, bent_named = 0, sound_named = 0;
  double worst_pitch = 0.0, squares = 0.0;
  std::vector<double> widths;
  for (int i = 0; i < count; ++i) {
    const auto seed = static_cast<std::uint64_t>(500 + i);
    Random random(seed);
    testing::DamageOptions options;
    options.size_mm = {150.1, 100.1};
    options.scratches = options.nicks = 0;
    const auto set = testing::DrawDamagedSet(Calib::Embedded(), options, seed, random);
    auto photo = TakeBoardPhoto(set.file, "rendered", printed);
    ASSERT_TRUE(photo) << photo.error().Text();
    std::vector<BoardPhoto> photos;
    photos.push_back(std::move(*photo));
    const auto picture =
        MakeBoardPicture(photos, set.drawn.described, {}, printed, Calib::Embedded());
    ASSERT_TRUE(picture) << "seed " << seed << ": " << picture.error().Text();
    // As a person points: the ends of the row, to half a millimetre.
    const auto& truth = set.drawn.pins;
    const double y =
        truth[0].at_mm.y() - truth[0].off_share * set.drawn.pin_mm + random.Uniform(-0.5, 0.5);
    const auto seen = MeasurePins(*picture,
                                  {truth.front().at_mm.x() + random.Uniform(-0.5, 0.5), y},
                                  {truth.back().at_mm.x() + random.Uniform(-0.5, 0.5), y});
    ASSERT_TRUE(seen) << "seed " << seed << ": " << seen.error().Text();
    ASSERT_EQ(seen->pins.size(), truth.size()) << "seed " << seed;
    EXPECT_TRUE(seen->resolved) << "seed " << seed;
    worst_pitch = std::max(worst_pitch, std::abs(seen->pitch_mm / set.drawn.pitch_mm - 1.0));
    EXPECT_NEAR(seen->thickness.value, set.drawn.pin_mm, seen->thickness.u95) << "seed " << seed;
    for (std::size_t k = 0; k < truth.size(); ++k) {
      const Measured& share = seen->pins[k].share;
      const double off = share.value - truth[k].off_share;
      held += std::abs(off) <= share.u95 ? 1 : 0;
      ++pins;
      squares += off * off;
      widths.push_back(share.u95);
      const bool named = share.value > share.u95;
      (truth[k].off_share > 0.0 ? bent_named : sound_named) += named ? 1 : 0;
    }
  }
  std::sort(widths.begin(), widths.end());
  const double rms = std::sqrt(squares / pins), width = widths[widths.size() / 2];
  std::printf(
      "%d rows: pitch worst %.3f %%; share rms %.3f, median u95 %.3f, held %d of %d; bent named "
      "%d, "
      "sound named %d\n",
      count,
      100.0 * worst_pitch,
      rms,
      width,
      held,
      pins,
      bent_named,
      sound_named);
  // Sides read to half a millimetre leave 0.4 % of the scale open.
  EXPECT_LT(worst_pitch, 0.006);
  EXPECT_EQ(bent_named, count);  // by 0.4 of a thickness at least, a quarter millimetre
  EXPECT_LE(sound_named, pins / 20);
  EXPECT_GE(held, 0.9 * pins);
}

}  // namespace
}  // namespace lieflat
