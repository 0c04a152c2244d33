#pragma once
// Colour at a place of a picture; the face of a board seen by a solved camera.

#include <array>
#include <functional>
#include <vector>

#include "lieflat/board/board.h"
#include "lieflat/photo/bundle.h"

#include "photo/light.h"

namespace lieflat::internal {

using Rgb = Eigen::Vector3d;  ///< linear light, 0 .. 1

/// Bilinear, the sRGB curve undone. Pixel centres at whole numbers.
class Colours3 {
 public:
  explicit Colours3(const Picture& rgb) : picture_(rgb), linear_(LinearLight()) {}
  [[nodiscard]] bool Inside(const Eigen::Vector2d& at, double margin = 1.0) const {
    return at.x() >= margin && at.y() >= margin && at.x() <= picture_.width - 1 - margin &&
           at.y() <= picture_.height - 1 - margin;
  }
  [[nodiscard]] Rgb operator()(const Eigen::Vector2d& at) const;

 private:
  const Picture& picture_;
  const std::array<float, 256>& linear_;
};

/// One photo with its solved camera.
struct Camera {
  Lens lens;
  Shot shot;
  Eigen::Vector2d middle_px;
  [[nodiscard]] Eigen::Vector3d Centre() const {
    return -(shot.rotation.transpose() * shot.position);
  }
  /// Pixels from the first one's centre; far outside for what lies behind the camera.
  [[nodiscard]] Eigen::Vector2d See(const Eigen::Vector3d& world) const {
    const auto at = Project(lens, shot, world);
    return at ? Eigen::Vector2d(*at + middle_px) : Eigen::Vector2d(-1e6, -1e6);
  }
};

/// Where the board lies: world (the sheet's frame) from board frame. Turning is about the outline's
/// middle; tilts are slopes of its plane.
struct BoardPlace {
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< of the outline's middle
  double turned_rad = 0.0, height_mm = 0.0, slope_x = 0.0, slope_y = 0.0, scale = 1.0;
};

/// The face of a board, in a place.
class BoardFace {
 public:
  BoardFace(const Board& board, Side up, std::function<double(const Eigen::Vector2d&)> warp);
  [[nodiscard]] Eigen::Vector3d World(const BoardPlace& place,
                                      const Eigen::Vector2d& in_board) const;
  [[nodiscard]] const Eigen::Vector2d& middle() const { return middle_; }

 private:
  Eigen::Vector2d middle_;
  double mirror_ = 1.0;
  std::function<double(const Eigen::Vector2d&)> warp_;
};

/// The picture of the face: every pixel by way of the camera, exact on a grid of 2 mm.
Picture PaintFace(const Picture& photo,
                  const Camera& camera,
                  const BoardFace& face,
                  const BoardPlace& place,
                  const Eigen::Vector2d& low_mm,
                  double mm_per_px,
                  int width,
                  int height);

}  // namespace lieflat::internal
