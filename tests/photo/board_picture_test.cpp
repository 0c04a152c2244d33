// Pictures to scale and what is measured on them, against rendered photos of boards with known
// damage (tests/support/render/damaged_board.h, which shares no code with what measures): light,
// blur, tilt, cast, dirt, print and phone drawn from a seed. Seeds from 100 on are
// kept for the full count.

#include "lieflat/photo/board_picture.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>

#include <gtest/gtest.h>

#include "lieflat/photo/picture_measures.h"

#include "support/counts.h"
#include "support/render/damaged_board.h"

namespace lieflat {
namespace {

using testing::DamagedSet;
using testing::DamageOptions;

DamageOptions Options() {
  DamageOptions options;
  options.size_mm = {150.1, 100.1};
  return options;
}

Result<BoardPicture> PictureOf(const DamagedSet& set, const Board& described) {
  const Printed printed = Printed::Of(Calib::Embedded());
  auto photo = TakeBoardPhoto(set.file, "rendered", printed);
  if (!photo) return photo.error();
  BoardPictureRequest request;
  request.warp = [&set](const Eigen::Vector2d& p) { return set.drawn.board.Height(p); };
  std::vector<BoardPhoto> photos;
  photos.push_back(std::move(*photo));
  return MakeBoardPicture(photos, described, request, printed, Calib::Embedded());
}

/// The middle of a white dot near a place, by brightness; px.
Eigen::Vector2d DotAt(const BoardPicture& p, const Eigen::Vector2d& near_mm) {
  const Eigen::Vector2d c = p.ToPx(near_mm);
  constexpr int kReach = 12;
  double low = 1e9, high = 0.0;
  const auto value = [&](int x, int y) {
    const std::uint8_t* const at = p.picture.Row(y) + std::ptrdiff_t{3} * x;
    return static_cast<double>(at[0] + at[1] + at[2]);
  };
  const int cx = static_cast<int>(c.x()), cy = static_cast<int>(c.y());
  for (int y = cy - kReach; y <= cy + kReach; ++y) {
    for (int x = cx - kReach; x <= cx + kReach; ++x) {
      low = std::min(low, value(x, y));
      high = std::max(high, value(x, y));
    }
  }
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  double weight = 0.0;
  for (int y = cy - kReach; y <= cy + kReach; ++y) {
    for (int x = cx - kReach; x <= cx + kReach; ++x) {
      const double w = std::max(0.0, value(x, y) - 0.5 * (low + high));
      sum += w * Eigen::Vector2d(x, y);
      weight += w;
    }
  }
  return p.ToMm(sum / weight);
}

/// Scale of the picture by its dots: found over true, less 1.
double ScaleError(const BoardPicture& p, const DamagedSet& set) {
  Eigen::Vector2d mean_true = Eigen::Vector2d::Zero(), mean_found = Eigen::Vector2d::Zero();
  std::vector<Eigen::Vector2d> found;
  for (const auto& dot : set.drawn.dots_mm) {
    found.push_back(DotAt(p, dot));
    mean_true += dot;
    mean_found += found.back();
  }
  const auto n = static_cast<double>(found.size());
  mean_true /= n;
  mean_found /= n;
  double above = 0.0, below = 0.0;
  for (std::size_t i = 0; i < found.size(); ++i) {
    above += (found[i] - mean_found).dot(set.drawn.dots_mm[i] - mean_true);
    below += (set.drawn.dots_mm[i] - mean_true).squaredNorm();
  }
  return above / below - 1.0;
}

/// The board as someone measured it with callipers, to 0.05 mm (standard).
Board ByCallipers(Random& random) {
  constexpr double kU = 0.05;
  Eigen::Vector2d size = Options().size_mm;
  for (int k = 0; k < 2; ++k) size[k] += kU * random.Normal();
  Board board = testing::DescribedBoard(Calib::Embedded(), size);
  board.size_u_mm = kU;
  return board;
}

/// Errors of one kind of figure with their stated half-widths.
struct Tally {
  std::string name;
  std::vector<double> errors, u95s;
  void Add(double error, double u95) {
    errors.push_back(error);
    u95s.push_back(u95);
  }
  [[nodiscard]] double Rms() const {
    double sum = 0.0;
    for (const double e : errors) sum += e * e;
    return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(1, errors.size())));
  }
  [[nodiscard]] double Worst() const {
    double worst = 0.0;
    for (const double e : errors) worst = std::max(worst, std::abs(e));
    return worst;
  }
  [[nodiscard]] double Coverage() const {
    int held = 0;
    for (std::size_t i = 0; i < errors.size(); ++i) held += std::abs(errors[i]) <= u95s[i] ? 1 : 0;
    return static_cast<double>(held) / static_cast<double>(std::max<std::size_t>(1, errors.size()));
  }
  [[nodiscard]] double MedianU() const {
    std::vector<double> sorted = u95s;
    std::sort(sorted.begin(), sorted.end());
    return sorted.empty() ? 0.0 : sorted[sorted.size() / 2];
  }
  void Print() const {
    std::printf("%-22s n %3zu  rms %.4f  worst %.4f  median u95 %.4f  held %.3f\n",
                name.c_str(),
                errors.size(),
                Rms(),
                Worst(),
                MedianU(),
                Coverage());
  }
};

