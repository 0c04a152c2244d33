#include "lieflat/plate/model.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "lieflat/board/mass.h"

namespace lieflat {
namespace {

constexpr double kMpaPerGpa = 1e3;
// The range board.json allows for a stated pitch; a pitch made from a number of joints keeps to it.
constexpr double kFinestPitchMm = 0.1;
constexpr double kWidestPitchMm = 50.0;

/// The numbers of a part's class, each replaced by what the board's description states.
class PartNumbers {
 public:
  PartNumbers(const Part& part, const Calib& calib)
      : part_(part), calib_(calib), at_("/classes/" + part.part_class + "/") {}

  [[nodiscard]] std::optional<double> Find(const std::string& key) const {
    const auto number = calib_.Find("part_classes", at_ + key);
    return number ? std::optional(number->value) : std::nullopt;
  }
  [[nodiscard]] double Number(const std::string& key) const {
    return calib_.Number("part_classes", at_ + key).value;
  }
  [[nodiscard]] bool ClassStiffens() const {
    return calib_.Document("part_classes")
        .at("classes")
        .at(part_.part_class)
        .at("stiffens")
        .get<bool>();
  }
  /// The description says enough to do without a class.
  [[nodiscard]] bool StatedInFull() const {
    return part_.body_modulus_gpa && part_.joint_axial_n_per_mm && part_.joint_shear_n_per_mm &&
           (part_.joint_pitch_mm || part_.joint_count);
  }
  [[nodiscard]] std::string WhyNot() const { return calib_.Text("part_classes", at_ + "why_not"); }

  [[nodiscard]] double BodyThickness() const {
    if (part_.body_thickness_mm) return *part_.body_thickness_mm;
    const double usual_height = Number("usual_height_mm");
    const double usual = Find("body_thickness_mm").value_or(usual_height);
    // A part taller or lower than usual keeps the body's share of its height.
    return part_.height_mm ? *part_.height_mm * usual / usual_height : usual;
  }
  [[nodiscard]] Ply Body() const {
    constexpr double kPoissonUnknown = 0.3;  // of a body described by its owner alone
    const double modulus_gpa =
        part_.body_modulus_gpa ? *part_.body_modulus_gpa : Number("body_modulus_gpa");
    return Ply::Isotropic(
        modulus_gpa * kMpaPerGpa, Find("body_poisson").value_or(kPoissonUnknown), BodyThickness());
  }
  [[nodiscard]] double Axial() const {
    return part_.joint_axial_n_per_mm ? *part_.joint_axial_n_per_mm
                                      : Number("joint_axial_n_per_mm");
  }
  [[nodiscard]] double Shear() const {
    return part_.joint_shear_n_per_mm ? *part_.joint_shear_n_per_mm
                                      : Number("joint_shear_n_per_mm");
  }
  [[nodiscard]] JointLayout Layout(const Eigen::Vector2d& size_mm) const;
  [[nodiscard]] double Pitch(JointLayout layout, const Eigen::Vector2d& size_mm) const;

