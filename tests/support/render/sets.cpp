#include "support/render/sets.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lieflat::testing {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

Phone DrawPhone(const SetOptions& options, Random& random) {
  Phone phone;
  phone.width = options.width;
  phone.height = options.height;
  const double share = options.width / 4000.0;
  phone.f_share = random.Uniform(0.70, 0.80);
  phone.cx = random.Normal() * 12.0 * share;
  phone.cy = random.Normal() * 12.0 * share;
  phone.k1 = random.Uniform(-0.08, 0.08);
  phone.k2 = random.Uniform(-0.08, 0.08);
  phone.p1 = random.Uniform(-8e-4, 8e-4);
  phone.p2 = random.Uniform(-8e-4, 8e-4);
  phone.unknown_px = options.unknown_px;
  for (double& phase : phone.unknown_phase) phase = random.Uniform(0.0, 2.0 * std::numbers::pi);
  phone.blur_px = std::max(0.6, random.Uniform(0.8, 1.8) * share);
  phone.noise = random.Uniform(0.004, 0.010);
  phone.sharpen = random.Uniform(0.0, 0.5);
  phone.exposure = random.Uniform(0.7, 0.97);
  return phone;
}

LyingBoard DrawBoard(const Calib& calib,
                     const SetOptions& options,
                     const Eigen::Vector2d& middle_mm,
                     Random& random) {
  LyingBoard board;
  board.size_mm = options.board_mm;
  board.rest_mm = random.Uniform(3.0, 8.0);
  const double bow = 0.01 * options.board_mm.x() * random.Uniform(-1.0, 1.0);
  board.shape << bow, 0.01 * options.board_mm.y() * random.Uniform(-0.8, 0.8),
      0.006 * options.board_mm.norm() * random.Uniform(-1.0, 1.0), 0.15 * random.Normal(),
      0.12 * random.Normal(), 0.15 * random.Normal(), 0.15 * random.Normal(), 0.1 * random.Normal();
  board.at_mm = middle_mm + Eigen::Vector2d(random.Uniform(-6.0, 6.0), random.Uniform(-4.0, 4.0));
  board.turned_rad = random.Uniform(-4.0, 4.0) * kDegree;
  const Colour masks[] = {{0.05F, 0.16F, 0.07F},
                          {0.04F, 0.06F, 0.16F},
                          {0.16F, 0.04F, 0.03F},
                          {0.03F, 0.03F, 0.03F},
                          {0.22F, 0.16F, 0.05F}};
  board.mask = masks[random.Below(5)];
  board.gloss = static_cast<float>(random.Uniform(0.0, 0.04));
  // The lettered ones pushed into their corners and against the edges by hand; then numbered ones.
  const StickerLayout stickers = StickerLayoutOf(calib);
  const double outer = 0.5 * stickers.sizes_mm[0] + stickers.rim_mm;
  const Eigen::Vector2d s = options.board_mm;
  const auto add = [&](int id, const Eigen::Vector2d& place) {
    const Eigen::Vector2d off(random.Uniform(0.0, 0.8), random.Uniform(0.0, 0.8));
    const Eigen::Vector2d to_middle = (0.5 * s - place).cwiseSign();
    RenderedSticker sticker;
    sticker.id = id;
    sticker.centre_mm = place + off.cwiseProduct(to_middle);
    sticker.turned_rad =
        random.Uniform(-3.0, 3.0) * kDegree + 0.5 * std::numbers::pi * random.Below(4);
    board.stickers.push_back(sticker);
  };
  add(0, {outer, outer});
  add(1, {s.x() - outer, outer});
  add(2, {s.x() - outer, s.y() - outer});
  add(3, {outer, s.y() - outer});
  add(4, {0.5 * s.x(), outer});
  add(5, {s.x() - outer, 0.5 * s.y()});
  add(6, {0.5 * s.x(), s.y() - outer});
  add(7, {outer, 0.5 * s.y()});
  add(8, 0.5 * s);
  if (options.extra_stickers) {
    add(9, {0.25 * s.x(), outer});
    add(10, {0.75 * s.x(), s.y() - outer});
    add(11, {0.3 * s.x(), 0.35 * s.y()});
    add(12, {0.7 * s.x(), 0.65 * s.y()});
    add(13, {0.72 * s.x(), 0.3 * s.y()});
  }
  // Flat parts where no sticker is.
  for (int i = 0; i < 14; ++i) {
    RenderedPart part;
    part.centre_mm = {random.Uniform(20.0, s.x() - 20.0), random.Uniform(20.0, s.y() - 20.0)};
    part.half_mm = {random.Uniform(2.0, 12.0), random.Uniform(2.0, 9.0)};
    part.height_mm = random.Uniform(0.5, 3.0);
    const auto grey = static_cast<float>(random.Uniform(0.02, 0.5));
    part.colour = Colour(grey, grey, grey);
    const bool clear =
        std::all_of(board.stickers.begin(), board.stickers.end(), [&](const auto& sticker) {
          const Eigen::Vector2d d = (sticker.centre_mm - part.centre_mm).cwiseAbs();
          return d.x() > part.half_mm.x() + 9.0 || d.y() > part.half_mm.y() + 9.0;
        });
    if (clear) board.parts.push_back(part);
  }
  return board;
}

