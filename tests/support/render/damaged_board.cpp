#include "support/render/damaged_board.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <numbers>

namespace lieflat::testing {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kRasterMm = 0.05;
constexpr double kTraceMm = 0.4, kTracePitchMm = 1.6;

double ToSegment(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const Eigen::Vector2d d = b - a;
  const double share = std::clamp((p - a).dot(d) / d.squaredNorm(), 0.0, 1.0);
  return (p - a - share * d).norm();
}

/// What lies where, as numbers of a palette, by 0.05 mm.
struct Drawing {
  int columns, rows;
  std::vector<std::uint8_t> index;
  std::vector<Colour> palette;
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> boxes;  ///< of the scratches
  std::vector<DrawnScratch> scratches;
  Colour laminate = Colour(0.36F, 0.30F, 0.19F), copper = Colour(0.62F, 0.30F, 0.17F);
  std::vector<std::pair<Eigen::Vector3d, double>> blots;  ///< x, y, radius; depth

  explicit Drawing(const Eigen::Vector2d& size)
      : columns(static_cast<int>(size.x() / kRasterMm) + 1),
        rows(static_cast<int>(size.y() / kRasterMm) + 1),
        index(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows), 0) {}

  std::uint8_t Add(const Colour& colour) {
    palette.push_back(colour);
    return static_cast<std::uint8_t>(palette.size() - 1);
  }
  void Box(const Eigen::Vector2d& centre, const Eigen::Vector2d& size, std::uint8_t what) {
    const Eigen::Vector2d low = (centre - 0.5 * size) / kRasterMm,
                          high = (centre + 0.5 * size) / kRasterMm;
    for (int j = std::max(0, static_cast<int>(std::lround(low.y())));
         j < std::min(rows, static_cast<int>(std::lround(high.y())));
         ++j) {
      for (int i = std::max(0, static_cast<int>(std::lround(low.x())));
           i < std::min(columns, static_cast<int>(std::lround(high.x())));
           ++i)
        index[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns) +
              static_cast<std::size_t>(i)] = what;
    }
  }
  void Disc(const Eigen::Vector2d& centre, double radius, std::uint8_t what) {
    for (double y = centre.y() - radius; y <= centre.y() + radius; y += kRasterMm) {
      const double half = std::sqrt(std::max(0.0, radius * radius - std::pow(y - centre.y(), 2)));
      Box({centre.x(), y}, {2.0 * half, kRasterMm * 1.01}, what);
    }
  }
  [[nodiscard]] std::uint8_t At(const Eigen::Vector2d& p) const {
    const int i = std::clamp(static_cast<int>(p.x() / kRasterMm), 0, columns - 1),
              j = std::clamp(static_cast<int>(p.y() / kRasterMm), 0, rows - 1);
    return index[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns) +
                 static_cast<std::size_t>(i)];
  }
  [[nodiscard]] Colour operator()(const Eigen::Vector2d& p) const {
    const std::uint8_t what = At(p);
    Colour colour = palette[what];
    for (std::size_t k = 0; k < scratches.size(); ++k) {
      const auto& [low, high] = boxes[k];
      if (p.x() < low.x() || p.y() < low.y() || p.x() > high.x() || p.y() > high.y()) continue;
      const auto& course = scratches[k].course_mm;
      for (std::size_t i = 1; i < course.size(); ++i) {
        // Ends square, as a tool lifts.
        const Eigen::Vector2d d = course[i] - course[i - 1];
        const double along = (p - course[i - 1]).dot(d) / d.squaredNorm();
        const bool first = i == 1, last = i + 1 == course.size();
        if ((first && along < 0.0) || (last && along > 1.0)) continue;
        if (ToSegment(p, course[i - 1], course[i]) <= 0.5 * scratches[k].width_mm) {
          colour = what == 1 && scratches[k].to_copper ? copper : laminate;
          break;
        }
      }
    }
    float left = 1.0F;
    for (const auto& [blot, depth] : blots) {
      const double r = (p - blot.head<2>()).norm() / blot.z();
      if (r < 1.0) left *= 1.0F - static_cast<float>(depth * std::pow(1.0 - r * r, 2));
    }
    return colour * left;
  }
};

using Boxes = std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>>;