 private:
  const Part& part_;
  const Calib& calib_;
  std::string at_;
};

JointLayout LayoutNamed(const std::string& name) {
  if (name == "area") return JointLayout::kArea;
  if (name == "perimeter") return JointLayout::kPerimeter;
  if (name == "long-sides") return JointLayout::kLongSides;
  LIEFLAT_CHECK(name == "line", "no layout of joints is named " + name);
  return JointLayout::kLine;
}

JointLayout PartNumbers::Layout(const Eigen::Vector2d& size_mm) const {
  if (!ClassStiffens()) return JointLayout::kArea;
  // A socket about as wide as long takes a grid of pins, a long one two rows.
  constexpr double kSquareFrom = 0.8;
  const Json& entry = calib_.Document("part_classes").at("classes").at(part_.part_class);
  const bool square = size_mm.minCoeff() >= kSquareFrom * size_mm.maxCoeff();
  const bool variant = square && entry.contains("joint_layout_square");
  return LayoutNamed(
      calib_.Text("part_classes", at_ + (variant ? "joint_layout_square" : "joint_layout")));
}

/// The pitch at which `count` joints fill a layout evenly.
double PitchOf(double count, JointLayout layout, const Eigen::Vector2d& size_mm) {
  const double longer = size_mm.maxCoeff();
  double pitch = 0.0;
  switch (layout) {
    case JointLayout::kArea:
      pitch = std::sqrt(size_mm.prod() / count);
      break;
    case JointLayout::kPerimeter:
      pitch = 2.0 * size_mm.sum() / count;
      break;
    case JointLayout::kLongSides:
      pitch = 2.0 * longer / count;
      break;
    case JointLayout::kLine:
      pitch = longer / count;
      break;
  }
  return std::clamp(pitch, kFinestPitchMm, kWidestPitchMm);
}

double PartNumbers::Pitch(JointLayout layout, const Eigen::Vector2d& size_mm) const {
  const double rows = layout == JointLayout::kLine ? Find("joint_rows").value_or(1.0) : 1.0;
  if (part_.joint_pitch_mm) return *part_.joint_pitch_mm / rows;
  if (part_.joint_count) return PitchOf(*part_.joint_count, layout, size_mm);
  if (const auto usual = Find("joint_pitch_mm")) return *usual / rows;
  return PitchOf(Number("joint_count"), layout, size_mm);
}

/// Why a part does not stiffen; nothing when it does.
std::optional<std::string> WhyNotStiffening(const Part& part, const Calib& calib) {
  if (!part.has_place()) return "has no place on the board";
  const PartNumbers numbers(part, calib);
  if (!numbers.ClassStiffens() && !numbers.StatedInFull()) return numbers.WhyNot();
  const double from = calib.Number("part_classes", "/stiffener_from_mm").value;
  if (part.size_mm->maxCoeff() < from) return "is too small to stiffen the board";
  return std::nullopt;
}

Stiffener StiffenerOf(const Part& part,
                      const Board& board,
                      const Calib& calib,
                      double joint_factor) {
  const auto [low, high] = AxisFootprint(part);
  const auto [board_low, board_high] = board.Box();
  const PartNumbers numbers(part, calib);
  Stiffener made;
  made.ref = part.ref;
  // What reaches over the edge has no joints with the board.
  made.low_mm = low.cwiseMax(board_low);
  made.high_mm = high.cwiseMin(board_high);
  made.side = part.side;
  made.ply = numbers.Body();
  const Eigen::Vector2d size_mm = made.high_mm - made.low_mm;
  made.layout = numbers.Layout(size_mm);
  made.pitch_mm = numbers.Pitch(made.layout, size_mm);
  made.axial_n_per_mm = joint_factor * numbers.Axial();
  made.shear_n_per_mm = joint_factor * numbers.Shear();
  return made;
}

/// The laminate as one layer. @error kRefused when its stiffness is not positive.
Result<Ply> LaminatePly(const Board& board, const PlateOptions& options) {
  const Laminate& laminate = board.laminate;
  Ply ply;
  ply.modulus_x_mpa = options.modulus_factor * laminate.modulus_x_mpa.value;
  ply.modulus_y_mpa = options.modulus_factor * laminate.modulus_y_mpa.value;
  ply.poisson = laminate.poisson.value;
  ply.shear_mpa = options.shear_factor * laminate.shear_mpa.value;
  ply.thickness_mm = options.thickness_factor * board.thickness_mm.value;
  // Energy is positive for every strain: nu_xy nu_yx < 1 (Jones, Mechanics of Composite Materials,
  // 2nd ed., sect. 2.4).
  const double most = std::sqrt(ply.modulus_x_mpa / ply.modulus_y_mpa);
  if (!(ply.poisson < most)) {
    return Error{
        ErrorCode::kRefused,
        "laminate, poisson",
        fmt::format("{:.4g} is not below {:.4g}, the root of modulus_x_gpa / modulus_y_gpa",
                    ply.poisson,
                    most),
        "poisson is the contraction along y for a pull along x; check it and the moduli"};
  }
  return ply;
}

std::vector<MassPatch> MassPatches(const Board& board,
                                   MassModel mass,
                                   const Calib& calib,
                                   const PlateOptions& options) {
  mass.total_g.value *= options.mass_factor;
  mass.bare_g = std::min(mass.bare_g, mass.total_g.value);
  const MassLayout layout = LayOutMass(board, mass, calib, options.split_factor);
  std::vector<MassPatch> patches;
  patches.reserve(layout.parts.size() + 1);
  patches.push_back(MassPatch{.mass_g = layout.even_g});
  for (const MassLayout::OnPart& on : layout.parts) {
    const auto [low, high] = AxisFootprint(board.parts[on.part]);
    patches.push_back({low, high, on.mass_g});
  }
  return patches;
}

void CheckFactors(const PlateOptions& options) {
  for (const double factor : {options.modulus_factor,
                              options.shear_factor,
                              options.thickness_factor,
                              options.joint_factor,
                              options.mass_factor}) {
    LIEFLAT_CHECK(factor > 0.0 && std::isfinite(factor),
                  fmt::format("a factor on a plate's numbers is above 0, not {}", factor));
  }
}

}  // namespace

Ply Ply::Isotropic(double modulus_mpa, double poisson, double thickness_mm) {
  return {modulus_mpa, modulus_mpa, poisson, 0.5 * modulus_mpa / (1.0 + poisson), thickness_mm};
}

Eigen::Matrix3d Ply::Membrane() const {
  const double poisson_yx = poisson * modulus_y_mpa / modulus_x_mpa;
  const double over = 1.0 / (1.0 - poisson * poisson_yx);
  Eigen::Matrix3d stiffness;
  stiffness << modulus_x_mpa * over, poisson_yx * modulus_x_mpa * over, 0.0,  //
      poisson * modulus_y_mpa * over, modulus_y_mpa * over, 0.0,              //
      0.0, 0.0, shear_mpa;
  // nu_yx Ex = nu_xy Ey up to rounding; solvers count on exact symmetry.
  stiffness(1, 0) = stiffness(0, 1);
  return thickness_mm * stiffness;
}

Eigen::Matrix3d Ply::Bending() const { return thickness_mm * thickness_mm / 12.0 * Membrane(); }

std::pair<Eigen::Vector2d, Eigen::Vector2d> AxisFootprint(const Part& part) {
  LIEFLAT_CHECK(part.has_place(), "a footprint needs a place and a size: " + part.ref);
  const double angle = part.rotation_deg * std::numbers::pi / 180.0;
  const double c = std::abs(std::cos(angle));
  const double s = std::abs(std::sin(angle));
  const Eigen::Vector2d box(part.size_mm->x() * c + part.size_mm->y() * s,
                            part.size_mm->x() * s + part.size_mm->y() * c);
  // At quarter turns the box is the footprint and the shrinking does nothing.
  const Eigen::Vector2d half = 0.5 * std::sqrt(part.size_mm->prod() / box.prod()) * box;
  return {*part.centre_mm - half, *part.centre_mm + half};
}

std::vector<NotStiffening> PartsNotStiffening(const Board& board, const Calib& calib) {
  std::vector<NotStiffening> left_out;
  for (const Part& part : board.parts) {
    if (auto why = WhyNotStiffening(part, calib)) left_out.push_back({part.ref, *std::move(why)});
  }
  return left_out;
}

Result<PlateModel> MakePlateModel(const Board& board,
                                  const Calib& calib,
                                  const PlateOptions& options) {
  CheckFactors(options);
  const auto mass = DistributeMass(board, calib);
  if (!mass) return mass.error();
  const auto ply = LaminatePly(board, options);
  if (!ply) return ply.error();
  PlateModel model;
  model.outline_mm = board.outline_mm;
  model.cutouts_mm = board.cutouts_mm;
  model.board = *ply;
  for (const Part& part : board.parts) {
    if (WhyNotStiffening(part, calib)) continue;
    model.stiffeners.push_back(StiffenerOf(part, board, calib, options.joint_factor));
  }
  model.masses = MassPatches(board, *mass, calib, options);
  model.gravity_m_s2 = calib.Number("supports", "/gravity_m_s2").value;
  model.cell_mm = options.cell_mm;
  model.fine_mm = options.fine_mm;
  return model;
}

}  // namespace lieflat
