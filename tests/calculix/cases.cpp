#include "calculix/cases.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace lieflat::testing {
namespace {

constexpr double kLongMm = 120, kWideMm = 100, kThickMm = 1.57;
constexpr int kColumns = 24, kRows = 20;
// Bare woven glass laminate, 1.9 g/cm3: common practice.
constexpr double kGramPerMm3 = 1.9e-3;

Ply Laminate() { return Ply::Isotropic(20000, 0.15, kThickMm); }

std::vector<double> EvenLines(double length_mm, int cells) {
  std::vector<double> lines;
  for (int i = 0; i <= cells; ++i) {
    lines.push_back(length_mm * i / cells);
  }
  return lines;
}

std::vector<Hold::Rest> CornerRests(double long_mm, double wide_mm) {
  return {{{0, 0}}, {{long_mm, 0}}, {{0, wide_mm}}, {{long_mm, wide_mm}}};
}

}  // namespace

HeightField Warp::Over(double long_mm, double wide_mm) const {
  const auto height = [kind = kind, size = size_mm](double across, double along) {  // -1 to 1
    switch (kind) {
      case Kind::kFlat:
        return 0.0;
      case Kind::kBow:
        return size * (1 - across * across);
      case Kind::kTwist:
        return size / 4 * (1 + across * along);
      case Kind::kDome:
        return size * (1 - (across * across + along * along) / 2);
    }
    return 0.0;
  };
  return [height, long_mm, wide_mm](const Eigen::Vector2d& at) {
    return height(2 * at.x() / long_mm - 1, 2 * at.y() / wide_mm - 1);
  };
}

const char* Warp::Name() const {
  switch (kind) {
    case Kind::kFlat:
      return "flat";
    case Kind::kBow:
      return "bow";
    case Kind::kTwist:
      return "twist";
    case Kind::kDome:
      return "dome";
  }
  return "";
}

SolidCase EvenBoard(double long_mm, double wide_mm, int columns, int rows, const Ply& ply) {
  SolidCase made;
  PlateModel& model = made.model;
  model.outline_mm = {{0, 0}, {long_mm, 0}, {long_mm, wide_mm}, {0, wide_mm}};
  model.board = ply;
  model.masses = {{.mass_g = kGramPerMm3 * long_mm * wide_mm * ply.thickness_mm}};
  model.lines_x_mm = EvenLines(long_mm, columns);
  model.lines_y_mm = EvenLines(wide_mm, rows);
  model.cell_mm = model.fine_mm = std::max(long_mm / columns, wide_mm / rows);
  made.shape = Warp{}.Over(long_mm, wide_mm);
  return made;
}

SolidCase SagOnCorners(const Ply& ply) {
  SolidCase made = EvenBoard(kLongMm, kWideMm, kColumns, kRows, ply);
  made.name = "even load, four corners";
  made.model.masses = {{.mass_g = 1000}};  // sags by about 0.4 mm
  made.hold.table = false;
  made.hold.rests = CornerRests(kLongMm, kWideMm);
  return made;
}

SolidCase WeightsOnHighCorners() {
  SolidCase made = EvenBoard(kLongMm, kWideMm, kColumns, kRows, Laminate());
  made.name = "twist 3 mm, weights on its high corners";
  made.shape = Warp{Warp::Kind::kTwist, 3}.Over(kLongMm, kWideMm);
  // About half of what presses both corners flat, 2 D (1 - nu) R / (long wide) = 2.8 N each; not
  // the same on both, else the board would stand on the other two corners and could tip either way.
  made.hold.weights = {{1.6, {0, 0}, {20, 20}},
                       {1.2, {kLongMm - 20, kWideMm - 20}, {kLongMm, kWideMm}}};
  return made;
}

SolidCase PureTwist() {
  SolidCase made = EvenBoard(kLongMm, kWideMm, kColumns, kRows, Laminate());
  made.name = "pure twist";
  made.hold.table = false;
  made.hold.own_weight = false;
  made.hold.rests = {{{0, 0}, 0, true}, {{kLongMm, 0}, 0, true}, {{0, kWideMm}, 0, true}};
  made.hold.forces = {{{kLongMm, kWideMm}, 2.0}};
  return made;
}

SolidCase BetweenPlates(Warp::Kind kind) {
  SolidCase made = EvenBoard(kLongMm, kWideMm, kColumns, kRows, Laminate());
  const Warp warp{kind, 2.0};
  made.name = fmt::format("{} 2 mm between plates 0.6 mm apart", warp.Name());
  made.shape = warp.Over(kLongMm, kWideMm);
  made.hold.plate = Hold::TopPlate{.gap_mm = 0.6};
  return made;
}

