// Pictures to scale and what is measured on them, against rendered photos of boards with known
// damage (tests/support/render/damaged_board.h, which shares no code with what measures): light,
// blur, tilt, cast, dirt, print and phone drawn from a seed. Seeds from 100 on were looked at only
// once everything was fixed.

#include <gtest/gtest.h>

#include "lieflat/photo/board_picture.h"
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

Result<BoardPicture> PictureOf(const DamagedSet& set) {
  const Printed printed = Printed::Of(Calib::Embedded());
  auto photo = TakeBoardPhoto(set.file, "rendered", printed);
  if (!photo) return photo.error();
  BoardPictureRequest request;
  request.warp = [&set](const Eigen::Vector2d& p) { return set.drawn.board.Height(p); };
  std::vector<BoardPhoto> photos;
  photos.push_back(std::move(*photo));
  return MakeBoardPicture(photos, set.drawn.described, request, printed, Calib::Embedded());
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

/// Scale of the picture by its dots: found over true, less 1; and the largest misplacement, mm.
std::pair<double, double> ScaleError(const BoardPicture& p, const DamagedSet& set) {
  const Eigen::Vector2d size(set.drawn.described.Box().second);
  const Eigen::Vector2d shift = 0.5 * (size - set.drawn.board.size_mm);
  Eigen::Vector2d mean_true = Eigen::Vector2d::Zero(), mean_found = Eigen::Vector2d::Zero();
  std::vector<Eigen::Vector2d> found;
  double worst = 0.0;
  for (const auto& dot : set.drawn.dots_mm) {
    found.push_back(DotAt(p, dot));
    worst = std::max(worst, (found.back() - dot - shift).norm());
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
  return {above / below - 1.0, worst};
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
                name.c_str(), errors.size(), Rms(), Worst(), MedianU(), Coverage());
  }
};

class Damaged {
 public:
  Tally scale{"scale, %", {}, {}}, length{"scratch length, mm", {}, {}},
      width{"scratch width, mm", {}, {}}, depth{"nick depth, mm", {}, {}};
  int length_off = 0, width_off = 0, depth_off = 0, nicks_unseen = 0, nicks_not_told = 0,
      scratches_unseen = 0, pictures = 0, crossings_off = 0, crossings = 0;

  void Run(std::uint64_t seed) {
    Random random(seed);
    const DamagedSet set = testing::DrawDamagedSet(Calib::Embedded(), Options(), seed, random);
    const auto picture = PictureOf(set);
    ASSERT_TRUE(picture) << "seed " << seed << ": " << picture.error().Text();
    ++pictures;
    const auto [off, worst] = ScaleError(*picture, set);
    scale.Add(100.0 * off, 196.0 * picture->scale_u);
    if (std::getenv("LIEFLAT_SHOW") != nullptr)
      std::printf("seed %d scale %.4f %% worst dot %.3f mm blur %.3f\n", static_cast<int>(seed), 100 * off, worst, picture->blur_mm);
    Scratches(*picture, set);
    Nicks(*picture, set);
  }

 private:
  void Scratches(const BoardPicture& picture, const DamagedSet& set) {
    for (const auto& truth : set.drawn.scratches) {
      const auto seen = MeasureScratch(picture, truth.course_mm.front(), truth.course_mm.back());
      if (!seen) {
        ++scratches_unseen;
        continue;
      }
      const double off = seen->length.value - truth.Length();
      length.Add(off, seen->length.u95);
      if (std::abs(off) > std::max(0.3, 0.02 * truth.Length())) ++length_off;
      const double wide = seen->width.value - truth.width_mm;
      width.Add(wide, seen->width.u95);
      if (std::abs(wide) > std::max(0.1, 0.2 * truth.width_mm)) ++width_off;
      if (seen->conductors_told == Told::kYes) {
        ++crossings;
        crossings_off += seen->conductors != truth.crossed ? 1 : 0;
      }
      if (std::getenv("LIEFLAT_SHOW") != nullptr)
        std::printf("  scratch L %.2f -> %.2f +- %.2f  w %.3f -> %.3f +- %.3f crossed %d -> %d told %s copper %s\n",
          truth.Length(), seen->length.value, seen->length.u95, truth.width_mm, seen->width.value, seen->width.u95,
          truth.crossed, seen->conductors, Name(seen->conductors_told), Name(seen->copper));
    }
  }

  void Nicks(const BoardPicture& picture, const DamagedSet& set) {
    for (const auto& truth : set.drawn.nicks) {
      const auto seen = MeasureEdge(picture, set.drawn.described, truth.edge);
      const Departure* best = nullptr;
      if (seen) {
        for (const auto& one : seen->departures) {
          if (one.inwards && one.from_mm < truth.at_mm + 1.0 && one.to_mm > truth.at_mm - 1.0) best = &one;
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
      depth.Add(off, best->depth.u95);
      if (std::abs(off) > 0.15) ++depth_off;
      if (std::getenv("LIEFLAT_SHOW") != nullptr)
        std::printf("  nick %s at %.1f depth %.2f -> %.2f +- %.2f told %.2f scatter %.3f departures %zu\n",
          Name(truth.edge), truth.at_mm, truth.depth_mm, best->depth.value, best->depth.u95, seen->told_share, seen->scatter_mm, seen->departures.size());
    }
  }
};

void Print(const Damaged& d) {
  for (const Tally* one : {&d.scale, &d.length, &d.width, &d.depth}) one->Print();
  std::printf("pictures %d; off: length %d, width %d, depth %d; unseen: scratches %d, nicks %d (%d not told); crossings %d of %d off\n",
    d.pictures, d.length_off, d.width_off, d.depth_off, d.scratches_unseen, d.nicks_unseen, d.nicks_not_told, d.crossings_off, d.crossings);
}

TEST(BoardPicture, MeasuresKnownDamage) {
  Damaged damaged;
  const int count = testing::Count(3, 40);
  for (int i = 0; i < count; ++i) {
    damaged.Run(i < 20 ? static_cast<std::uint64_t>(1 + i) : static_cast<std::uint64_t>(80 + i));
    if (HasFatalFailure()) return;
  }
  Print(damaged);
}

}  // namespace
}  // namespace lieflat
