// A board against a sound one of its kind: what is missing, displaced, damaged.

#include <algorithm>
#include <cmath>
#include <memory>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/photo/picture_measures.h"

#include "photo/light.h"

namespace lieflat {
namespace {

constexpr double kGridMm = 0.2;
constexpr int kKinds = 3;  // light, red against green, blue against green; logarithms

/// Values on a grid over the board's box.
struct Grid {
  int columns = 0, rows = 0;
  std::vector<float> values;
  Grid(int c, int r) : columns(c), rows(r), values(static_cast<std::size_t>(c * r), 0.0F) {}
  [[nodiscard]] float& At(int i, int j) {
    return values[static_cast<std::size_t>(j * columns + i)];
  }
  [[nodiscard]] float At(int i, int j) const {
    return values[static_cast<std::size_t>(j * columns + i)];
  }
  [[nodiscard]] bool Has(int i, int j) const { return i >= 0 && j >= 0 && i < columns && j < rows; }
  [[nodiscard]] float Between(double x, double y) const {
    const double cx = std::clamp(x, 0.0, columns - 1.001), cy = std::clamp(y, 0.0, rows - 1.001);
    const int i = static_cast<int>(cx), j = static_cast<int>(cy);
    const float u = static_cast<float>(cx - i), v = static_cast<float>(cy - j);
    return (1 - v) * ((1 - u) * At(i, j) + u * At(i + 1, j)) +
           v * ((1 - u) * At(i, j + 1) + u * At(i + 1, j + 1));
  }
};
using Layers = std::vector<Grid>;

/// Mean over a square window, by running sums; shorter at the rims.
Grid BoxMean(const Grid& in, int reach) {
  Grid across(in.columns, in.rows), out(in.columns, in.rows);
  const auto run = [reach](int n, const auto& get, const auto& put) {
    double sum = 0.0;
    int first = 0, last = -1;
    for (int i = 0; i < n; ++i) {
      while (last < std::min(n - 1, i + reach)) sum += static_cast<double>(get(++last));
      while (first < i - reach) sum -= static_cast<double>(get(first++));
      put(i, static_cast<float>(sum / (last - first + 1)));
    }
  };
  for (int j = 0; j < in.rows; ++j) {
    run(
        in.columns,
        [&](int i) { return in.At(i, j); },
        [&](int i, float v) { across.At(i, j) = v; });
  }
  for (int i = 0; i < in.columns; ++i) {
    run(
        in.rows, [&](int j) { return across.At(i, j); }, [&](int j, float v) { out.At(i, j) = v; });
  }
  return out;
}

float MedianOf(std::vector<float> values) {
  if (values.empty()) return 0.0F;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The picture on the grid, 2 x 2 pixels a place, as logarithms.
Layers OnGrid(const BoardPicture& p, const Eigen::Vector2d& low, int columns, int rows) {
  const auto& linear = internal::LinearLight();
  Layers out(kKinds, Grid(columns, rows));
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      const Eigen::Vector2d px = p.ToPx(low + kGridMm * Eigen::Vector2d(i, j));
      const int x0 = static_cast<int>(std::floor(px.x())),
                y0 = static_cast<int>(std::floor(px.y()));
      float sum[3] = {0.0F, 0.0F, 0.0F};
      for (int y = y0; y < y0 + 2; ++y) {
        for (int x = x0; x < x0 + 2; ++x) {
          const std::uint8_t* const at = p.picture.Row(std::clamp(y, 0, p.picture.height - 1)) +
                                         std::ptrdiff_t{3} * std::clamp(x, 0, p.picture.width - 1);
          for (int k = 0; k < 3; ++k) sum[k] += linear[at[k]];
        }
      }
      constexpr float kDark = 0.03F;  // under it noise rules
      float c[3];
      for (int k = 0; k < 3; ++k) c[k] = std::log(0.25F * sum[k] + kDark);
      out[0].At(i, j) = (c[0] + c[1] + c[2]) / 3.0F;
      out[1].At(i, j) = c[0] - c[1];
      out[2].At(i, j) = c[2] - c[1];
    }
  }
  return out;
}

Grid HighPass(const Grid& in, double reach_mm) {
  const Grid low = BoxMean(in, static_cast<int>(reach_mm / kGridMm));
  Grid out = in;
  for (std::size_t i = 0; i < out.values.size(); ++i) out.values[i] -= low.values[i];
  return out;
}

/// Normalised cross-correlation of a box of `a` with `b` shifted; contrast of the box of a beside.
double Correlation(const Grid& a, const Grid& b, int i0, int j0, int i1, int j1, int di, int dj) {
  double sa = 0, sb = 0, saa = 0, sbb = 0, sab = 0;
  int n = 0;
  for (int j = j0; j < j1; ++j) {
    for (int i = i0; i < i1; ++i) {
      if (!a.Has(i, j) || !b.Has(i + di, j + dj)) continue;
      const double x = static_cast<double>(a.At(i, j)),
                   y = static_cast<double>(b.At(i + di, j + dj));
      sa += x;
      sb += y;
      saa += x * x;
      sbb += y * y;
      sab += x * y;
      ++n;
    }
  }
  if (n < 4) return 0.0;
  const double va = saa - sa * sa / n, vb = sbb - sb * sb / n;
  return va > 1e-9 && vb > 1e-9 ? (sab - sa * sb / n) / std::sqrt(va * vb) : 0.0;
}

struct Registration {
  Eigen::Matrix<double, 2, 3> mine_of_sound;  ///< grid units: x' = M (x, y, 1)
  double rms_mm = 0.0;
};

/// Tiles matched by correlation, an affine map through them by robust least squares.
std::optional<Registration> Register(const Grid& mine, const Grid& sound) {
  const Grid a = HighPass(sound, 2.0), b = HighPass(mine, 2.0);
  constexpr int kTile = 50, kReach = 10;
  struct Match {
    Eigen::Vector2d at, to;
  };
  std::vector<Match> matches;
  for (int j = 0; j + kTile <= a.rows; j += kTile) {
    for (int i = 0; i + kTile <= a.columns; i += kTile) {
      double best = -1.0;
      int bi = 0, bj = 0;
      const auto at = [&](int di, int dj) {
        return Correlation(a, b, i, j, i + kTile, j + kTile, di, dj);
      };
      for (int dj = -kReach; dj <= kReach; dj += 2) {
        for (int di = -kReach; di <= kReach; di += 2) {
          if (const double c = at(di, dj); c > best) {
            best = c;
            bi = di;
            bj = dj;
          }
        }
      }
      for (int pass = 0; pass < 2; ++pass) {
        const int ci = bi, cj = bj;
        for (int dj = cj - 1; dj <= cj + 1; ++dj) {
          for (int di = ci - 1; di <= ci + 1; ++di) {
            if (const double c = at(di, dj); c > best) {
              best = c;
              bi = di;
              bj = dj;
            }
          }
        }
      }
      constexpr double kGood = 0.5;
      if (best < kGood) continue;
      const auto peak = [](double l, double m, double r) {
        const double bend = l - 2.0 * m + r;
        return bend < 0.0 ? std::clamp(0.5 * (l - r) / bend, -0.5, 0.5) : 0.0;
      };
      const Eigen::Vector2d middle(i + 0.5 * kTile, j + 0.5 * kTile);
      matches.push_back(
          {middle,
           middle + Eigen::Vector2d(bi + peak(at(bi - 1, bj), best, at(bi + 1, bj)),
                                    bj + peak(at(bi, bj - 1), best, at(bi, bj + 1)))});
    }
  }
  constexpr std::size_t kLeast = 8;
  if (matches.size() < kLeast) return std::nullopt;
  Registration out;
  out.mine_of_sound << 1, 0, 0, 0, 1, 0;
  std::vector<double> weight(matches.size(), 1.0);
  for (int pass = 0; pass < 12; ++pass) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Matrix<double, 3, 2> right = Eigen::Matrix<double, 3, 2>::Zero();
    for (std::size_t k = 0; k < matches.size(); ++k) {
      const Eigen::Vector3d row = matches[k].at.homogeneous();
      normal += weight[k] * row * row.transpose();
      right += weight[k] * row * matches[k].to.transpose();
    }
    out.mine_of_sound = normal.ldlt().solve(right).transpose();
    double squares = 0.0, weights = 0.0;
    for (std::size_t k = 0; k < matches.size(); ++k) {
      const double off = (out.mine_of_sound * matches[k].at.homogeneous() - matches[k].to).norm();
      weight[k] = 1.0 / (1.0 + std::pow(off / 0.3, 2));
      squares += weight[k] * off * off;
      weights += weight[k];
    }
    out.rms_mm = kGridMm * std::sqrt(squares / weights);
  }
  return out;
}

