#include "support/render/phone.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <turbojpeg.h>

namespace lieflat::testing {
namespace {

using Plane = std::vector<float>;

/// Where the unknown error moves a place of the picture, px.
Eigen::Vector2d UnknownShift(const Phone& phone, double x, double y) {
  const Eigen::Vector4d& p = phone.unknown_phase;
  return std::sqrt(0.5) * phone.unknown_px *
         Eigen::Vector2d(std::sin(4.1 * x + 2.3 * y + p[0]) * std::cos(2.9 * y + p[1]),
                         std::cos(3.7 * y - 1.9 * x + p[2]) * std::sin(3.3 * x + p[3]));
}

/// Undistorted direction (x, y, 1) of a distorted one.
Eigen::Vector2d Undistorted(const Phone& phone, const Eigen::Vector2d& seen) {
  Eigen::Vector2d at = seen;
  for (int i = 0; i < 20; ++i) {
    const double x = at.x(), y = at.y(), r2 = x * x + y * y;
    const double radial = 1.0 + r2 * (phone.k1 + r2 * phone.k2);
    const Eigen::Vector2d tangential(2.0 * phone.p1 * x * y + phone.p2 * (r2 + 2.0 * x * x),
                                     phone.p1 * (r2 + 2.0 * y * y) + 2.0 * phone.p2 * x * y);
    at = (seen - tangential) / radial;
  }
  return at;
}

/// Directions of rays, exact on a grid of 8 pixels, bilinear between (error under 0.001 px).
class Rays {
 public:
  Rays(const Phone& phone, const Pose& pose) : pose_(pose) {
    columns_ = phone.width / kStep + 3;
    const int rows = phone.height / kStep + 3;
    const double f = phone.f_share * phone.width * (1.0 + pose.df_share);
    for (int j = 0; j < rows; ++j) {
      for (int i = 0; i < columns_; ++i) {
        const double u = (i - 1) * kStep - 0.5 * (phone.width - 1) - phone.cx - pose.dcx;
        const double v = (j - 1) * kStep - 0.5 * (phone.height - 1) - phone.cy - pose.dcy;
        Eigen::Vector2d seen(u / f, v / f);
        seen -= UnknownShift(phone, seen.x(), seen.y()) / f;
        grid_.push_back(Undistorted(phone, seen));
      }
    }
  }
  /// For a place in px from the first pixel's centre.
  [[nodiscard]] Eigen::Vector3d At(double u, double v) const {
    const double gx = u / kStep + 1.0, gy = v / kStep + 1.0;
    const int i = static_cast<int>(gx), j = static_cast<int>(gy);
    const double a = gx - i, b = gy - j;
    const auto at = static_cast<std::size_t>(j * columns_ + i);
    const auto below = at + static_cast<std::size_t>(columns_);
    const Eigen::Vector2d d = (1 - b) * ((1 - a) * grid_[at] + a * grid_[at + 1]) +
                              b * ((1 - a) * grid_[below] + a * grid_[below + 1]);
    return pose_.rotation.transpose() * Eigen::Vector3d(d.x(), d.y(), 1.0);
  }

