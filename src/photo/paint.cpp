#include "photo/paint.h"

#include <cmath>

namespace lieflat::internal {

Rgb Colours3::operator()(const Eigen::Vector2d& at) const {
  const int x0 = static_cast<int>(at.x()), y0 = static_cast<int>(at.y());
  const double u = at.x() - x0, v = at.y() - y0;
  const std::uint8_t* const upper = picture_.Row(y0) + std::ptrdiff_t{3} * x0;
  const std::uint8_t* const lower = upper + std::ptrdiff_t{3} * picture_.width;
  Rgb out;
  for (int k = 0; k < 3; ++k) {
    const double top = (1.0 - u) * static_cast<double>(linear_[upper[k]]) +
                       u * static_cast<double>(linear_[upper[k + 3]]);
    const double bottom = (1.0 - u) * static_cast<double>(linear_[lower[k]]) +
                          u * static_cast<double>(linear_[lower[k + 3]]);
    out[k] = (1.0 - v) * top + v * bottom;
  }
  return out;
}

BoardFace::BoardFace(const Board& board,
                     Side up,
                     std::function<double(const Eigen::Vector2d&)> warp)
    : mirror_(up == Side::kComponent ? 1.0 : -1.0), warp_(std::move(warp)) {
  const auto [low, high] = board.Box();
  middle_ = 0.5 * (low + high);
}

Eigen::Vector3d BoardFace::World(const BoardPlace& place, const Eigen::Vector2d& in_board) const {
  Eigen::Vector2d own = place.scale * (in_board - middle_);
  own.x() *= mirror_;
  const double c = std::cos(place.turned_rad), s = std::sin(place.turned_rad);
  const double height = warp_ ? mirror_ * warp_(in_board) : 0.0;
  return {place.at_mm.x() + c * own.x() - s * own.y(),
          place.at_mm.y() + s * own.x() + c * own.y(),
          place.height_mm + place.slope_x * own.x() + place.slope_y * own.y() + height};
}

namespace {

/// Bilinear in the coded values, which are the picture's own.
void Copy(const Picture& photo, double x, double y, std::uint8_t* to) {
  if (!(x >= 0.0 && y >= 0.0 && x < photo.width - 1 && y < photo.height - 1)) {
    to[0] = to[1] = to[2] = 0;
    return;
  }
  const int x0 = static_cast<int>(x), y0 = static_cast<int>(y);
  const int u = static_cast<int>((x - x0) * 256.0), v = static_cast<int>((y - y0) * 256.0);
  const std::uint8_t* const upper = photo.Row(y0) + std::ptrdiff_t{3} * x0;
  const std::uint8_t* const lower = upper + std::ptrdiff_t{3} * photo.width;
  for (int k = 0; k < 3; ++k) {
    const int top = (256 - u) * upper[k] + u * upper[k + 3];
    const int bottom = (256 - u) * lower[k] + u * lower[k + 3];
    to[k] = static_cast<std::uint8_t>(((256 - v) * top + v * bottom + 32768) >> 16);
  }
}

}  // namespace

Picture PaintFace(const Picture& photo,
                  const Camera& camera,
                  const BoardFace& face,
                  const BoardPlace& place,
                  const Eigen::Vector2d& low_mm,
                  double mm_per_px,
                  int width,
                  int height) {
  Picture out;
  out.width = width;
  out.height = height;
  out.channels = 3;
  out.kind = "PNG";
  out.pixels.resize(3 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
  constexpr int kCell = 20;  // px: a bilinear camera is off by under 0.01 px over 2 mm
  const int columns = (width + kCell - 1) / kCell;
  const auto node = [&](int i, int j) {
    const Eigen::Vector2d at =
        low_mm + mm_per_px * Eigen::Vector2d(i * kCell, height - 1 - j * kCell);
    return camera.See(face.World(place, at));
  };
  std::vector<Eigen::Vector2d> above, below;
  for (int i = 0; i <= columns; ++i) below.push_back(node(i, 0));
  for (int y = 0; y < height; ++y) {
    if (y % kCell == 0) {
      above = below;
      for (int i = 0; i <= columns; ++i)
        below[static_cast<std::size_t>(i)] = node(i, y / kCell + 1);
    }
    const double v = static_cast<double>(y % kCell) / kCell;
    std::uint8_t* to = out.pixels.data() + std::ptrdiff_t{3} * y * width;
    for (int i = 0; i < columns; ++i) {
      const auto at = static_cast<std::size_t>(i);
      const Eigen::Vector2d left = (1.0 - v) * above[at] + v * below[at];
      const Eigen::Vector2d right = (1.0 - v) * above[at + 1] + v * below[at + 1];
      const Eigen::Vector2d step = (right - left) / kCell;
      Eigen::Vector2d p = left;
      for (int x = i * kCell; x < std::min(width, (i + 1) * kCell); ++x, to += 3, p += step)
        Copy(photo, p.x(), p.y(), to);
    }
  }
  return out;
}

}  // namespace lieflat::internal
