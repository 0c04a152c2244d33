// A board against a sound one of its kind: what is missing, displaced, damaged.

#include <algorithm>
#include <cmath>
#include <memory>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/photo/picture_measures.h"

#include "photo/in_ring.h"
#include "photo/order_statistics.h"
#include "photo/picture_grid.h"
#include "photo/registration.h"

namespace lieflat {
namespace {

using internal::BoxMean;
using internal::Correlation;
using internal::Grid;
using internal::HighPass;
using internal::kGridMm;
using internal::kKinds;
using internal::Layers;
using internal::OnGrid;

/// Mine less sound with the slowly varying part (light, cast) out: the distance from what the
/// sound picture shows within a grid step, so that an edge that is not quite in place counts for
/// nothing.
Grid Difference(const Grid& mine, const Grid& sound) {
  Grid plain(mine.columns, mine.rows);
  std::vector<float> few;
  for (std::size_t i = 0; i < plain.values.size(); ++i) {
    plain.values[i] = mine.values[i] - sound.values[i];
    if (i % 17 == 0) few.push_back(plain.values[i]);
  }
  const float middle = internal::Median(few);
  constexpr float kClip = 0.25F;
  Grid clipped = plain;
  for (float& v : clipped.values) v = std::clamp(v - middle, -kClip, kClip);
  const Grid slow = BoxMean(BoxMean(clipped, 40), 40);
  Grid out(mine.columns, mine.rows);
  for (int j = 0; j < mine.rows; ++j) {
    for (int i = 0; i < mine.columns; ++i) {
      const float here = mine.At(i, j) - middle - slow.At(i, j);
      float low = sound.At(i, j), high = low;
      for (int b = -1; b <= 1; ++b) {
        for (int a = -1; a <= 1; ++a) {
          if (!sound.Has(i + a, j + b)) continue;
          low = std::min(low, sound.At(i + a, j + b));
          high = std::max(high, sound.At(i + a, j + b));
        }
      }
      out.At(i, j) = here > high ? here - high : here < low ? here - low : 0.0F;
    }
  }
  return out;
}

/// Inside the outline and clear of it.
bool OnBoard(const Board& board, const Eigen::Vector2d& p, double inset) {
  const auto& ring = board.outline_mm;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const auto &a = ring[i], &b = ring[j];
    const Eigen::Vector2d d = a - b;
    const double share = std::clamp((p - b).dot(d) / d.squaredNorm(), 0.0, 1.0);
    if ((p - b - share * d).norm() < inset) return false;
  }
  return internal::InRing(ring, p);
}

class Comparer {
 public:
  Comparer(const BoardPicture& mine, const BoardPicture& sound, const Board& board)
      : mine_picture_(mine), sound_picture_(sound), board_(board) {}

  Result<Comparison> Run() {
    const auto [low, high] = board_.Box();
    low_ = low;
    const Eigen::Vector2d size = high - low;
    const int columns = static_cast<int>(size.x() / kGridMm) + 1,
              rows = static_cast<int>(size.y() / kGridMm) + 1;
    sound_ = OnGrid(sound_picture_, low, columns, rows);
    const Layers raw = OnGrid(mine_picture_, low, columns, rows);
    const auto registered = internal::Register(raw[0], sound_[0]);
    constexpr double kWorstMm = 0.6;
    if (!registered || registered->rms_mm > kWorstMm) {
      return Error{ErrorCode::kNoFigure,
                   "--against",
                   "the two pictures do not fit onto each other",
                   "is it a board of the same kind, the same side up, the same way round?"};
    }
    out_.registration_rms_mm = registered->rms_mm;
    mine_ = internal::Warped(raw, *registered);
    Judge();
    return out_;
  }