class Damaged {
 public:
  Tally scale{"scale, rule, %", {}, {}}, careful_scale{"scale, callipers, %", {}, {}},
      length{"scratch length, mm", {}, {}}, width{"scratch width, mm", {}, {}},
      depth{"nick depth, mm", {}, {}};
  int length_off = 0, width_off = 0, depth_off = 0, nicks_unseen = 0, nicks_not_told = 0,
      nicks_at_least = 0, nicks_at_least_wrong = 0, scratches_unseen = 0, pictures = 0,
      crossings_off = 0, crossings = 0;

  void Run(std::uint64_t seed) {
    Random random(seed);
    const DamagedSet set = testing::DrawDamagedSet(Calib::Embedded(), Options(), seed, random);
    const auto picture = PictureOf(set, set.drawn.described);
    ASSERT_TRUE(picture) << "seed " << seed << ": " << picture.error().Text();
    ++pictures;
    const double off = ScaleError(*picture, set);
    scale.Add(100.0 * off, 196.0 * picture->scale_u);
    if (std::getenv("LIEFLAT_SHOW") != nullptr) {
      std::printf("%d: scale off %.3f %% (%.3f), parallax %.2f, blur %.3f mm, up %.0f\n",
                  static_cast<int>(seed),
                  100.0 * off,
                  196.0 * picture->scale_u,
                  picture->parallax_most,
                  picture->blur_mm,
                  picture->eye_mm.z());
    }
    const auto careful = PictureOf(set, ByCallipers(random));
    ASSERT_TRUE(careful) << "seed " << seed << ": " << careful.error().Text();
    careful_scale.Add(100.0 * ScaleError(*careful, set), 196.0 * careful->scale_u);
    if (std::getenv("LIEFLAT_SHOW") != nullptr)
      std::printf("  by callipers off %.3f %%\n", careful_scale.errors.back());
    Scratches(*picture, set);
    Nicks(*picture, set);
  }

 private:
  void Scratches(const BoardPicture& picture, const DamagedSet& set) {
    for (const auto& truth : set.drawn.scratches) {
      const auto seen = MeasureScratch(picture, truth.course_mm.front(), truth.course_mm.back());
      if (!seen) {
        ++scratches_unseen;
        if (std::getenv("LIEFLAT_SHOW") != nullptr)
          std::printf("  scratch %.2f long, %.2f wide: %s\n",
                      truth.Length(),
                      truth.width_mm,
                      seen.error().Text().c_str());
        continue;
      }
      const double off = seen->length.value - truth.Length();
      length.Add(off, seen->length.u95);
      if (std::abs(off) > std::max(0.3, 0.02 * truth.Length())) ++length_off;
      const double wide = seen->width.value - truth.width_mm;
      width.Add(wide, seen->width.u95);
      if (std::abs(wide) > std::max(0.1, 0.2 * truth.width_mm)) ++width_off;
      if (std::getenv("LIEFLAT_SHOW") != nullptr) {
        std::printf("  scratch %.2f long, %.2f wide, crosses %d: off %.3f, %.3f +- %.3f; %s %d\n",
                    truth.Length(),
                    truth.width_mm,
                    truth.crossed,
                    off,
                    wide,
                    seen->width.u95,
                    Name(seen->conductors_told),
                    seen->conductors);
      }
      if (seen->conductors_told == Told::kYes) {
        ++crossings;
        crossings_off += std::abs(seen->conductors - truth.crossed) > 1 ? 1 : 0;
      }
    }
  }