const RenderedSticker& Find(const LyingBoard& board, int id) {
  const auto found = std::find_if(
      board.stickers.begin(), board.stickers.end(), [&](const auto& s) { return s.id == id; });
  LIEFLAT_CHECK(found != board.stickers.end(), "the board carries that sticker");
  return *found;
}

/// What the pages cover together: its middle, and the width that a picture of 4 : 3 needs for it.
struct Ground {
  Eigen::Vector2d middle_mm;
  double width_mm = 0.0;
};

/// Tiles put down by hand beside the first one, printed by the same printer on other paper.
Ground LayTiles(const Calib& calib, const SetOptions& options, Scene& scene, Random& random) {
  const auto tiles = TilesFor(calib, options.paper);
  const Eigen::Vector2d paper = scene.sheet.paper_high_mm - scene.sheet.paper_low_mm;
  const int columns = options.tile_columns, rows = options.tile_rows;
  for (int i = 1; i < columns * rows; ++i) {
    const int column = i % columns, row = i / columns;
    PrintedSheet page = SheetOf(calib, tiles.at(static_cast<std::size_t>(i)));
    const double stretch = 1.0 + 5e-4 * random.Uniform(-1.0, 1.0);
    page.scale_x = stretch * scene.sheet.scale_x;
    page.scale_y = stretch * scene.sheet.scale_y;
    page.shear = scene.sheet.shear;
    page.SetWavy(random.Uniform(0.05, 0.35), random);
    page.at_mm = {column * (paper.x() + 3.0) + random.Uniform(-2.0, 2.0),
                  -row * (paper.y() + 3.0) + random.Uniform(-2.0, 2.0)};
    page.turned_rad = random.Uniform(-0.6, 0.6) * kDegree;
    scene.beside.push_back(page);
  }
  const Eigen::Vector2d low = scene.sheet.paper_low_mm - Eigen::Vector2d(0, (rows - 1) * paper.y());
  const Eigen::Vector2d all = paper.cwiseProduct(Eigen::Vector2d(columns, rows));
  return {low + 0.5 * all, std::max(all.x(), 4.0 / 3.0 * all.y())};
}

}  // namespace