namespace {

/// Lines every 5 mm, and as far apart as the joints from two joints before the body to two after
/// it.
std::vector<double> LinesRound(double low_mm, double high_mm, double joint_mm, double side_mm) {
  constexpr double kCoarseMm = 5;
  std::vector<double> lines;
  const double from = low_mm - 2 * joint_mm, to = high_mm + 2 * joint_mm;
  for (double at = 0; at < from - joint_mm / 2; at += kCoarseMm) {
    lines.push_back(at);
  }
  const int joints = static_cast<int>(std::lround((to - from) / joint_mm));
  for (int i = 0; i <= joints; ++i) {
    lines.push_back(from + i * joint_mm);
  }
  std::vector<double> beyond;
  for (double at = side_mm; at > to + joint_mm / 2; at -= kCoarseMm) {
    beyond.push_back(at);
  }
  lines.insert(lines.end(), beyond.rbegin(), beyond.rend());
  return lines;
}

/// Rests that hold both ways at 5 mm from two edges, forces at 20 mm, spread along their lines.
void HoldByFourLines(const std::vector<double>& lines, double force_n, Hold& hold) {
  const double side_mm = lines.back();
  hold.table = false;
  hold.own_weight = false;
  for (std::size_t j = 0; j < lines.size(); ++j) {
    const double below = j > 0 ? lines[j - 1] : lines[j];
    const double above = j + 1 < lines.size() ? lines[j + 1] : lines[j];
    for (const double x : {5.0, side_mm - 5.0}) {
      hold.rests.push_back({{x, lines[j]}, 0.0, true});
    }
    for (const double x : {20.0, side_mm - 20.0}) {
      hold.forces.push_back({{x, lines[j]}, -force_n * (above - below) / 2 / side_mm});
    }
  }
}

}  // namespace

SolidCase PartInFourLineBend(const PartSpec& part) {
  constexpr double kSideMm = 100;
  constexpr double kForceN = 30;  // of each inner line: about 400 microstrain between them
  SolidCase made = EvenBoard(kSideMm, kSideMm, 20, 20, Laminate());
  made.name =
      fmt::format("part {:.3g} mm, {:.3g} mm thick, {:.0f} GPa, joints {:.0f} N/mm3 on {:.3g} mm",
                  part.body_mm,
                  part.body.thickness_mm,
                  part.body.modulus_x_mpa / 1000,
                  part.axial_n_per_mm3,
                  part.joint_mm);
  const double low_mm = (kSideMm - part.body_mm) / 2, high_mm = (kSideMm + part.body_mm) / 2;
  PlateModel& model = made.model;
  model.fine_mm = part.joint_mm;
  model.lines_x_mm = model.lines_y_mm = LinesRound(low_mm, high_mm, part.joint_mm, kSideMm);
  const double area_mm2 = part.joint_mm * part.joint_mm;
  model.stiffeners = {{.ref = "U1",
                       .low_mm = {low_mm, low_mm},
                       .high_mm = {high_mm, high_mm},
                       .ply = part.body,
                       .layout = JointLayout::kArea,
                       .pitch_mm = part.joint_mm,
                       .axial_n_per_mm = part.axial_n_per_mm3 * area_mm2,
                       .shear_n_per_mm = part.shear_n_per_mm3 * area_mm2}};
  HoldByFourLines(model.lines_x_mm, kForceN, made.hold);
  return made;
}

// A 0.76 mm ball on its pads at 1.27 mm: 2 600 N/mm along, 1 000 N/mm across (prior).
PartSpec SmallPart() { return {.body_mm = 15, .axial_n_per_mm3 = 1600, .shear_n_per_mm3 = 620}; }

std::vector<PartSpec> FineParts() {
  // 12 500 N/mm along on a pitch of 1.25 mm, and 1 / (2 (1 + nu)) of that across.
  const PartSpec solder{.axial_n_per_mm3 = 8000, .shear_n_per_mm3 = 3000};
  PartSpec soft = solder, thick = solder, ceramic = solder;
  soft.axial_n_per_mm3 = 1600;
  soft.shear_n_per_mm3 = 620;
  thick.body = Ply::Isotropic(17000, 0.25, 3.5);
  ceramic.body = Ply::Isotropic(280000, 0.22, 1);
  return {solder, soft, thick, ceramic};
}