  void Nicks(const BoardPicture& picture, const DamagedSet& set) {
    for (const auto& truth : set.drawn.nicks) {
      const auto seen =
          MeasureEdge(picture, set.drawn.described, truth.edge, Printed::Of(Calib::Embedded()));
      const Departure* best = nullptr;
      if (seen) {
        for (const auto& one : seen->departures) {
          if (one.inwards && one.from_mm < truth.at_mm + 1.0 && one.to_mm > truth.at_mm - 1.0)
            best = &one;
        }
        if (best == nullptr) {
          for (const auto& gap : seen->not_told_mm)
            if (gap.x() < truth.at_mm + 1.0 && gap.y() > truth.at_mm - 1.0) ++nicks_not_told;
        }
      }
      if (best == nullptr) {
        ++nicks_unseen;
        continue;
      }
      const double off = best->depth.value - truth.depth_mm;
      if (best->at_least) {
        ++nicks_at_least;
        nicks_at_least_wrong += off > best->depth.u95 ? 1 : 0;
        continue;
      }
      depth.Add(off, best->depth.u95);
      if (std::getenv("LIEFLAT_SHOW") != nullptr)
        std::printf("  nick at %.1f, %.2f deep, %.2f long: off %.3f +- %.3f; %.2f to %.2f\n",
                    truth.at_mm,
                    truth.depth_mm,
                    truth.length_mm,
                    off,
                    best->depth.u95,
                    best->from_mm,
                    best->to_mm);
      if (std::abs(off) > 0.15) ++depth_off;
    }
  }
};

/// The figures, for whoever renews DEVELOPERS.md.
void Print(const Damaged& d) {
  for (const Tally* one : {&d.scale, &d.careful_scale, &d.length, &d.width, &d.depth}) one->Print();
  std::printf(
      "pictures %d; off: length %d, width %d, depth %d; unseen: scratches %d, nicks %d (%d not "
      "told, %d at least, %d of them wrong); crossings %d of %d off\n",
      d.pictures,
      d.length_off,
      d.width_off,
      d.depth_off,
      d.scratches_unseen,
      d.nicks_unseen,
      d.nicks_not_told,
      d.nicks_at_least,
      d.nicks_at_least_wrong,
      d.crossings_off,
      d.crossings);
}

TEST(BoardPicture, MeasuresKnownDamage) {
  Damaged damaged;
  const int count = testing::Count(2, 40);
  for (int i = 0; i < count; ++i) {
    damaged.Run(i < 20 ? static_cast<std::uint64_t>(1 + i) : static_cast<std::uint64_t>(80 + i));
    if (HasFatalFailure()) return;
  }
  Print(damaged);
  // The bounds asked for: scale 0.15 %, length within 0.3 mm or 2 %, width within 0.1 mm or 20 %,
  // every scratch seen. The full count misses them, see DEVELOPERS.md: the scale is that of the
  // described sides, and those read on a rule to half a millimetre are not better.
  EXPECT_LT(damaged.scale.Worst(), 0.15);
  EXPECT_GE(damaged.scale.Coverage(), 0.9);
  EXPECT_LT(damaged.careful_scale.Worst(), 0.15);
  EXPECT_GE(damaged.careful_scale.Coverage(), 0.9);
  EXPECT_EQ(damaged.scratches_unseen, 0);
  EXPECT_EQ(damaged.length_off, 0);
  EXPECT_EQ(damaged.width_off, 0);
  EXPECT_GE(damaged.length.Coverage(), 0.9);
  EXPECT_GE(damaged.width.Coverage(), 0.9);
  EXPECT_EQ(damaged.nicks_unseen, damaged.nicks_not_told);
  EXPECT_EQ(damaged.crossings_off, 0);
  EXPECT_EQ(damaged.nicks_at_least_wrong, 0);
  EXPECT_LT(damaged.depth.Worst(), 0.15);
  EXPECT_GE(damaged.depth.Coverage(), 0.9);
}