bool Clear(const Boxes& taken, const Eigen::Vector2d& low, const Eigen::Vector2d& high) {
  return std::none_of(taken.begin(), taken.end(), [&](const auto& box) {
    return box.first.x() < high.x() && box.first.y() < high.y() && box.second.x() > low.x() &&
           box.second.y() > low.y();
  });
}

/// The kind: conductors, chips, dots.
void DrawKind(
    const DamageOptions& options, Random& kind, Drawing& d, DamagedBoard& out, Boxes& taken) {
  const Eigen::Vector2d s = options.size_mm;
  const Colour masks[] = {
      {0.05F, 0.16F, 0.07F}, {0.04F, 0.06F, 0.18F}, {0.18F, 0.04F, 0.03F}, {0.20F, 0.15F, 0.05F}};
  out.board.mask = masks[kind.Below(4)];
  d.Add(out.board.mask);         // 0: coating over laminate
  d.Add(1.4F * out.board.mask);  // 1: over copper
  const auto tin = d.Add(Colour(0.55F, 0.55F, 0.53F));
  const auto white = d.Add(Colour(0.75F, 0.75F, 0.73F));
  // Bundles of conductors.
  for (int b = 0; b < 8; ++b) {
    const bool across = kind.Below(2) == 0;
    const int count = 4 + kind.Below(8);
    const Eigen::Vector2d at(kind.Uniform(10.0, s.x() - 40.0), kind.Uniform(10.0, s.y() - 30.0));
    const double length = kind.Uniform(20.0, 45.0);
    for (int i = 0; i < count; ++i) {
      const Eigen::Vector2d step =
          kTracePitchMm * i * (across ? Eigen::Vector2d::UnitY() : Eigen::Vector2d::UnitX());
      const Eigen::Vector2d size =
          across ? Eigen::Vector2d(length, kTraceMm) : Eigen::Vector2d(kTraceMm, length);
      const Eigen::Vector2d middle = at + step + 0.5 * size;
      if ((middle + 0.5 * size - s).maxCoeff() > -3.0) continue;
      d.Box(middle, size, 1);
    }
  }
  // Dots on a grid, for the scale.
  for (const double x : {0.08, 0.36, 0.64, 0.92}) {
    for (const double y : {0.09, 0.5, 0.91}) {
      const Eigen::Vector2d at(x * s.x(), y * s.y());
      d.Box(at, {3.4, 3.4}, 0);
      d.Disc(at, 0.6, white);
      out.dots_mm.push_back(at);
      taken.emplace_back(at - Eigen::Vector2d(2.5, 2.5), at + Eigen::Vector2d(2.5, 2.5));
    }
  }
  const Eigen::Vector2d sizes[] = {
      {1.0, 0.5}, {1.6, 0.8}, {2.0, 1.25}, {3.2, 1.6}, {5.0, 4.0}, {10.0, 10.0}};
  const Colour bodies[] = {
      {0.03F, 0.03F, 0.03F}, {0.38F, 0.28F, 0.17F}, {0.04F, 0.04F, 0.05F}, {0.50F, 0.38F, 0.06F}};
  for (int i = 0; i < options.chips; ++i) {
    Eigen::Vector2d size = sizes[i % 6];
    if (kind.Below(2) == 0) std::swap(size.x(), size.y());
    const Eigen::Vector2d at(kind.Uniform(9.0, s.x() - 9.0), kind.Uniform(9.0, s.y() - 9.0));
    const Eigen::Vector2d half = 0.5 * size + Eigen::Vector2d(1.2, 1.2);
    const Colour body = bodies[kind.Below(4)];
    if (!Clear(taken, at - half, at + half)) continue;
    taken.emplace_back(at - half, at + half);
    out.chips.push_back({at, size, body, false});
    // Its lands, seen where it is missing; ends of metal, seen where it is there.
    d.Box(at, size + Eigen::Vector2d(0.4, 0.4), 0);
    const int along = size.x() >= size.y() ? 0 : 1;
    Eigen::Vector2d land = size;
    land[along] *= 0.3;
    for (const double end : {-1.0, 1.0}) {
      Eigen::Vector2d where = at;
      where[along] += end * 0.4 * size[along];
      d.Box(where, land, tin);
    }
  }
}

