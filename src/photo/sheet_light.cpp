#include "photo/sheet_light.h"

#include <algorithm>
#include <memory>

#include "lieflat/photo/standing.h"

#include "photo/light.h"

namespace lieflat {
namespace internal {
namespace {

/// The paper's height along the stand line; it changes slowly, so that this is enough beside it.
class LineHeight {
 public:
  LineHeight(const PaperHeight& paper, const MatLayout& mat) {
    for (double at = 0.0; at <= mat.width_mm() + kStep; at += kStep)
      heights_.push_back(paper.At({at, mat.LineY()}));
  }
  [[nodiscard]] double At(double x) const {
    const double g = std::clamp(x / kStep, 0.0, static_cast<double>(heights_.size()) - 1.001);
    const auto k = static_cast<std::size_t>(g);
    const double share = g - static_cast<double>(k);
    return (1.0 - share) * heights_[k] + share * heights_[k + 1];
  }

 private:
  static constexpr double kStep = 4.0;
  std::vector<double> heights_;
};

}  // namespace

LightInSpace LightOfSpace(const Picture& weakest, const Lens& lens, const Shot& shot) {
  // A portrait photo was solved turned by a quarter.
  const bool turned = weakest.height > weakest.width;
  const int width = turned ? weakest.height : weakest.width;
  const int height = turned ? weakest.width : weakest.height;
  const Eigen::Vector2d middle(0.5 * (width - 1), 0.5 * (height - 1));
  const auto light = std::make_shared<Light>(weakest);
  const Lens* const own_lens = &lens;
  const Shot* const own_shot = &shot;
  return [=](const Eigen::Vector3d& at) -> std::optional<double> {
    const auto seen = Project(*own_lens, *own_shot, at);
    if (!seen) return std::nullopt;
    Eigen::Vector2d px = *seen + middle;
    if (turned) px = Eigen::Vector2d(height - 1 - px.y(), px.x());
    if (!light->Inside(px)) return std::nullopt;
    return (*light)(px);
  };
}

SheetLight LightOfSheet(const Picture& weakest,
                        const Lens& lens,
                        const Shot& shot,
                        const PaperHeight& paper,
                        const MatLayout& mat) {
  const auto line = std::make_shared<LineHeight>(paper, mat);
  const LightInSpace light = LightOfSpace(weakest, lens, shot);
  return [=](double x, double y) { return light({x, y, line->At(x)}); };
}

}  // namespace internal

Picture WeakestChannel(const Picture& colour) {
  Picture out = colour;
  if (colour.channels == 1) return out;
  out.channels = 1;
  const auto count =
      static_cast<std::size_t>(colour.width) * static_cast<std::size_t>(colour.height);
  out.pixels.resize(count);
  for (std::size_t i = 0; i < count; ++i) {
    const std::uint8_t* const p = colour.pixels.data() + 3 * i;
    out.pixels[i] = std::min({p[0], p[1], p[2]});
  }
  return out;
}

}  // namespace lieflat
