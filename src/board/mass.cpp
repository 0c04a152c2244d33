#include "lieflat/board/mass.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "lieflat/board/polygon.h"

namespace lieflat {
namespace {

constexpr double kM2PerMm2 = 1e-6;
constexpr double kMPerMm = 1e-3;
constexpr double kGPerKg = 1e3;

double Supports(const Calib& calib, const char* pointer) {
  return calib.Number("supports", pointer).value;
}

double LaminateMassG(const Board& board) {
  return kGPerKg * board.laminate.density_kg_m3 * board.Area() * kM2PerMm2 *
         board.thickness_mm.value * kMPerMm;
}

/// What copper weighs more than the laminate whose place it takes. Unknown layers: none.
double CopperExtraG(const Board& board, const Calib& calib) {
  if (!board.copper_layers) return 0.0;
  const auto copper = [&](const char* key) {
    return calib.Number("laminates", std::string("/copper/") + key).value;
  };
  const double excess = copper("density_kg_m3") - board.laminate.density_kg_m3;
  return kGPerKg * *board.copper_layers * copper("foil_thickness_mm") * kMPerMm *
         copper("cover_share") * excess * board.Area() * kM2PerMm2;
}

struct PartMass {
  std::size_t part = 0;
  double known_g = 0.0;  ///< stated
  double volume_mm3 = 0.0;
};

std::vector<PartMass> PartsWithPlace(const Board& board, const Calib& calib) {
  std::vector<PartMass> masses;
  for (std::size_t i = 0; i < board.parts.size(); ++i) {
    const Part& part = board.parts[i];
    if (!part.has_place()) continue;
    PartMass mass{i, part.mass_g.value_or(0.0), 0.0};
    if (!part.mass_g) {
      const double usual =
          calib.Number("part_classes", "/classes/" + part.part_class + "/usual_height_mm").value;
      mass.volume_mm3 = part.size_mm->prod() * part.height_mm.value_or(usual);
    }
    masses.push_back(mass);
  }
  return masses;
}

Eigen::Vector2d CentreOfMass(const Board& board, const MassModel& mass, const Calib& calib) {
  const MassLayout layout = LayOutMass(board, mass, calib);
  Eigen::Vector2d moment = layout.even_g * AreaCentre(board);
  for (const MassLayout::OnPart& on : layout.parts) {
    moment += on.mass_g * *board.parts[on.part].centre_mm;
  }
  return moment / mass.total_g.value;
}

/// The whole mass where none was weighed: a range per area, and never less than the laminate.
Uncertain AssumedMass(const Board& board, double bare_g, const Calib& calib) {
  if (!board.populated) return {bare_g, bare_g * Supports(calib, "/bare_mass_slack")};
  const double per_area = kGPerKg * board.Area() * kM2PerMm2;
  const double low = std::max(bare_g, Supports(calib, "/areal_mass_low_kg_m2") * per_area);
  const double high = std::max(low, Supports(calib, "/areal_mass_high_kg_m2") * per_area);
  return {0.5 * (low + high), 0.5 * (high - low) / std::sqrt(3.0)};  // rectangular
}

/// Piecewise linear in short / long side between the computed plates.
double SagCoefficient(double short_over_long, const Calib& calib) {
  std::vector<std::pair<double, double>> table;
  for (const char* name : {"slender", "three-to-two", "five-to-four", "square"}) {
    const std::string at = std::string("/corner_sag/") + name;
    table.emplace_back(calib.Number("supports", at + "/short_over_long").value,
                       calib.Number("supports", at + "/coefficient").value);
  }
  for (std::size_t i = 1; i < table.size(); ++i) {
    if (short_over_long > table[i].first) continue;
    const auto [x0, y0] = table[i - 1];
    const auto [x1, y1] = table[i];
    return y0 + (y1 - y0) * (short_over_long - x0) / (x1 - x0);
  }
  return table.back().second;
}

}  // namespace

double MassModel::areal_kg_m2(const Board& board) const {
  return total_g.value / kGPerKg / (board.Area() * kM2PerMm2);
}

Result<MassModel> DistributeMass(const Board& board, const Calib& calib) {
  MassModel model;
  const double laminate_g = LaminateMassG(board);
  model.bare_g = laminate_g + CopperExtraG(board, calib);
  if (board.mass_g) {
    const double lowest = laminate_g * (1.0 - Supports(calib, "/bare_mass_slack"));
    if (board.mass_g->value < lowest) {
      return Error{ErrorCode::kRefused,
                   "mass_g",
                   fmt::format("{:.6g} g is less than the bare laminate weighs, {:.4g} g",
                               board.mass_g->value,
                               laminate_g),
                   "check the mass, the thickness and the size"};
    }
    model.total_g = *board.mass_g;
    model.bare_g = std::min(model.bare_g, board.mass_g->value);
  } else {
    model.total_g = AssumedMass(board, model.bare_g, calib);
    model.assumed = true;
  }
  model.centre_mm = CentreOfMass(board, model, calib);
  return model;
}

MassLayout LayOutMass(const Board& board,
                      const MassModel& mass,
                      const Calib& calib,
                      double split_factor) {
  const double rest_g = mass.total_g.value - mass.bare_g;
  const std::vector<PartMass> parts = PartsWithPlace(board, calib);
  double known = 0.0;
  double volume = 0.0;
  for (const PartMass& part : parts) {
    known += part.known_g;
    volume += part.volume_mm3;
  }
  // Stated masses come first, cut down together when they exceed what the scale leaves for them.
  const double known_scale = known > rest_g ? rest_g / known : 1.0;
  const double open_g = std::max(0.0, rest_g - known * known_scale);  // no rounding below 0
  const double most_g_per_mm3 =
      Supports(calib, "/part_density_most_kg_m3") * kGPerKg * kM2PerMm2 * kMPerMm;
  const double g_per_mm3 = volume > 0.0 ? std::min(most_g_per_mm3, open_g / volume) : 0.0;
  const double on_parts_g = known * known_scale + g_per_mm3 * volume;
  const double most_factor = on_parts_g > 0.0 ? rest_g / on_parts_g : 1.0;
  const double factor = std::clamp(split_factor, 0.0, most_factor);
  MassLayout layout;
  layout.bare_g = mass.bare_g;
  layout.even_g = mass.total_g.value - factor * on_parts_g;
  layout.parts.reserve(parts.size());
  for (const PartMass& part : parts) {
    const double mass_g = part.known_g * known_scale + part.volume_mm3 * g_per_mm3;
    layout.parts.push_back({part.part, factor * mass_g});
  }
  return layout;
}

double PlateStiffness(double modulus_mpa, double thickness_mm, double poisson) {
  return modulus_mpa * thickness_mm * thickness_mm * thickness_mm /
         (12.0 * (1.0 - poisson * poisson));
}

Uncertain LargestSag(const Board& board, const MassModel& mass, const Calib& calib) {
  const double length = 0.5 * (board.EdgeLength(Edge::kAB) + board.EdgeLength(Edge::kCD));
  const double width = 0.5 * (board.EdgeLength(Edge::kBC) + board.EdgeLength(Edge::kDA));
  const double longer = std::max(length, width);
  const double coefficient = SagCoefficient(std::min(length, width) / longer, calib);
  const Laminate& laminate = board.laminate;
  // The softer direction, as an upper estimate.
  const Uncertain modulus = laminate.modulus_x_mpa.value < laminate.modulus_y_mpa.value
                                ? laminate.modulus_x_mpa
                                : laminate.modulus_y_mpa;
  const double stiffness =
      PlateStiffness(modulus.value, board.thickness_mm.value, laminate.poisson.value);
  const double pressure_mpa =  // N/mm2
      mass.areal_kg_m2(board) * Supports(calib, "/gravity_m_s2") * kM2PerMm2;
  const double sag = coefficient * pressure_mpa * std::pow(longer, 4) / stiffness;
  const double relative = std::hypot(modulus.u / modulus.value,
                                     3.0 * board.thickness_mm.u / board.thickness_mm.value,
                                     mass.total_g.u / mass.total_g.value);
  return {sag, sag * relative};
}

}  // namespace lieflat