void DrawChips(Drawing& d, const DamagedBoard& out) {
  const auto tin = d.Add(Colour(0.60F, 0.60F, 0.58F));
  for (const DrawnChip& chip : out.chips) {
    if (chip.missing) continue;
    const auto body = d.Add(chip.body);
    d.Box(chip.centre_mm, chip.size_mm, tin);
    const int along = chip.size_mm.x() >= chip.size_mm.y() ? 0 : 1;
    Eigen::Vector2d inner = chip.size_mm;
    inner[along] *= 0.68;
    d.Box(chip.centre_mm, inner, body);
  }
}

void DrawScratches(
    const DamageOptions& options, Random& random, Drawing& d, DamagedBoard& out, Boxes& taken) {
  const Eigen::Vector2d s = options.size_mm;
  for (int tries = 0; tries < 4000 && static_cast<int>(out.scratches.size()) < options.scratches;
       ++tries) {
    DrawnScratch scratch;
    scratch.width_mm = random.Uniform(0.2, 0.8);
    const double length = random.Uniform(6.0, 24.0),
                 turn = random.Uniform(0.0, 2.0 * std::numbers::pi);
    const double bend = random.Uniform(-0.06, 0.06) * length;
    const Eigen::Vector2d from(random.Uniform(6.0, s.x() - 6.0), random.Uniform(6.0, s.y() - 6.0));
    const Eigen::Vector2d along(std::cos(turn), std::sin(turn)), across(-along.y(), along.x());
    constexpr int kPieces = 24;
    for (int i = 0; i <= kPieces; ++i) {
      const double u = static_cast<double>(i) / kPieces;
      scratch.course_mm.emplace_back(from + u * length * along +
                                     4.0 * bend * u * (1.0 - u) * across);
    }
    Eigen::Vector2d low = from, high = from;
    for (const auto& p : scratch.course_mm) {
      low = low.cwiseMin(p);
      high = high.cwiseMax(p);
    }
    if (low.minCoeff() < 4.0 || (s - high).minCoeff() < 4.0) continue;
    // Clear of chips and of other scratches by 2 mm, beyond its ends by 4.
    bool clear = true;
    for (int i = -4; i <= kPieces + 4 && clear; ++i) {
      const double u = static_cast<double>(i) / kPieces;
      const Eigen::Vector2d p = from + u * length * along + 4.0 * bend * u * (1.0 - u) * across;
      clear = Clear(taken, p - Eigen::Vector2d(1.8, 1.8), p + Eigen::Vector2d(1.8, 1.8));
    }
    if (!clear) continue;
    bool on = false;
    for (double u = 0.0; u <= 1.0; u += 0.05 / length) {
      const Eigen::Vector2d p = from + u * length * along + 4.0 * bend * u * (1.0 - u) * across;
      const bool here = d.At(p) == 1;
      scratch.crossed += here && !on ? 1 : 0;
      on = here;
    }
    for (const auto& p : scratch.course_mm)
      taken.emplace_back(p - Eigen::Vector2d(2.0, 2.0), p + Eigen::Vector2d(2.0, 2.0));
    const Eigen::Vector2d grow(1.0, 1.0);
    d.boxes.emplace_back(low - grow, high + grow);
    d.scratches.push_back(scratch);
    out.scratches.push_back(scratch);
  }
}

void DrawNicks(const DamageOptions& options, Random& random, DamagedBoard& out) {
  const Eigen::Vector2d s = options.size_mm;
  for (int i = 0; i < options.nicks; ++i) {
    DrawnNick nick;
    nick.edge = kEdges[static_cast<std::size_t>((i + random.Below(2) * 2) % 4)];
    const bool along_x = nick.edge == Edge::kAB || nick.edge == Edge::kCD;
    nick.depth_mm = random.Uniform(0.4, 3.0);
    nick.length_mm = random.Uniform(2.0, 7.0);
    nick.at_mm = random.Uniform(10.0, (along_x ? s.x() : s.y()) - 10.0);
    out.nicks.push_back(nick);
  }
  out.board.gone = [nicks = out.nicks, s](const Eigen::Vector2d& p) {
    for (const DrawnNick& nick : nicks) {
      double along = 0.0, in = 0.0;
      switch (nick.edge) {
        case Edge::kAB:
          along = p.x();
          in = p.y();
          break;
        case Edge::kBC:
          along = p.y();
          in = s.x() - p.x();
          break;
        case Edge::kCD:
          along = s.x() - p.x();
          in = s.y() - p.y();
          break;
        case Edge::kDA:
          along = s.y() - p.y();
          in = p.x();
          break;
      }
      if (in > nick.depth_mm) continue;
      // A trapezium, its bottom 40 % of its mouth.
      const double off = std::abs(along - nick.at_mm) / (0.5 * nick.length_mm);
      if (off < 1.0 && in < nick.depth_mm * std::min(1.0, (1.0 - off) / 0.6)) return true;
    }
    return false;
  };
}