Layers Warped(const Layers& mine, const Registration& by) {
  Layers out(kKinds, Grid(mine[0].columns, mine[0].rows));
  for (int j = 0; j < mine[0].rows; ++j) {
    for (int i = 0; i < mine[0].columns; ++i) {
      const Eigen::Vector2d at = by.mine_of_sound * Eigen::Vector3d(i, j, 1.0);
      for (std::size_t k = 0; k < kKinds; ++k) out[k].At(i, j) = mine[k].Between(at.x(), at.y());
    }
  }
  return out;
}

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
  const float middle = MedianOf(few);
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

bool OnBoard(const Board& board, const Eigen::Vector2d& p, double inset) {
  const auto& ring = board.outline_mm;
  bool in = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const auto &a = ring[i], &b = ring[j];
    const Eigen::Vector2d d = a - b;
    const double share = std::clamp((p - b).dot(d) / d.squaredNorm(), 0.0, 1.0);
    if ((p - b - share * d).norm() < inset) return false;
    if ((a.y() > p.y()) != (b.y() > p.y()) &&
        p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
      in = !in;
  }
  return in;
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
    const auto registered = Register(raw[0], sound_[0]);
    constexpr double kWorstMm = 0.6;
    if (!registered || registered->rms_mm > kWorstMm) {
      return Error{ErrorCode::kNoFigure,
                   "--against",
                   "the two pictures do not fit onto each other",
                   "is it a board of the same kind, the same side up, the same way round?"};
    }
    out_.registration_rms_mm = registered->rms_mm;
    mine_ = Warped(raw, *registered);
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
