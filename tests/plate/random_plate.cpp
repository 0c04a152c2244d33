#include "plate/random_plate.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

namespace lieflat::testing {
namespace {

constexpr double kMostWarpMm = 12.0;
constexpr double kStandardGravity = 9.80665;

class Maker {
 public:
  explicit Maker(Random& random) : random_(random) {}

  RandomPlate Make() {
    length_ = random_.Uniform(70.0, 320.0);
    width_ = random_.Uniform(60.0, 250.0);
    MakeLaminate();
    MakeOutline();
    MakeParts();
    MakeMass();
    MakeShape();
    MakeHold();
    return std::move(made_);
  }

 private:
  bool Chance(double share) { return random_.Uniform() < share; }

  void MakeLaminate() {
    PlateModel& model = made_.model;
    const double modulus = random_.Uniform(14000.0, 25000.0);
    model.board = {modulus,
                   modulus * random_.Uniform(0.75, 1.1),
                   random_.Uniform(0.1, 0.2),
                   random_.Uniform(2500.0, 9000.0),
                   random_.Uniform(0.8, 3.2)};
    model.cell_mm = std::max(length_, width_) / random_.Uniform(14.0, 30.0);
    model.fine_mm = model.cell_mm * random_.Uniform(0.5, 1.0);
    made_.text = fmt::format("{:.1f} x {:.1f} x {:.2f} mm, cells {:.2f}",
                             length_,
                             width_,
                             model.board.thickness_mm,
                             model.cell_mm);
  }

  /// A rectangle, its corners cut off square or slanted, a notch in its longer sides, windows.
  void MakeOutline() {
    const double a = length_, b = width_;
    const double most = 0.25 * std::min(a, b);
    Ring ring;
    const std::array<Eigen::Vector2d, 4> corner = {{Eigen::Vector2d(0, 0),
                                                    Eigen::Vector2d(a, 0),
                                                    Eigen::Vector2d(a, b),
                                                    Eigen::Vector2d(0, b)}};
    for (std::size_t k = 0; k < 4; ++k) {
      const Eigen::Vector2d before = (corner[(k + 3) % 4] - corner[k]).normalized();
      const Eigen::Vector2d after = (corner[(k + 1) % 4] - corner[k]).normalized();
      const double first = random_.Uniform(0.2, 1.0) * most,
                   second = random_.Uniform(0.2, 1.0) * most;
      if (Chance(0.7)) {
        ring.push_back(corner[k]);
      } else {
        const bool slanted = Chance(0.4);
        ring.emplace_back(corner[k] + first * before);
        if (!slanted) ring.emplace_back(corner[k] + first * before + second * after);
        ring.emplace_back(corner[k] + second * after);
      }
      if (Chance(0.2)) {  // a notch in the side that follows
        const double side = (corner[(k + 1) % 4] - corner[k]).norm();
        const double from = side * random_.Uniform(0.3, 0.5),
                     to = from + side * random_.Uniform(0.05, 0.2);
        const double deep = random_.Uniform(0.3, 1.0) * most;
        ring.emplace_back(corner[k] + from * after);
        ring.emplace_back(corner[k] + from * after - deep * Out(after));
        ring.emplace_back(corner[k] + to * after - deep * Out(after));
        ring.emplace_back(corner[k] + to * after);
      }
    }
    made_.model.outline_mm = std::move(ring);
    for (int k = random_.Below(3); k > 0; --k) {
      const Eigen::Vector2d size(random_.Uniform(0.05, 0.2) * a, random_.Uniform(0.05, 0.2) * b);
      const Eigen::Vector2d low(random_.Uniform(0.3 * a, 0.7 * a - size.x()),
                                random_.Uniform(0.3 * b, 0.7 * b - size.y()));
      made_.model.cutouts_mm.push_back(
          {low, {low.x() + size.x(), low.y()}, low + size, {low.x(), low.y() + size.y()}});
    }
  }