void DrawPins(const DamageOptions& options,
              Random& kind,
              Random& random,
              Drawing& d,
              DamagedBoard& out,
              Boxes& taken) {
  const auto pin = d.Add(Colour(0.72F, 0.70F, 0.62F));
  const auto socket = d.Add(Colour(0.02F, 0.02F, 0.02F));
  const Eigen::Vector2d from(0.30 * options.size_mm.x(),
                             0.25 * options.size_mm.y() + kind.Uniform(-3.0, 3.0));
  constexpr int kPins = 12;
  const Eigen::Vector2d end = from + (kPins - 1) * out.pitch_mm * Eigen::Vector2d::UnitX();
  d.Box(0.5 * (from + end), {kPins * out.pitch_mm, 4.0}, socket);
  const int bent = random.Below(kPins);
  for (int i = 0; i < kPins; ++i) {
    DrawnPin one;
    one.off_share = i == bent ? random.Uniform(0.4, 1.5) : 0.0;
    one.at_mm = from + i * out.pitch_mm * Eigen::Vector2d::UnitX() +
                one.off_share * out.pin_mm * Eigen::Vector2d::UnitY();
    d.Box(one.at_mm, {out.pin_mm, out.pin_mm}, pin);
    out.pins.push_back(one);
  }
  taken.emplace_back(from - Eigen::Vector2d(4, 5), end + Eigen::Vector2d(4, 5));
}

void DrawDirt(const DamageOptions& options, Random& random, Drawing& d) {
  const int blots = static_cast<int>(options.dirt * 16.0);
  for (int i = 0; i < blots; ++i) {
    const Eigen::Vector3d at(random.Uniform(0.0, options.size_mm.x()),
                             random.Uniform(0.0, options.size_mm.y()),
                             random.Uniform(4.0, 22.0));
    d.blots.emplace_back(at, options.dirt * random.Uniform(0.05, 0.5));
  }
  const auto dust = d.Add(Colour(0.30F, 0.29F, 0.27F));
  for (int i = 0; i < static_cast<int>(options.dirt * 60.0); ++i) {
    d.Disc({random.Uniform(1.0, options.size_mm.x() - 1.0),
            random.Uniform(1.0, options.size_mm.y() - 1.0)},
           random.Uniform(0.05, 0.15),
           dust);
  }
}

void DrawPhone(const DamageOptions& options, Random& random, DamagedSet& set) {
  Phone& phone = set.phone;
  phone.width = options.width;
  phone.height = options.height;
  phone.colour = true;
  const double share = options.width / 4000.0;
  phone.f_share = random.Uniform(0.70, 0.80);
  phone.cx = random.Normal() * 12.0 * share;
  phone.cy = random.Normal() * 12.0 * share;
  phone.k1 = random.Uniform(-0.06, 0.06);
  phone.k2 = random.Uniform(-0.06, 0.06);
  phone.p1 = random.Uniform(-6e-4, 6e-4);
  phone.p2 = random.Uniform(-6e-4, 6e-4);
  phone.blur_px = random.Uniform(0.7, 1.6);
  phone.noise = random.Uniform(0.004, 0.010);
  phone.sharpen = random.Uniform(0.0, 0.4);
  phone.exposure = random.Uniform(0.6, 0.95);
  phone.cast = Colour(static_cast<float>(random.Uniform(0.82, 1.0)),
                      static_cast<float>(random.Uniform(0.9, 1.0)),
                      static_cast<float>(random.Uniform(0.75, 1.0)));
  const MatLayout& mat = set.scene.sheet.layout;
  const Eigen::Vector3d middle(0.5 * mat.width_mm() + random.Uniform(-6.0, 6.0),
                               0.5 * mat.height_mm() + random.Uniform(-5.0, 5.0),
                               0.0);
  const double elevation = (90.0 - random.Uniform(0.5, options.largest_tilt_deg)) * kDegree;
  const double azimuth = random.Uniform(0.0, 2.0 * std::numbers::pi);
  set.pose = LookFrom(middle,
                      mat.width_mm() * phone.f_share * random.Uniform(1.02, 1.15),
                      elevation,
                      azimuth,
                      random.Uniform(-5.0, 5.0) * kDegree - azimuth);
  set.pose.df_share = 0.004 * random.Normal();
  set.pose.dcx = 15.0 * share * random.Normal();
  set.pose.dcy = 15.0 * share * random.Normal();
}

}  // namespace