 private:
  static constexpr int kStep = 8;
  const Pose& pose_;
  int columns_ = 0;
  std::vector<Eigen::Vector2d> grid_;
};

/// One ray at each corner of a pixel; where they differ, 4 x 4 inside it.
void Expose(const Scene& scene, const Phone& phone, const Pose& pose, std::vector<Plane>& planes) {
  const Rays rays(phone, pose);
  const int w = phone.width, h = phone.height;
  const auto corner_row = [&](int y) {
    std::vector<Met> row;
    row.reserve(static_cast<std::size_t>(w) + 1);
    for (int x = 0; x <= w; ++x) row.push_back(scene.Trace(pose.centre, rays.At(x - 0.5, y - 0.5)));
    return row;
  };
  auto above = corner_row(0);
  std::size_t at = 0;
  constexpr int kFine = 4;
  for (int y = 0; y < h; ++y) {
    auto below = corner_row(y + 1);
    for (int x = 0; x < w; ++x, ++at) {
      const auto i = static_cast<std::size_t>(x);
      const Met &a = above[i], &b = above[i + 1], &c = below[i], &d = below[i + 1];
      Colour colour = 0.25F * (a.colour + b.colour + c.colour + d.colour);
      const auto [low, high] = std::minmax({a.key, b.key, c.key, d.key});
      if (high - low > 1e-3F) {
        colour.setZero();
        for (int j = 0; j < kFine; ++j) {
          for (int k = 0; k < kFine; ++k) {
            const auto ray = rays.At(x - 0.5 + (k + 0.5) / kFine, y - 0.5 + (j + 0.5) / kFine);
            colour += scene.Trace(pose.centre, ray).colour;
          }
        }
        colour /= kFine * kFine;
      }
      if (planes.size() == 1) {
        planes[0][at] = 0.299F * colour[0] + 0.587F * colour[1] + 0.114F * colour[2];
      } else {
        for (std::size_t k = 0; k < 3; ++k) planes[k][at] = colour[static_cast<Eigen::Index>(k)];
      }
    }
    above = std::move(below);
  }
}

void Blur(Plane& plane, int w, int h, double sigma) {
  if (sigma < 0.05) return;
  const int reach = static_cast<int>(std::ceil(3.5 * sigma));
  std::vector<float> kernel;
  float sum = 0.0F;
  for (int i = -reach; i <= reach; ++i) {
    kernel.push_back(static_cast<float>(std::exp(-0.5 * i * i / (sigma * sigma))));
    sum += kernel.back();
  }
  for (float& k : kernel) k /= sum;
  Plane out(plane.size());
  for (int y = 0; y < h; ++y) {
    const float* const row = plane.data() + static_cast<std::ptrdiff_t>(y) * w;
    for (int x = 0; x < w; ++x) {
      float value = 0.0F;
      for (int i = -reach; i <= reach; ++i) {
        value += kernel[static_cast<std::size_t>(i + reach)] * row[std::clamp(x + i, 0, w - 1)];
      }
      out[static_cast<std::size_t>(y) * static_cast<std::size_t>(w) + static_cast<std::size_t>(x)] =
          value;
    }
  }
  std::fill(plane.begin(), plane.end(), 0.0F);
  for (int y = 0; y < h; ++y) {
    float* const to = plane.data() + static_cast<std::ptrdiff_t>(y) * w;
    for (int i = -reach; i <= reach; ++i) {
      const float* const from =
          out.data() + static_cast<std::ptrdiff_t>(std::clamp(y + i, 0, h - 1)) * w;
      const float k = kernel[static_cast<std::size_t>(i + reach)];
      for (int x = 0; x < w; ++x) to[x] += k * from[x];
    }
  }
}

/// Noise of the light itself, a slight smear as of a colour filter's filling-in, sharpening.
void Develop(Plane& plane, const Phone& phone, Random& random) {
  // Draws cost more than the rest: a table of a prime length, read from a random start a row.
  std::vector<float> table(100003);
  for (float& draw : table) draw = static_cast<float>(random.Normal());
  const float gain = static_cast<float>(phone.exposure / 0.82);
  const int w = phone.width, h = phone.height;
  std::size_t at = 0;
  for (int y = 0; y < h; ++y) {
    std::size_t next = static_cast<std::size_t>(random.Below(static_cast<int>(table.size())));
    for (int x = 0; x < w; ++x, ++at) {
      const float value = plane[at] * gain;
      const float sd = static_cast<float>(phone.noise) * std::sqrt(std::max(0.002F, value));
      plane[at] = value + sd * table[next];
      if (++next == table.size()) next = 0;
    }
  }
  Blur(plane, w, h, 0.5);
  if (phone.sharpen > 0.0) {
    Plane soft = plane;
    Blur(soft, w, h, 1.2);
    const auto amount = static_cast<float>(phone.sharpen);
    for (std::size_t i = 0; i < plane.size(); ++i) plane[i] += amount * (plane[i] - soft[i]);
  }
}

std::uint8_t Coded(float linear) {
  static const std::vector<std::uint8_t> table = [] {
    std::vector<std::uint8_t> made(4097);
    for (std::size_t i = 0; i < made.size(); ++i) {
      const double value = static_cast<double>(i) / 4096.0;
      const double coded =
          value <= 0.0031308 ? 12.92 * value : 1.055 * std::pow(value, 1.0 / 2.4) - 0.055;
      made[i] = static_cast<std::uint8_t>(std::lround(255.0 * coded));
    }
    return made;
  }();
  return table[static_cast<std::size_t>(std::clamp(linear, 0.0F, 1.0F) * 4096.0F)];
}

std::string Jpeg(const std::vector<Plane>& planes, const Phone& phone) {
  std::vector<unsigned char> pixels;
  pixels.reserve(planes.size() * planes[0].size());
  for (std::size_t i = 0; i < planes[0].size(); ++i) {
    for (const Plane& plane : planes) pixels.push_back(Coded(plane[i]));
  }
  tjhandle handle = tjInitCompress();
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  const bool grey = planes.size() == 1;
  const int fault = tjCompress2(handle,
                                pixels.data(),
                                phone.width,
                                0,
                                phone.height,
                                grey ? TJPF_GRAY : TJPF_RGB,
                                &bytes,
                                &size,
                                grey ? TJSAMP_GRAY : TJSAMP_420,
                                phone.quality,
                                0);
  LIEFLAT_CHECK(fault == 0, "a rendered photo could not be coded");
  std::string file(reinterpret_cast<const char*>(bytes), size);
  tjFree(bytes);
  tjDestroy(handle);
  return file;
}

}  // namespace

Pose LookFrom(
    const Eigen::Vector3d& target, double distance, double elevation, double azimuth, double roll) {
  const Eigen::Vector3d away(std::cos(elevation) * std::sin(azimuth),
                             -std::cos(elevation) * std::cos(azimuth),
                             std::sin(elevation));
  Pose pose;
  pose.centre = target + distance * away;
  const Eigen::Vector3d forward = -away;
  // At azimuth 0 the picture's right is +x, whatever the elevation.
  const Eigen::Vector3d right(std::cos(azimuth), std::sin(azimuth), 0.0);
  const Eigen::Vector3d down = forward.cross(right);
  const double c = std::cos(roll), s = std::sin(roll);
  pose.rotation.row(0) = (c * right + s * down).transpose();
  pose.rotation.row(1) = (-s * right + c * down).transpose();
  pose.rotation.row(2) = forward.transpose();
  return pose;
}

std::string TakePhoto(const Scene& scene,
                      const Phone& phone,
                      const Pose& pose,
                      Random& random,
                      const ExifTags& exif) {
  const auto count = static_cast<std::size_t>(phone.width) * static_cast<std::size_t>(phone.height);
  std::vector<Plane> planes(phone.colour ? 3 : 1, Plane(count));
  Expose(scene, phone, pose, planes);
  if (phone.colour) {
    for (std::size_t k = 0; k < planes.size(); ++k) {
      for (float& value : planes[k]) value *= phone.cast[static_cast<Eigen::Index>(k)];
    }
  }
  for (Plane& plane : planes) {
    Blur(plane, phone.width, phone.height, phone.blur_px);
    Develop(plane, phone, random);
  }
  std::string file = Jpeg(planes, phone);
  if (exif.orientation != 1 || exif.focal_35mm != 0) file.insert(2, ExifSegment(exif));
  return file;
}

Eigen::Vector2d TruePixel(const Phone& phone, const Pose& pose, const Eigen::Vector3d& world) {
  const Eigen::Vector3d p = pose.rotation * (world - pose.centre);
  const double x = p.x() / p.z(), y = p.y() / p.z(), r2 = x * x + y * y;
  const double radial = 1.0 + r2 * (phone.k1 + r2 * phone.k2);
  const Eigen::Vector2d bent(x * radial + 2.0 * phone.p1 * x * y + phone.p2 * (r2 + 2.0 * x * x),
                             y * radial + phone.p1 * (r2 + 2.0 * y * y) + 2.0 * phone.p2 * x * y);
  const double f = phone.f_share * phone.width * (1.0 + pose.df_share);
  // The rays subtract the unknown shift at the place seen: solve for that place.
  Eigen::Vector2d seen = bent;
  for (int i = 0; i < 10; ++i) seen = bent + UnknownShift(phone, seen.x(), seen.y()) / f;
  return {f * seen.x() + 0.5 * (phone.width - 1) + phone.cx + pose.dcx,
          f * seen.y() + 0.5 * (phone.height - 1) + phone.cy + pose.dcy};
}

std::string ExifSegment(const ExifTags& tags, bool big_endian) {
  std::string tiff;
  const auto put = [&](unsigned value, int bytes) {
    for (int i = 0; i < bytes; ++i) {
      const int shift = 8 * (big_endian ? bytes - 1 - i : i);
      tiff.push_back(static_cast<char>(value >> shift & 0xFFU));
    }
  };
  const auto field = [&](unsigned tag, unsigned type, unsigned value) {
    put(tag, 2);
    put(type, 2);
    put(1, 4);
    put(value, type == 3 ? 2 : 4);
    if (type == 3) put(0, 2);
  };
  tiff = big_endian ? "MM" : "II";
  put(42, 2);
  put(8, 4);
  put(2, 2);                                                  // entries of the first directory
  field(0x0112, 3, static_cast<unsigned>(tags.orientation));  // Orientation
  field(0x8769, 4, 8 + 2 + 24 + 4);                           // where the second directory is
  put(0, 4);
  put(tags.focal_35mm > 0 ? 1 : 0, 2);
  if (tags.focal_35mm > 0) field(0xA405, 3, static_cast<unsigned>(tags.focal_35mm));
  put(0, 4);
  std::string body = std::string("Exif\0\0", 6) + tiff;
  const std::size_t length = body.size() + 2;
  std::string segment("\xFF\xE1");
  segment.push_back(static_cast<char>(length >> 8U));
  segment.push_back(static_cast<char>(length & 0xFFU));
  return segment + body;
}

}  // namespace lieflat::testing