  /// Away from the board, for a side run through counter-clockwise.
  static Eigen::Vector2d Out(const Eigen::Vector2d& along) { return {along.y(), -along.x()}; }

  void MakeParts() {
    for (int k = random_.Below(6); k > 0; --k) {
      const bool slot = Chance(0.35);
      Eigen::Vector2d size =
          slot ? Eigen::Vector2d(random_.Uniform(60.0, 140.0), random_.Uniform(8.0, 12.0))
               : Eigen::Vector2d(random_.Uniform(8.0, 40.0), random_.Uniform(8.0, 40.0));
      if (Chance(0.5)) std::swap(size.x(), size.y());
      size = size.cwiseMin(Eigen::Vector2d(0.9 * length_, 0.9 * width_));
      Stiffener part;
      part.ref = fmt::format("U{}", made_.model.stiffeners.size() + 1);
      part.low_mm = {random_.Uniform(0.0, length_ - size.x()),
                     random_.Uniform(0.0, width_ - size.y())};
      if (Chance(0.2)) part.low_mm.y() = 0.0;  // at the very edge
      part.high_mm = part.low_mm + size;
      part.side = Chance(0.8) ? Side::kComponent : Side::kSolder;
      part.ply = slot ? Ply::Isotropic(4000.0, 0.35, random_.Uniform(8.0, 14.0))
                      : Ply::Isotropic(
                            random_.Uniform(15000.0, 280000.0), 0.25, random_.Uniform(0.8, 4.0));
      constexpr std::array<JointLayout, 3> kLayouts = {
          JointLayout::kArea, JointLayout::kPerimeter, JointLayout::kLongSides};
      part.layout =
          slot ? JointLayout::kLine : kLayouts[static_cast<std::size_t>(random_.Below(3))];
      part.pitch_mm = random_.Uniform(0.5, 2.54);
      part.axial_n_per_mm = random_.Uniform(10.0, 10000.0);
      part.shear_n_per_mm = part.axial_n_per_mm * random_.Uniform(0.2, 1.0);
      made_.model.stiffeners.push_back(part);
    }
  }

  void MakeMass() {
    const double total =
        random_.Uniform(3.0, 10.0) * 1e-3 * length_ * width_;  // g at 3 to 10 kg/m2
    MassPatch rest;
    rest.mass_g = total;
    for (const Stiffener& part : made_.model.stiffeners) {
      MassPatch patch{part.low_mm, part.high_mm, 0.05 * total * random_.Uniform()};
      rest.mass_g -= patch.mass_g;
      made_.model.masses.push_back(patch);
    }
    made_.model.masses.push_back(rest);
    made_.model.gravity_m_s2 = kStandardGravity;
    made_.text += fmt::format(", {} parts, {:.0f} g", made_.model.stiffeners.size(), total);
  }

  void MakeShape() {
    std::array<double, 7> c{};
    for (double& value : c) value = Chance(0.5) ? random_.Uniform(-1.0, 1.0) : 0.0;
    const double a = length_, b = width_;
    const auto raw = [c, a, b](const Eigen::Vector2d& at) {
      const double x = 2.0 * at.x() / a - 1.0, y = 2.0 * at.y() / b - 1.0;
      return c[0] * x * x + c[1] * y * y + c[2] * x * y + c[3] * (x * x + y * y) +
             0.5 * c[4] * x * x * x + 0.5 * c[5] * x * y * y + 0.3 * c[6] * x * x * y;
    };
    double low = 0.0, high = 0.0;
    constexpr int kSteps = 20;
    for (int i = 0; i <= kSteps; ++i) {
      for (int j = 0; j <= kSteps; ++j) {
        const double z = raw({a * i / kSteps, b * j / kSteps});
        low = std::min(low, z);
        high = std::max(high, z);
      }
    }
    warp_ = Chance(0.1) ? 0.0 : random_.Uniform(0.0, kMostWarpMm);
    const double scale = high > low ? warp_ / (high - low) : 0.0;
    const Eigen::Vector3d tilt(
        random_.Uniform(-5.0, 5.0), random_.Uniform(-0.01, 0.01), random_.Uniform(-0.01, 0.01));
    made_.shape = [raw, scale, tilt](const Eigen::Vector2d& at) {
      return scale * raw(at) + tilt.x() + tilt.y() * at.x() + tilt.z() * at.y();
    };
    if (scale == 0.0) warp_ = 0.0;
    made_.text += fmt::format(", warp {:.2f} mm", warp_);
  }