// Two boards of one kind, other light, cast, dirt, phone and place; chips missing from one of them.
// The rim left out and the bound on dirt were set on the first of these boards, which is the short
// form: only the full count judges.
TEST(BoardPicture, FindsMissingPartsAgainstASoundBoard) {
  const int count = testing::Count(1, 20);
  int missing = 0, found = 0, wrong = 0;
  std::map<double, std::pair<int, int>> by_size;  // by the longer side, mm: missing, found
  for (int i = 0; i < count; ++i) {
    const auto kind = static_cast<std::uint64_t>(300 + i);
    DamageOptions options = Options();
    options.scratches = options.nicks = 0;
    Random sound_random(1000 + kind), mine_random(2000 + kind);
    const DamagedSet sound =
        testing::DrawDamagedSet(Calib::Embedded(), options, kind, sound_random);
    options.missing = 4;
    const DamagedSet mine = testing::DrawDamagedSet(Calib::Embedded(), options, kind, mine_random);
    const auto a = PictureOf(mine, mine.drawn.described),
               b = PictureOf(sound, sound.drawn.described);
    ASSERT_TRUE(a) << a.error().Text();
    ASSERT_TRUE(b) << b.error().Text();
    const auto seen = CompareWithSound(*a, *b, mine.drawn.described);
    ASSERT_TRUE(seen) << seen.error().Text();
    std::vector<bool> used(seen->candidates.size(), false);
    for (const auto& chip : mine.drawn.chips) {
      if (!chip.missing) continue;
      ++missing;
      bool hit = false;
      for (std::size_t k = 0; k < used.size(); ++k) {
        const auto& one = seen->candidates[k];
        const Eigen::Vector2d reach = 0.5 * chip.size_mm + Eigen::Vector2d(0.5, 0.5);
        const Eigen::Vector2d low = chip.centre_mm - reach, high = chip.centre_mm + reach;
        if (one.low_mm.x() > high.x() || one.low_mm.y() > high.y() || one.high_mm.x() < low.x() ||
            one.high_mm.y() < low.y())
          continue;
        hit = used[k] = true;
      }
      found += hit ? 1 : 0;
      auto& [of_size, seen_of_size] = by_size[chip.size_mm.maxCoeff()];
      ++of_size;
      seen_of_size += hit ? 1 : 0;
    }
    for (const auto& pin : mine.drawn.pins) {  // bent otherwise than on the sound board: true too
      for (std::size_t k = 0; k < used.size(); ++k) {
        const auto& one = seen->candidates[k];
        if ((0.5 * (one.low_mm + one.high_mm) - pin.at_mm).norm() < 3.0) used[k] = true;
      }
    }
    wrong += static_cast<int>(std::count(used.begin(), used.end(), false));
  }
  std::printf(
      "missing %d, found %d, false candidates %d on %d boards\n", missing, found, wrong, count);
  for (const auto& [size, counts] : by_size)
    std::printf("  %.1f mm long: %d of %d found\n", size, counts.second, counts.first);
  // Held from 2 mm on; smaller ones drown between their lands, which stay (DEVELOPERS.md).
  EXPECT_GE(found, 0.95 * missing);
  EXPECT_LE(wrong, 2 * count);
}

/// A photo is refused with the reason, never guessed at.
TEST(BoardPicture, RefusesWhatCannotBeMeasured) {
  const Printed printed = Printed::Of(Calib::Embedded());
  SeenPhoto photo;
  EXPECT_NE(WhyNoPicture(photo, printed, Calib::Embedded()).find("no marker"), std::string::npos);
  photo.sheet = "lay-a4";
  photo.markers_of_sheet["lay-a4"] = 100;
  photo.edge_width_px = 3.0;
  photo.paper_light = 0.6;
  EXPECT_NE(WhyNoPicture(photo, printed, Calib::Embedded()).find("0 sheet corners"),
            std::string::npos);
  photo.corners.resize(100);
  EXPECT_EQ(WhyNoPicture(photo, printed, Calib::Embedded()), "");
  photo.paper_light = 0.03;
  EXPECT_NE(WhyNoPicture(photo, printed, Calib::Embedded()).find("too dark"), std::string::npos);
  photo.paper_light = 0.6;
  photo.edge_width_px = 12.0;
  EXPECT_NE(WhyNoPicture(photo, printed, Calib::Embedded()).find("blurred"), std::string::npos);
}

// The kept form gives the same pixels and places back; libpng reads what was written.
TEST(BoardPicture, IsReadAsItWasKept) {
  BoardPicture picture;
  picture.picture.width = 80;
  picture.picture.height = 70;
  picture.picture.channels = 3;
  for (int i = 0; i < 80 * 70 * 3; ++i)
    picture.picture.pixels.push_back(static_cast<std::uint8_t>(i * 7 % 251));
  picture.low_mm = {-5.0, -5.0};
  picture.blur_mm = 0.12;
  picture.scale_u = 0.001;
  const auto read = ParseBoardPicture(ToJson(picture, "bench"), EncodePng(picture.picture), "kept");
  ASSERT_TRUE(read) << read.error().Text();
  EXPECT_EQ(read->picture.pixels, picture.picture.pixels);
  EXPECT_NEAR((read->ToMm(read->ToPx({3.0, 1.0})) - Eigen::Vector2d(3.0, 1.0)).norm(), 0.0, 1e-9);
  EXPECT_NEAR(read->scale_u, 0.001, 1e-6);  // kept to 0.0001 %
  Json other = ToJson(picture, "bench");
  other["width_px"] = 81;
  EXPECT_FALSE(ParseBoardPicture(other, EncodePng(picture.picture), "kept"));
}

}  // namespace
}  // namespace lieflat