RenderedSet DrawLyingSet(const Calib& calib, const SetOptions& options, Random& random) {
  RenderedSet set;
  const bool tiled = options.tile_columns * options.tile_rows > 1;
  set.scene.sheet = tiled ? SheetOf(calib, TilesFor(calib, options.paper).at(0))
                          : SheetOf(calib, options.paper, false);
  set.scene.sheet.scale_x = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  set.scene.sheet.scale_y = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  set.scene.sheet.shear = 2e-4 * random.Normal();
  set.scene.sheet.SetWavy(random.Uniform(0.05, 0.35), random);
  set.scene.sticker_markers = MarkerFamilyOf(calib, "sticker");
  const MatLayout& mat = set.scene.sheet.layout;
  const Ground ground = tiled
                            ? LayTiles(calib, options, set.scene, random)
                            : Ground{{0.5 * mat.width_mm(), 0.5 * mat.height_mm()}, mat.width_mm()};
  set.scene.board = DrawBoard(calib, options, ground.middle_mm, random);
  set.scene.shadow_mm = {random.Uniform(-5.0, 5.0), random.Uniform(-5.0, 5.0)};
  set.scene.shadow_depth = static_cast<float>(random.Uniform(0.1, 0.5));
  set.scene.light_slope = {5e-4 * random.Normal(), 5e-4 * random.Normal()};
  set.scene.Prepare();
  set.phone = DrawPhone(options, random);

  // Four sides and one from above; some in portrait. Far enough for the whole sheet's width.
  const Eigen::Vector3d middle(ground.middle_mm.x(), ground.middle_mm.y(), 0.0);
  const double f = set.phone.f_share;
  for (int i = 0; i < options.photos; ++i) {
    const bool above = i == 4;
    const double azimuth = (90.0 * (i % 4) + random.Uniform(-20.0, 20.0)) * kDegree;
    const double elevation =
        (above ? random.Uniform(76.0, 86.0) : random.Uniform(45.0, 56.0)) * kDegree;
    const bool from_end = i % 2 == 1 && !above;
    const double roll = (from_end ? 90.0 : 0.0) * kDegree + random.Uniform(-6.0, 6.0) * kDegree;
    const double distance = ground.width_mm * f * random.Uniform(1.02, 1.18);
    const Eigen::Vector3d aim =
        middle + Eigen::Vector3d(random.Uniform(-12.0, 12.0), random.Uniform(-12.0, 12.0), 0.0);
    Pose pose = LookFrom(aim,
                         distance,
                         elevation,
                         azimuth,
                         above ? random.Uniform(-6.0, 6.0) * kDegree - azimuth : roll);
    const double share = options.width / 4000.0;
    pose.df_share = 0.004 * random.Normal();
    pose.dcx = 15.0 * share * random.Normal();
    pose.dcy = 15.0 * share * random.Normal();
    set.poses.push_back(pose);
  }
  return set;
}

namespace {

StandingBoard DrawStandingBoard(const SetOptions& options, const MatLayout& mat, Random& random) {
  StandingBoard board;
  board.size_mm = options.board_mm;
  board.at_mm = {0.5 * mat.width_mm() + random.Uniform(-8.0, 8.0),
                 mat.LineY() + random.Uniform(-2.0, 2.0)};
  board.turned_rad = random.Uniform(-0.6, 0.6) * kDegree;
  board.lean = random.Uniform(-0.03, 0.06);
  board.shape << 0.01 * options.board_mm.x() * random.Uniform(-1.0, 1.0), 0.15 * random.Normal(),
      0.1 * random.Normal(), random.Below(3) == 0 ? random.Uniform(-0.3, 0.3) : 0.0;
  board.kink_at = random.Uniform(-0.6, 0.6);
  board.twist_mm = random.Uniform(-3.0, 3.0);
  board.rough_mm = random.Uniform(0.0, 0.04);
  const Colour masks[] = {{0.05F, 0.16F, 0.07F},
                          {0.04F, 0.06F, 0.16F},
                          {0.16F, 0.04F, 0.03F},
                          {0.03F, 0.03F, 0.03F},
                          {0.22F, 0.16F, 0.05F}};
  board.mask = masks[random.Below(5)];
  board.gloss = static_cast<float>(random.Uniform(0.0, 0.06));
  board.contact_dark = static_cast<float>(random.Uniform(0.1, 0.5));
  const double length = board.size_mm.x();
  for (int i = 0; i < 20; ++i) {
    RenderedPart part;
    part.centre_mm = {random.Uniform(15.0, length - 15.0),
                      random.Uniform(18.0, board.size_mm.y() - 10.0)};
    part.half_mm = {random.Uniform(2.0, 12.0), random.Uniform(2.0, 8.0)};
    part.height_mm = random.Uniform(0.5, 3.0);
    const auto grey = static_cast<float>(random.Uniform(0.02, 0.6));
    part.colour = Colour(grey, grey, grey);
    board.parts.push_back(part);
  }
  // In half of the boards rows of legs that reach over the lower edge, and notches.
  if (random.Below(2) == 0) {
    const int groups = 1 + random.Below(4);
    for (int g = 0; g < groups; ++g) {
      const double first = random.Uniform(15.0, length - 30.0);
      for (int k = 0, legs = 2 + random.Below(4); k < legs; ++k) {
        RenderedPart leg;
        leg.centre_mm = {first + 2.54 * k, random.Uniform(0.8, 1.5)};
        leg.half_mm = {0.35, 1.2};
        leg.height_mm = random.Uniform(1.0, 2.0);
        leg.colour = Colour::Constant(0.35F);
        board.parts.push_back(leg);
      }
    }
    for (int k = 0, bites = random.Below(4); k < bites; ++k)
      board.bites_mm.push_back(random.Uniform(15.0, length - 15.0));
  }
  return board;
}

}  // namespace