std::vector<SolidCase> SmallCases() {
  // A woven laminate's own values: Ex 22, Ey 18, Gxy 5 GPa.
  const Ply woven{22000, 18000, 0.136, 5000, kThickMm};
  SolidCase sag_of_woven = SagOnCorners(woven);
  sag_of_woven.name += ", orthotropic";
  return {SagOnCorners(Laminate()),
          sag_of_woven,
          WeightsOnHighCorners(),
          PureTwist(),
          BetweenPlates(Warp::Kind::kBow),
          BetweenPlates(Warp::Kind::kDome)};
}

namespace {

SolidCase LargeBoard(const Warp& warp, int finer) {
  constexpr double kLargeMm = 305, kAcrossMm = 244;
  SolidCase made = EvenBoard(kLargeMm, kAcrossMm, 24 * finer, 20 * finer, Laminate());
  made.shape = warp.Over(kLargeMm, kAcrossMm);
  made.first_increment = 0.1;
  return made;
}

}  // namespace

SolidCase LargeBetweenPlates(const Warp& warp, double gap_share, int finer) {
  SolidCase made = LargeBoard(warp, finer);
  made.name =
      fmt::format("{} {:.0f} mm, plates at {:.1f} of it", warp.Name(), warp.size_mm, gap_share);
  made.hold.own_weight = false;
  made.hold.plate = Hold::TopPlate{.gap_mm = gap_share * warp.size_mm};
  return made;
}

SolidCase LargeUnderWeight(const Warp& warp, int finer) {
  SolidCase made = LargeBoard(warp, finer);
  made.name = fmt::format("{} {:.0f} mm under 10 N", warp.Name(), warp.size_mm);
  const std::vector<double>&x = made.model.lines_x_mm, &y = made.model.lines_y_mm;
  const auto line = [times = static_cast<std::size_t>(finer)](std::size_t coarse) {
    return coarse * times;
  };
  made.hold.weights = {{10.0, {x[line(9)], y[line(7)]}, {x[line(15)], y[line(13)]}}};
  return made;
}

std::vector<LargeCase> LargeCases(Warp::Kind kind, int finer) {
  std::vector<LargeCase> cases;
  for (const double size_mm : {3.0, 6.0, 9.0}) {
    const Warp warp{kind, size_mm};
    cases.push_back({warp, LargeBetweenPlates(warp, 0.3, finer)});
    cases.push_back({warp, LargeBetweenPlates(warp, 0.1, finer)});
    cases.push_back({warp, LargeUnderWeight(warp, finer)});
  }
  return cases;
}

SolidCase FullBoard() {
  constexpr double kLargeMm = 305, kAcrossMm = 244;
  SolidCase made = EvenBoard(kLargeMm, kAcrossMm, 61, 49, Laminate());
  made.name = "four parts and two slots under 10 N";
  PlateModel& model = made.model;
  model.lines_x_mm.clear();
  model.lines_y_mm.clear();
  model.cell_mm = 5.0;
  model.fine_mm = 5.0;
  const auto add = [&](const char* ref,
                       const Eigen::Vector2d& low,
                       const Eigen::Vector2d& size,
                       const Ply& ply) {
    model.stiffeners.push_back({.ref = ref,
                                .low_mm = low,
                                .high_mm = low + size,
                                .ply = ply,
                                .layout = JointLayout::kArea,
                                .pitch_mm = 1.27,
                                .axial_n_per_mm = 2600,
                                .shear_n_per_mm = 1000});
  };
  add("U1", {130, 140}, {35, 35}, Ply::Isotropic(20000, 0.25, 2));
  add("U2", {200, 150}, {27.5, 27.5}, Ply::Isotropic(20000, 0.25, 2));
  add("U3", {60, 170}, {25, 25}, Ply::Isotropic(20000, 0.25, 2));
  add("U4", {220, 60}, {30, 30}, Ply::Isotropic(17000, 0.25, 3.5));
  for (const double x : {40.0, 60.0}) {
    add(x < 50 ? "J1" : "J2", {x, 15}, {12.5, 137.5}, Ply::Isotropic(8000, 0.35, 11));
    Stiffener& slot = model.stiffeners.back();
    slot.layout = JointLayout::kLine;
    slot.pitch_mm = 1.27;
    slot.axial_n_per_mm = 3000;
    slot.shear_n_per_mm = 1000;
  }
  model.masses = {{.mass_g = 500}};
  const HeightField bow = Warp{Warp::Kind::kBow, 4}.Over(kLargeMm, kAcrossMm);
  const HeightField twist = Warp{Warp::Kind::kTwist, 3}.Over(kLargeMm, kAcrossMm);
  made.shape = [bow, twist](const Eigen::Vector2d& at) { return bow(at) + twist(at); };
  made.hold.weights = {{10.0, {130, 140}, {165, 175}}};
  return made;
}

}  // namespace lieflat::testing