 private:
  void Judge() {
    Grid stands(mine_[0].columns, mine_[0].rows);
    for (std::size_t k = 0; k < kKinds; ++k) {
      Grid off = BoxMean(Difference(mine_[k], sound_[k]), 1);
      std::vector<float> size;
      for (std::size_t i = 0; i < off.values.size(); i += 7)
        size.push_back(std::abs(off.values[i]));
      std::nth_element(size.begin(),
                       size.begin() + static_cast<std::ptrdiff_t>(size.size() * 9 / 10),
                       size.end());
      const float usual = size[size.size() * 9 / 10];
      const float floor = k == 0 ? 0.10F : 0.08F;
      const float sigma = std::max(floor, usual);
      for (std::size_t i = 0; i < off.values.size(); ++i) {
        const float e = off.values[i] / sigma;
        stands.values[i] += e * e;
      }
    }
    int shared = 0;
    for (int j = 0; j < stands.rows; ++j) {
      for (int i = 0; i < stands.columns; ++i) {
        constexpr double kInset =
            1.2;  // the rim lies where the size was read, to half a millimetre
        if (!OnBoard(board_, Place(i, j), kInset))
          stands.At(i, j) = 0.0F;
        else
          ++shared;
      }
    }
    out_.shared_share = static_cast<double>(shared) * kGridMm * kGridMm / board_.Area();
    structure_mine_ = std::make_unique<Grid>(HighPass(mine_[0], 1.2));
    structure_sound_ = std::make_unique<Grid>(HighPass(sound_[0], 1.2));
    Gather(stands);
  }

  [[nodiscard]] Eigen::Vector2d Place(int i, int j) const {
    return low_ + kGridMm * Eigen::Vector2d(i, j);
  }

  struct Spot {
    int i0, j0, i1, j1, count;
    double weight;
  };

  /// Connected places that stand out; those next to each other are one.
  void Gather(const Grid& stands) {
    constexpr float kOut = 4.0F;
    std::vector<bool> seen(stands.values.size(), false);
    std::vector<Spot> spots;
    for (int j = 0; j < stands.rows; ++j) {
      for (int i = 0; i < stands.columns; ++i) {
        std::vector<std::pair<int, int>> open;
        Spot spot{i, j, i, j, 0, 0.0};
        const auto take = [&](int a, int b) {
          if (!stands.Has(a, b)) return;
          const auto at = static_cast<std::size_t>(b * stands.columns + a);
          if (seen[at] || stands.values[at] < kOut) return;
          seen[at] = true;
          open.emplace_back(a, b);
        };
        take(i, j);
        while (!open.empty()) {
          const auto [a, b] = open.back();
          open.pop_back();
          ++spot.count;
          spot.weight += static_cast<double>(stands.At(a, b));
          spot.i0 = std::min(spot.i0, a);
          spot.i1 = std::max(spot.i1, a);
          spot.j0 = std::min(spot.j0, b);
          spot.j1 = std::max(spot.j1, b);
          constexpr int kLeap = 2;
          for (int db = -kLeap; db <= kLeap; ++db)
            for (int da = -kLeap; da <= kLeap; ++da) take(a + da, b + db);
        }
        constexpr int kLeastPlaces = 5;
        if (spot.count >= kLeastPlaces) spots.push_back(spot);
      }
    }
    Merge(spots);
    for (const Spot& spot : spots) Keep(spot);
    std::sort(out_.candidates.begin(), out_.candidates.end(), [](const auto& a, const auto& b) {
      return a.weight > b.weight;
    });
  }

  static void Merge(std::vector<Spot>& spots) {
    constexpr int kGap = 4;
    for (bool merged = true; merged;) {
      merged = false;
      for (std::size_t a = 0; a < spots.size() && !merged; ++a) {
        for (std::size_t b = a + 1; b < spots.size() && !merged; ++b) {
          Spot &p = spots[a], &q = spots[b];
          if (p.i0 - kGap > q.i1 || q.i0 - kGap > p.i1 || p.j0 - kGap > q.j1 || q.j0 - kGap > p.j1)
            continue;
          p = {std::min(p.i0, q.i0),
               std::min(p.j0, q.j0),
               std::max(p.i1, q.i1),
               std::max(p.j1, q.j1),
               p.count + q.count,
               p.weight + q.weight};
          spots.erase(spots.begin() + static_cast<std::ptrdiff_t>(b));
          merged = true;
        }
      }
    }
  }

