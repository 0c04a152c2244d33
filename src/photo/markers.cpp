#include "photo/markers.h"

#include <algorithm>
#include <bit>

#include "photo/homography.h"

namespace lieflat::internal {
namespace {

/// Patterns by first look-up of all their turns; a word in the photo may be wrong in a few cells.
class Lookup {
 public:
  explicit Lookup(const MarkerFamily& family)
      : bits_(family.bits), allowed_((family.distance - 1) / 3) {
    for (std::size_t id = 0; id < family.words.size(); ++id) {
      std::uint64_t word = family.words[id];
      for (int turn = 0; turn < 4; ++turn) {
        forms_.push_back({word, static_cast<int>(id), turn});
        word = Turned(word);
      }
    }
  }
  struct Match {
    int id = -1, turns = 0;
  };
  [[nodiscard]] Match Find(std::uint64_t seen) const {
    for (const Form& form : forms_) {
      if (std::popcount(form.word ^ seen) <= allowed_) return {form.id, form.turns};
    }
    return {};
  }
  [[nodiscard]] std::uint64_t Mirrored(std::uint64_t word) const {
    std::uint64_t out = 0;
    for (int row = 0; row < bits_; ++row) {
      for (int column = 0; column < bits_; ++column) {
        out = out << 1U | (word >> Place(row, bits_ - 1 - column) & 1U);
      }
    }
    return out;
  }
  [[nodiscard]] int bits() const { return bits_; }

 private:
  struct Form {
    std::uint64_t word;
    int id, turns;
  };
  [[nodiscard]] int Place(int row, int column) const {
    return bits_ * bits_ - 1 - (row * bits_ + column);
  }
  /// A quarter to the right.
  [[nodiscard]] std::uint64_t Turned(std::uint64_t word) const {
    std::uint64_t out = 0;
    for (int row = 0; row < bits_; ++row) {
      for (int column = 0; column < bits_; ++column) {
        out = out << 1U | (word >> Place(bits_ - 1 - column, row) & 1U);
      }
    }
    return out;
  }
  int bits_, allowed_;
  std::vector<Form> forms_;
};

/// The cells of a pattern with its border, by a homography from the unit square; nothing where the
/// quad leaves the picture, shows no contrast, or its border is not black.
std::optional<std::uint64_t> ReadWord(const Light& light, const Quad& quad, int bits) {
  const int cells = bits + 2;
  const std::array<Eigen::Vector2d, 4> unit = {Eigen::Vector2d(0, 0), {1, 0}, {1, 1}, {0, 1}};
  std::vector<PointPair> pairs;
  for (std::size_t i = 0; i < 4; ++i) pairs.push_back({unit[i], quad[i]});
  const Eigen::Matrix3d h = FitHomography(pairs);
  std::vector<double> values;
  for (int row = 0; row < cells; ++row) {
    for (int column = 0; column < cells; ++column) {
      double sum = 0.0;
      for (const auto& [dx, dy] :
           {std::pair{0.0, 0.0}, {-0.2, -0.2}, {0.2, -0.2}, {0.2, 0.2}, {-0.2, 0.2}}) {
        const Eigen::Vector2d at = Map(h, {(column + 0.5 + dx) / cells, (row + 0.5 + dy) / cells});
        if (!light.Inside(at)) return std::nullopt;
        sum += light(at);
      }
      values.push_back(sum / 5.0);
    }
  }
  const auto border = [&](int row, int column) {
    return row == 0 || column == 0 || row == cells - 1 || column == cells - 1;
  };
  double dark = 0.0, bright = 0.0;
  int border_cells = 0;
  for (int row = 0; row < cells; ++row) {
    for (int column = 0; column < cells; ++column) {
      const double value = values[static_cast<std::size_t>(row * cells + column)];
      bright = std::max(bright, value);
      if (border(row, column)) {
        dark += value;
        ++border_cells;
      }
    }
  }
  dark /= border_cells;
  if (bright < 1.6 * dark + 0.01) return std::nullopt;
  // Light adds up where a bright cell's blur reaches into a dark one: the middle of linear light.
  const double threshold = dark + 0.45 * (bright - dark);
  int wrong = 0;
  std::uint64_t word = 0;
  for (int row = 0; row < cells; ++row) {
    for (int column = 0; column < cells; ++column) {
      const bool white = values[static_cast<std::size_t>(row * cells + column)] > threshold;
      if (border(row, column)) {
        wrong += white ? 1 : 0;
      } else {
        word = word << 1U | (white ? 1U : 0U);
      }
    }
  }
  if (wrong > 1) return std::nullopt;
  return word;
}

/// Two finds of the same spot (by two window sizes) are one.
void AddUnlessThere(std::vector<SeenMarker>& markers, SeenMarker marker) {
  for (const auto& other : markers) {
    if (other.id == marker.id && (other.corners[0] - marker.corners[0]).norm() <
                                     0.5 * (marker.corners[1] - marker.corners[0]).norm()) {
      return;
    }
  }
  markers.push_back(std::move(marker));
}

/// The quad's corners in the printed order. A pattern that matches after `turns` quarter turns to
/// the right shows its own top left at the quad's corner `turns`.
SeenMarker Named(const Quad& quad, int id, int turns) {
  SeenMarker marker;
  marker.id = id;
  for (std::size_t i = 0; i < 4; ++i) {
    marker.corners[i] = quad[(i + static_cast<std::size_t>(turns)) % 4];
  }
  return marker;
}

}  // namespace

SeenMarkers FindMarkers(const Picture& grey, const MarkerFamily& mat, const MarkerFamily& sticker) {
  const Lookup mats(mat), stickers(sticker);
  const Light light(grey);
  SeenMarkers seen;
  std::vector<SeenMarker> mirrored;
  constexpr int kWideWindows = 16, kNarrowWindows = 60;
  for (const int windows : {kWideWindows, kNarrowWindows}) {
    for (const Quad& quad : DarkSquares(grey, windows)) {
      if (const auto word = ReadWord(light, quad, mats.bits())) {
        if (const auto match = mats.Find(*word); match.id >= 0) {
          AddUnlessThere(seen.mat, Named(quad, match.id, match.turns));
          continue;
        }
        if (const auto match = mats.Find(mats.Mirrored(*word)); match.id >= 0)
          AddUnlessThere(mirrored, Named(quad, match.id, 0));
      }
      if (const auto word = ReadWord(light, quad, stickers.bits())) {
        if (const auto match = stickers.Find(*word); match.id >= 0) {
          AddUnlessThere(seen.stickers, Named(quad, match.id, match.turns));
        }
      }
    }
  }
  // Each once, however many windows showed it.
  seen.mirrored = static_cast<int>(mirrored.size());
  return seen;
}

}  // namespace lieflat::internal
