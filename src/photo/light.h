#pragma once
// Light at a place of a grey picture: pixel centres at whole numbers, the sRGB curve undone
// (blurred edges creep into the dark side of coded values, by up to a pixel).

#include <array>
#include <cmath>

#include <Eigen/Core>

#include "lieflat/photo/picture.h"

namespace lieflat::internal {

/// 0 .. 1 by IEC 61966-2-1.
const std::array<float, 256>& LinearLight();

class Light {
 public:
  explicit Light(const Picture& grey) : picture_(grey), linear_(LinearLight()) {}

  [[nodiscard]] bool Inside(const Eigen::Vector2d& at, double margin = 1.0) const {
    return at.x() >= margin && at.y() >= margin && at.x() <= picture_.width - 1 - margin &&
           at.y() <= picture_.height - 1 - margin;
  }
  /// Bilinear. The place must be inside by a pixel.
  [[nodiscard]] double operator()(double x, double y) const {
    const int x0 = static_cast<int>(x), y0 = static_cast<int>(y);
    const double u = x - x0, v = y - y0;
    const std::uint8_t* const upper = picture_.Row(y0) + x0;
    const std::uint8_t* const lower = upper + picture_.width;
    const double top = (1.0 - u) * static_cast<double>(linear_[upper[0]]) +
                       u * static_cast<double>(linear_[upper[1]]);
    const double bottom = (1.0 - u) * static_cast<double>(linear_[lower[0]]) +
                          u * static_cast<double>(linear_[lower[1]]);
    return (1.0 - v) * top + v * bottom;
  }
  [[nodiscard]] double operator()(const Eigen::Vector2d& at) const {
    return (*this)(at.x(), at.y());
  }
  [[nodiscard]] int width() const { return picture_.width; }
  [[nodiscard]] int height() const { return picture_.height; }

 private:
  const Picture& picture_;
  const std::array<float, 256>& linear_;
};

}  // namespace lieflat::internal