double DrawnScratch::Length() const {
  double sum = 0.0;
  for (std::size_t i = 1; i < course_mm.size(); ++i)
    sum += (course_mm[i] - course_mm[i - 1]).norm();
  return sum;
}

DamagedSet DrawDamagedSet(const Calib& calib,
                          const DamageOptions& options,
                          std::uint64_t kind_seed,
                          Random& random) {
  DamagedSet set;
  Scene& scene = set.scene;
  scene.sheet = SheetOf(calib, options.paper, false);
  scene.sheet.scale_x = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  scene.sheet.scale_y = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  scene.sheet.shear = 2e-4 * random.Normal();
  scene.sheet.SetWavy(random.Uniform(0.02, 0.2), random);
  scene.sticker_markers = MarkerFamilyOf(calib, "sticker");
  const MatLayout& mat = scene.sheet.layout;

  DamagedBoard& drawn = set.drawn;
  LyingBoard& board = drawn.board;
  board.size_mm = options.size_mm;
  board.rest_mm = random.Uniform(0.8, 4.0);
  board.shape.setZero();
  board.shape[0] = 0.003 * options.size_mm.x() * random.Uniform(-1.0, 1.0);
  board.shape[2] = 0.002 * options.size_mm.norm() * random.Uniform(-1.0, 1.0);
  board.at_mm = {0.5 * mat.width_mm() + random.Uniform(-5.0, 5.0),
                 0.5 * mat.height_mm() + random.Uniform(-4.0, 4.0)};
  board.turned_rad = random.Uniform(-8.0, 8.0) * kDegree;
  board.gloss = static_cast<float>(random.Uniform(0.0, 0.012));

  Random kind(kind_seed);
  auto drawing = std::make_shared<Drawing>(options.size_mm);
  Boxes taken;
  const Eigen::Vector2d row(0.30 * options.size_mm.x(), 0.25 * options.size_mm.y());
  taken.emplace_back(row - Eigen::Vector2d(5, 9), row + Eigen::Vector2d(34, 9));
  DrawKind(options, kind, *drawing, drawn, taken);
  for (int i = 0; i < options.missing && !drawn.chips.empty(); ++i)
    drawn.chips[static_cast<std::size_t>(random.Below(static_cast<int>(drawn.chips.size())))]
        .missing = true;
  DrawChips(*drawing, drawn);
  DrawPins(options, kind, random, *drawing, drawn, taken);
  DrawScratches(options, random, *drawing, drawn, taken);
  DrawDirt(options, random, *drawing);
  DrawNicks(options, random, drawn);
  board.face = [drawing](const Eigen::Vector2d& p) { return (*drawing)(p); };

  // The size as a person reads it on a rule, to half a millimetre.
  const auto read = [&](double true_mm) {
    return std::round(2.0 * (true_mm + random.Uniform(-0.25, 0.25))) / 2.0;
  };
  drawn.described = DescribedBoard(calib, {read(options.size_mm.x()), read(options.size_mm.y())});
  scene.board = board;
  scene.shadow_mm = {random.Uniform(-3.0, 3.0), random.Uniform(-3.0, 3.0)};
  scene.shadow_depth = static_cast<float>(random.Uniform(0.1, 0.4));
  scene.light_slope = {6e-4 * random.Normal(), 6e-4 * random.Normal()};
  scene.Prepare();
  DrawPhone(options, random, set);
  ExifTags tags;
  const double diagonal = std::hypot(options.width, options.height) / options.width;
  tags.focal_35mm = static_cast<int>(std::lround(43.27 * set.phone.f_share / diagonal));
  set.file = TakePhoto(scene, set.phone, set.pose, random, tags);
  return set;
}

}  // namespace lieflat::testing
