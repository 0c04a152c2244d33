#pragma once
// A phone that takes rendered photos: lens with distortion, what no lens model knows, focus that
// breathes, a stabiliser that shifts, blur, noise, sharpening, the sRGB curve, JPEG.

#include "support/render/scene.h"

namespace lieflat::testing {

struct Phone {
  int width = 4000, height = 3000;
  double f_share = 0.751;     ///< focal length over the width: 26 mm in terms of a 36 mm frame
  double cx = 0.0, cy = 0.0;  ///< of the principal point from the middle, px
  double k1 = 0.0, k2 = 0.0, p1 = 0.0, p2 = 0.0;
  /// Smooth error that no model of the measuring code has: its largest shift, px.
  double unknown_px = 0.0;
  Eigen::Vector4d unknown_phase = Eigen::Vector4d(0.3, 1.1, 2.0, 0.7);
  double blur_px = 1.0;  ///< standard deviation of lens blur and defocus together
  double noise = 0.006;  ///< standard deviation at white, linear light; goes with its root
  double sharpen = 0.3;
  double exposure = 0.95;  ///< white paper's linear value
  int quality = 92;
  bool colour = false;
  Colour cast = Colour(1.0F, 1.0F, 1.0F);  ///< of the light, in colour only
};

struct Pose {
  Eigen::Matrix3d rotation;  ///< camera (x right, y down, z into the picture) from world
  Eigen::Vector3d centre;    ///< world
  double df_share = 0.0, dcx = 0.0, dcy = 0.0;
};

/// A camera that looks at `target` from `distance`, `elevation` above the table, from the side
/// `azimuth` (0: from -y, so that the picture is upright), rolled by `roll`. Angles in rad.
Pose LookFrom(
    const Eigen::Vector3d& target, double distance, double elevation, double azimuth, double roll);

struct ExifTags {
  int orientation = 1;
  int focal_35mm = 0;  ///< 0: none
};

/// The photo as a JPEG file.
std::string TakePhoto(const Scene& scene,
                      const Phone& phone,
                      const Pose& pose,
                      Random& random,
                      const ExifTags& exif = {});

/// Where the phone sees a point of the world, px from the first pixel's centre: exact truth.
Eigen::Vector2d TruePixel(const Phone& phone, const Pose& pose, const Eigen::Vector3d& world);

/// The APP1 segment of an EXIF block with these tags.
std::string ExifSegment(const ExifTags& tags, bool big_endian = false);

}  // namespace lieflat::testing
