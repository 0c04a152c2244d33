#include "support/render/scene.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/render/standing_shade.h"

namespace lieflat::testing {
namespace {

constexpr float kInk = 0.045F, kPaper = 0.82F;

/// Whether a marker of `cells` x `cells` shows white at (u, v), 0 .. 1 from its top left.
bool MarkerWhite(const MarkerFamily& family, int id, double u, double v) {
  const int cells = family.bits + 2;
  return family.White(id, static_cast<int>(v * cells), static_cast<int>(u * cells));
}

}  // namespace

void PrintedSheet::SetWavy(double rms_mm, Random& random) {
  heights.assign(kColumns * kRows, 0.0);
  constexpr int kWaves = 6;
  for (int i = 0; i < kWaves; ++i) {
    const double k = 2.0 * std::numbers::pi / random.Uniform(90.0, 320.0);
    const double direction = random.Uniform(0.0, 2.0 * std::numbers::pi);
    const double phase = random.Uniform(0.0, 2.0 * std::numbers::pi);
    for (int row = 0; row < kRows; ++row) {
      for (int column = 0; column < kColumns; ++column) {
        const double x = kStartMm + column * kStepMm, y = kStartMm + row * kStepMm;
        heights[static_cast<std::size_t>(row * kColumns + column)] +=
            rms_mm * std::sqrt(2.0 / kWaves) *
            std::cos(k * (x * std::cos(direction) + y * std::sin(direction)) + phase);
      }
    }
  }
}

double PrintedSheet::Height(double x, double y) const {
  if (heights.empty()) return 0.0;
  const double gx = std::clamp((x - kStartMm) / kStepMm, 0.0, kColumns - 1.001);
  const double gy = std::clamp((y - kStartMm) / kStepMm, 0.0, kRows - 1.001);
  const int column = static_cast<int>(gx), row = static_cast<int>(gy);
  const double a = gx - column, b = gy - row;
  const auto at = static_cast<std::size_t>(row * kColumns + column);
  const auto below = at + kColumns;
  return (1 - b) * ((1 - a) * heights[at] + a * heights[at + 1]) +
         b * ((1 - a) * heights[below] + a * heights[below + 1]);
}

Eigen::Vector2d PrintedSheet::ToPage(const Eigen::Vector2d& world) const {
  const double c = std::cos(turned_rad), s = std::sin(turned_rad);
  const Eigen::Vector2d d = world - at_mm;
  return {c * d.x() + s * d.y(), c * d.y() - s * d.x()};
}

void PrintedSheet::Prepare() {
  marker_of_square_.assign(static_cast<std::size_t>(layout.columns * layout.rows), -1);
  for (const MatMarker& marker : layout.Markers()) {
    marker_of_square_[static_cast<std::size_t>(marker.row * layout.columns + marker.column)] =
        marker.id;
  }
}

PrintedSheet SheetOf(const Calib& calib, const std::string& paper, bool stand) {
  return SheetOf(calib, MatFor(calib, paper, stand));
}

PrintedSheet SheetOf(const Calib& calib, const MatLayout& layout) {
  PrintedSheet sheet;
  sheet.layout = layout;
  sheet.markers = MarkerFamilyOf(calib, "mat");
  const auto size = PaperNamed(calib, layout.paper);
  LIEFLAT_CHECK(size.has_value(), "a known paper");
  sheet.paper_low_mm = -sheet.layout.origin_on_page_mm;
  sheet.paper_high_mm = sheet.paper_low_mm + size->size_mm;
  return sheet;
}

double LyingBoard::Height(const Eigen::Vector2d& in_board) const {
  const double u = 2.0 * in_board.x() / size_mm.x() - 1.0,
               v = 2.0 * in_board.y() / size_mm.y() - 1.0;
  const double* const c = shape.data();
  const double uu = u * u, vv = v * v;
  return c[0] * uu + c[1] * vv + c[2] * u * v + c[3] * (uu * u - u) + c[4] * (vv * v - v) +
         c[5] * uu * v + c[6] * u * vv + c[7] * uu * uu;
}

Eigen::Vector2d LyingBoard::ToBoard(const Eigen::Vector2d& world) const {
  const double dx = world.x() - at_mm.x(), dy = world.y() - at_mm.y();
  const double x = cosine * dx + sine * dy, y = -sine * dx + cosine * dy;
  return {(component_down ? -x : x) + 0.5 * size_mm.x(), y + 0.5 * size_mm.y()};
}

void LyingBoard::Prepare() {
  cosine = std::cos(turned_rad);
  sine = std::sin(turned_rad);
}

Eigen::Vector3d LyingBoard::ToWorld(const Eigen::Vector2d& in_board) const {
  Eigen::Vector2d own = in_board - 0.5 * size_mm;
  if (component_down) own.x() = -own.x();
  return {at_mm.x() + cosine * own.x() - sine * own.y(),
          at_mm.y() + sine * own.x() + cosine * own.y(),
          rest_mm + thickness_mm + Height(in_board)};
}

void Scene::Prepare() {
  if (board) board->Prepare();
  sheet.Prepare();
  for (PrintedSheet& page : beside) page.Prepare();
}

float PrintedSheet::Ink(double x, double y) const {
  if (page) return page(x, y);
  if (x < 0.0 || y < 0.0 || x >= layout.width_mm() || y >= layout.height_mm()) return kPaper;
  const int column = static_cast<int>(x / layout.square_mm);
  const int row = static_cast<int>(y / layout.square_mm);
  const int id = marker_of_square_[static_cast<std::size_t>(row * layout.columns + column)];
  if (id < 0) {
    if (layout.InBand(column, row)) {
      return std::abs(y - layout.LineY()) < 0.075 ? 0.5F : kPaper;
    }
    return kInk;
  }
  const double half = 0.5 * layout.marker_mm;
  const double dx = x - (column + 0.5) * layout.square_mm;
  const double dy = y - (row + 0.5) * layout.square_mm;
  if (std::abs(dx) >= half || std::abs(dy) >= half) return kPaper;
  const bool white =
      MarkerWhite(markers, id, (dx + half) / layout.marker_mm, (half - dy) / layout.marker_mm);
  return white ? kPaper : kInk;
}

namespace {

/// Where a ray meets a page: in the world, and as printed.
struct OnPage {
  Eigen::Vector2d world, nominal;
  bool on_paper = false;
};
OnPage MeetPage(const PrintedSheet& sheet,
                const Eigen::Vector3d& from,
                const Eigen::Vector3d& along) {
  double x = 0.0, y = 0.0, z = 0.0;
  Eigen::Vector2d p;
  for (int i = 0; i < 3; ++i) {
    const double s = (z - from.z()) / along.z();
    x = from.x() + s * along.x();
    y = from.y() + s * along.y();
    p = sheet.ToPage({x, y});
    z = sheet.Height(p.x(), p.y());
  }
  const double ny = p.y() / sheet.scale_y;
  double nx = (p.x() - sheet.shear * ny) / sheet.scale_x;
  if (sheet.mirrored) nx = sheet.layout.width_mm() - nx;
  const bool on_paper = nx > sheet.paper_low_mm.x() && ny > sheet.paper_low_mm.y() &&
                        nx < sheet.paper_high_mm.x() && ny < sheet.paper_high_mm.y();
  return {{x, y}, {nx, ny}, on_paper};
}

}  // namespace

Met Scene::MeetSheet(const Eigen::Vector3d& from, const Eigen::Vector3d& along) const {
  const PrintedSheet* page = &sheet;
  OnPage met_at = MeetPage(sheet, from, along);
  for (const PrintedSheet& over : beside) {
    const OnPage there = MeetPage(over, from, along);
    if (!there.on_paper) continue;
    met_at = there;
    page = &over;
  }
  const double x = met_at.world.x(), y = met_at.world.y();
  const bool on_paper = met_at.on_paper;
  Met met;
  const float ink = on_paper ? page->Ink(met_at.nominal.x(), met_at.nominal.y()) : 0.0F;
  met.colour = on_paper ? Colour(ink, ink, 0.97F * ink) : table;
  met.key = on_paper ? 1.0F + ink : 0.0F;
  float light = static_cast<float>(1.0 + light_slope.dot(Eigen::Vector2d(x, y)));
  if (board) {
    // A soft shadow: how deep the shifted outline covers the place.
    const Eigen::Vector2d p = board->ToBoard(Eigen::Vector2d(x, y) - shadow_mm);
    const double inside =
        std::min({p.x(), p.y(), board->size_mm.x() - p.x(), board->size_mm.y() - p.y()});
    const double cover = std::clamp(0.5 + inside / 12.0, 0.0, 1.0);
    light *= 1.0F - shadow_depth * static_cast<float>(cover * cover * (3.0 - 2.0 * cover));
  }
  if (standing) light *= StandingShade(*standing, Eigen::Vector2d(x, y));
  met.colour *= light;
  return met;
}

std::optional<Met> Scene::MeetBoard(const Eigen::Vector3d& from,
                                    const Eigen::Vector3d& along) const {
  const LyingBoard& b = *board;
  const double top = b.rest_mm + b.thickness_mm;
  const auto inside = [&](const Eigen::Vector2d& p) {
    return p.x() >= 0.0 && p.y() >= 0.0 && p.x() <= b.size_mm.x() && p.y() <= b.size_mm.y() &&
           !(b.gone && b.gone(p));
  };
  const auto meet = [&](double above) {
    Eigen::Vector2d p;
    double z = top + above;
    for (int i = 0; i < 4; ++i) {
      const double s = (z - from.z()) / along.z();
      p = b.ToBoard({from.x() + s * along.x(), from.y() + s * along.y()});
      z = top + above + b.Height(p);
    }
    return p;
  };
  // Far off: nothing of the board, whatever its height.
  const double to_middle = (top - from.z()) / along.z();
  const double reach = 0.5 * b.size_mm.norm() + 30.0;
  if (((from + to_middle * along).head<2>() - b.at_mm).squaredNorm() > reach * reach)
    return std::nullopt;
  const Eigen::Vector2d p = meet(0.0);
  for (std::size_t i = 0; i < b.parts.size(); ++i) {
    const RenderedPart& part = b.parts[i];
    const Eigen::Vector2d near = (p - part.centre_mm).cwiseAbs() - part.half_mm;
    if (near.maxCoeff() > 3.0 * part.height_mm) continue;
    for (const double share : {1.0, 0.66, 0.33}) {
      const Eigen::Vector2d d = (meet(share * part.height_mm) - part.centre_mm).cwiseAbs();
      if (d.x() < part.half_mm.x() && d.y() < part.half_mm.y()) {
        return Met{part.colour * static_cast<float>(share), 10.0F + static_cast<float>(i)};
      }
    }
  }
  if (!inside(p)) {
    for (const double below : {-0.33, -0.66, -1.0}) {
      if (inside(meet(below * b.thickness_mm))) return Met{Colour(0.10F, 0.09F, 0.05F), 6.0F};
    }
    return std::nullopt;
  }
  const float light = static_cast<float>(1.0 + light_slope.dot(b.ToWorld(p).head<2>()));
  for (const RenderedSticker& sticker : b.stickers) {
    Eigen::Vector2d d = p - sticker.centre_mm;
    if (d.squaredNorm() > 150.0) continue;
    if (sticker.lift_mm != 0.0) {
      d = meet(sticker.lift_mm * d.x() / sticker.size_mm) - sticker.centre_mm;
    }
    const double c = std::cos(sticker.turned_rad), s = std::sin(sticker.turned_rad);
    Eigen::Vector2d q(c * d.x() + s * d.y(), -s * d.x() + c * d.y());
    // The sticker is read from above, whichever way the board lies.
    if (b.component_down) q.x() = -q.x();
    const double half = 0.5 * sticker.size_mm, outer = half + sticker.rim_mm;
    if (std::abs(q.x()) >= outer || std::abs(q.y()) >= outer) continue;
    float ink = kPaper;
    if (std::abs(q.x()) < half && std::abs(q.y()) < half &&
        !MarkerWhite(sticker_markers,
                     sticker.id,
                     (q.x() + half) / sticker.size_mm,
                     (half - q.y()) / sticker.size_mm)) {
      ink = kInk;
    }
    return Met{Colour(ink, ink, ink) * light, 3.0F + ink};
  }
  // A lamp mirrored softly somewhere on the mask.
  const Eigen::Vector2d spot = (p - 0.4 * b.size_mm) / 60.0;
  const float shine = b.gloss * static_cast<float>(1.0 + 4.0 * std::exp(-spot.squaredNorm()));
  if (b.face) {
    const Colour drawn = b.face(p);
    return Met{drawn * light + Colour(shine, shine, shine), 5.0F + 0.7F * drawn.sum()};
  }
  return Met{b.mask * light + Colour(shine, shine, shine), 5.0F};
}

Met Scene::Trace(const Eigen::Vector3d& from, const Eigen::Vector3d& along) const {
  if (along.z() > -0.02 && !standing) return {table, 0.0F};
  if (board) {
    if (auto met = MeetBoard(from, along)) return *met;
  }
  if (standing) {
    if (auto met = MeetStanding(from, along)) return *met;
  }
  if (along.z() > -0.02) return {table, 0.0F};
  return MeetSheet(from, along);
}

}  // namespace lieflat::testing