  /// A place well on the board: no grid cuts it off.
  Eigen::Vector2d Place() {
    const double margin = 1.5 * made_.model.cell_mm;
    constexpr int kTries = 10000;
    for (int k = 0; k < kTries; ++k) {
      const Eigen::Vector2d at(random_.Uniform(0.0, length_), random_.Uniform(0.0, width_));
      bool good = Inside(made_.model.outline_mm, at) &&
                  DistanceToBoundary(made_.model.outline_mm, at) > margin;
      for (const Ring& cutout : made_.model.cutouts_mm)
        good = good && !Inside(cutout, at) && DistanceToBoundary(cutout, at) > margin;
      if (good) return at;
    }
    LIEFLAT_CHECK(false, "no place on this board");
  }

  void AddWeights(int count) {
    for (int k = 0; k < count; ++k) {
      const Eigen::Vector2d at = Place();
      const Eigen::Vector2d half(random_.Uniform(1.0, 60.0), random_.Uniform(1.0, 60.0));
      made_.hold.weights.push_back({random_.Uniform(0.5, 30.0), at - half, at + half, Chance(0.5)});
    }
  }

  void AddRests(int count) {
    for (int k = 0; k < count; ++k)
      made_.hold.rests.push_back(
          {Place(), Chance(0.3) ? random_.Uniform(-1.0, 1.0) : 0.0, Chance(0.1)});
  }

  void AddBars(int count) {
    for (int k = 0; k < count; ++k)
      made_.hold.bars.push_back({Place(), Place(), random_.Uniform(1.0, 40.0)});
  }

  void AddScrews(int count) {
    for (int k = 0; k < count; ++k)
      made_.hold.screws.push_back({Place(), random_.Uniform(3.0, 6.0)});
  }

  void MakeHold() {
    Hold& hold = made_.hold;
    hold.up = Chance(0.5) ? Side::kComponent : Side::kSolder;
    hold.own_weight = Chance(0.85);
    hold.table = true;
    constexpr int kWays = 7;
    const int way = random_.Below(kWays);
    switch (way) {
      case 0:
        AddWeights(random_.Below(4));
        break;
      case 1:
        hold.table = false;
        hold.own_weight = true;
        AddRests(3 + random_.Below(4));
        AddWeights(random_.Below(2));
        break;
      case 2:
        hold.plate = Hold::TopPlate{std::max(0.01, warp_ * random_.Uniform(0.02, 1.0)), 0.0};
        break;
      case 3:
        hold.plate = Hold::TopPlate{std::nullopt, random_.Uniform(0.5, 60.0)};
        break;
      case 4:
        AddBars(1 + random_.Below(2));
        break;
      case 5:
        hold.table = false;
        AddScrews(3 + random_.Below(4));
        break;
      default:
        AddRests(random_.Below(2));
        AddWeights(1);
        AddBars(random_.Below(2));
        break;
    }
    made_.text += fmt::format(", held in way {}{}", way, hold.own_weight ? "" : ", weightless");
  }

  Random& random_;
  RandomPlate made_;
  double length_ = 0.0, width_ = 0.0, warp_ = 0.0;
};

}  // namespace

RandomPlate MakeRandomPlate(Random& random) { return Maker(random).Make(); }

PlateModel Refined(PlateModel model, double share) {
  model.cell_mm *= share;
  model.fine_mm *= share;
  return model;
}

}  // namespace lieflat::testing