  static double Contrast(const Grid& grid, const Spot& s, int grow) {
    double sum = 0.0, squares = 0.0;
    int n = 0;
    for (int j = s.j0 - grow; j <= s.j1 + grow; ++j) {
      for (int i = s.i0 - grow; i <= s.i1 + grow; ++i) {
        if (!grid.Has(i, j)) continue;
        const double v = static_cast<double>(grid.At(i, j));
        sum += v;
        squares += v * v;
        ++n;
      }
    }
    return n < 2 ? 0.0 : std::sqrt(std::max(0.0, squares / n - std::pow(sum / n, 2)));
  }

  /// Dirt and reflections leave the pattern below as it is, or lie where there is none.
  void Keep(const Spot& s) {
    constexpr int kGrow = 3;
    const double same = Correlation(*structure_sound_,
                                    *structure_mine_,
                                    s.i0 - kGrow,
                                    s.j0 - kGrow,
                                    s.i1 + kGrow + 1,
                                    s.j1 + kGrow + 1,
                                    0,
                                    0);
    const double contrast =
        std::max(Contrast(*structure_sound_, s, kGrow), Contrast(*structure_mine_, s, kGrow));
    constexpr double kSame = 0.85, kLeastContrast = 0.10;
    constexpr double kPlain = 15.0;  // so far out no dirt lies, whatever the pattern
    const double mean = s.weight / s.count;
    if ((same > kSame && mean < kPlain) || contrast < kLeastContrast) return;
    Candidate one;
    one.low_mm = Place(s.i0, s.j0);
    one.high_mm = Place(s.i1, s.j1);
    one.weight = s.weight * (1.0 - std::max(0.0, same));
    one.moved_mm = FoundAgain(s);
    const double reach = 0.5;
    for (const Part& part : board_.parts) {
      if (!part.has_place() || part.side != mine_picture_.side) continue;
      const auto corners = part.Footprint(reach);
      Eigen::Vector2d low = corners[0], high = corners[0];
      for (const auto& c : corners) {
        low = low.cwiseMin(c);
        high = high.cwiseMax(c);
      }
      if (low.x() < one.high_mm.x() && low.y() < one.high_mm.y() && high.x() > one.low_mm.x() &&
          high.y() > one.low_mm.y())
        one.parts.push_back(part.ref);
    }
    out_.candidates.push_back(one);
  }

  /// Where the sound board's pattern is found again within 3 mm.
  [[nodiscard]] std::optional<Eigen::Vector2d> FoundAgain(const Spot& s) const {
    if ((s.i1 - s.i0) * (s.j1 - s.j0) > 10000) return std::nullopt;
    constexpr int kReach = 15, kNear = 2;
    constexpr double kFound = 0.85;
    double best = kFound;
    std::optional<Eigen::Vector2d> found;
    for (int dj = -kReach; dj <= kReach; ++dj) {
      for (int di = -kReach; di <= kReach; ++di) {
        if (std::abs(di) <= kNear && std::abs(dj) <= kNear) continue;
        const double c = Correlation(
            *structure_sound_, *structure_mine_, s.i0, s.j0, s.i1 + 1, s.j1 + 1, di, dj);
        if (c > best) {
          best = c;
          found = kGridMm * Eigen::Vector2d(di, dj);
        }
      }
    }
    return found;
  }

  const BoardPicture& mine_picture_;
  const BoardPicture& sound_picture_;
  const Board& board_;
  Eigen::Vector2d low_;
  Layers sound_, mine_;
  std::unique_ptr<Grid> structure_mine_, structure_sound_;
  Comparison out_;
};

}  // namespace

Result<Comparison> CompareWithSound(const BoardPicture& mine,
                                    const BoardPicture& sound,
                                    const Board& board) {
  return Comparer(mine, sound, board).Run();
}

}  // namespace lieflat