RenderedSet DrawStandingSet(const Calib& calib, const SetOptions& options, Random& random) {
  RenderedSet set;
  set.scene.sheet = SheetOf(calib, options.paper, true);
  set.scene.sheet.scale_x = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  set.scene.sheet.scale_y = 1.0 + 0.004 * random.Uniform(-1.0, 1.0);
  set.scene.sheet.shear = 2e-4 * random.Normal();
  set.scene.sheet.SetWavy(random.Uniform(0.01, 0.08), random);
  set.scene.sticker_markers = MarkerFamilyOf(calib, "sticker");
  const MatLayout& mat = set.scene.sheet.layout;
  set.scene.standing = DrawStandingBoard(options, mat, random);
  set.scene.light_slope = {5e-4 * random.Normal(), 5e-4 * random.Normal()};
  set.scene.Prepare();
  set.phone = DrawPhone(options, random);
  set.phone.colour = true;
  const double sides[] = {0.0, -options.aside_deg, options.aside_deg};
  for (int i = 0; i < options.photos; ++i) {
    const double azimuth = (sides[i % 3] + random.Uniform(-5.0, 5.0)) * kDegree;
    const double elevation = random.Uniform(50.0, 70.0) * kDegree;
    const double distance =
        options.further * mat.width_mm() * set.phone.f_share * random.Uniform(1.1, 1.25);
    const Eigen::Vector3d aim(0.5 * mat.width_mm() + random.Uniform(-8.0, 8.0),
                              mat.LineY() + random.Uniform(-15.0, 5.0),
                              20.0);
    Pose pose = LookFrom(aim, distance, elevation, azimuth, random.Uniform(-4.0, 4.0) * kDegree);
    const double share = options.width / 4000.0;
    pose.df_share = 0.004 * random.Normal();
    pose.dcx = 15.0 * share * random.Normal();
    pose.dcy = 15.0 * share * random.Normal();
    set.poses.push_back(pose);
  }
  return set;
}

void Photograph(RenderedSet& set, const SetOptions& options, Random& random) {
  set.files.clear();
  ExifTags tags;
  // A 36 mm wide frame stands for the picture's longer side of 3:2; 4:3 goes by the diagonal.
  const double diagonal = std::hypot(options.width, options.height) / options.width;
  if (options.exif)
    tags.focal_35mm = static_cast<int>(std::lround(43.27 * set.phone.f_share / diagonal));
  for (const Pose& pose : set.poses)
    set.files.push_back(TakePhoto(set.scene, set.phone, pose, random, tags));
}

double TrueHeight(const LyingBoard& board, int sticker) {
  const double up = board.Height(Find(board, sticker).centre_mm);
  return board.component_down ? -up : up;
}

Eigen::Vector2d TruePlace(const LyingBoard& board, int sticker) {
  return Find(board, sticker).centre_mm;
}

Board DescribedBoard(const Calib& calib, const Eigen::Vector2d& size_mm) {
  auto board = RectangularBoard(size_mm.x(), size_mm.y(), calib);
  LIEFLAT_CHECK(board.has_value(), "a board of that size");
  board->label = "bench/rendered";
  return *board;
}

}  // namespace lieflat::testing
