#include <algorithm>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/board.h"

#include "board/limits.h"

namespace lieflat {
namespace {

/// A calib number in GPa as MPa.
Uncertain Mpa(const CalibNumber& gpa) { return {gpa.value * 1e3, gpa.uncertainty * 1e3}; }

std::string SourceOf(const CalibNumber& number) {
  return fmt::format("{} [{}]", number.source, Name(number.confidence));
}

const char* LayersKey(const std::optional<int>& copper_layers) {
  if (!copper_layers) return "unknown";
  return *copper_layers <= 2 ? "two" : "four";
}

Error UnknownName(const std::string& where,
                  const std::string& what,
                  const std::string& name,
                  const std::vector<std::string>& known) {
  const auto near = Nearest(name, known);
  const std::string all = "known: " + Join(known, ", ");
  return {ErrorCode::kBadUse,
          where,
          fmt::format("\"{}\" is no {} that is known", name, what),
          near ? fmt::format("did you mean \"{}\"? {}", *near, all) : all};
}

}  // namespace

Result<void> SetLaminate(Board& board, const std::string& name, const Calib& calib) {
  const std::vector<std::string> known = calib.Keys("laminates", "/laminates");
  if (std::find(known.begin(), known.end(), name) == known.end()) {
    return UnknownName("laminate", "laminate", name, known);
  }
  const std::string at = "/laminates/" + name;
  const auto number = [&](const std::string& key) {
    return calib.Number("laminates", at + "/" + key);
  };
  Laminate laminate;
  laminate.name = name;
  laminate.plain = calib.Text("laminates", at + "/plain");
  CalibNumber modulus_x = number("modulus_x_gpa");
  CalibNumber modulus_y = number("modulus_y_gpa");
  CalibNumber shear = number("shear_gpa");
  // Copper outweighs the difference between the two directions of glass-epoxy.
  const Json& entry = calib.Document("laminates").at("laminates").at(name);
  if (entry.value("copper_layers_set_modulus", false)) {
    modulus_x = calib.Number("laminates",
                             fmt::format("/layers/{}/modulus_gpa", LayersKey(board.copper_layers)));
    modulus_y = modulus_x;
    shear = calib.Number("laminates", "/layers/shear_gpa");
  }
  const CalibNumber poisson = number("poisson");
  laminate.modulus_x_mpa = Mpa(modulus_x);
  laminate.modulus_y_mpa = Mpa(modulus_y);
  laminate.shear_mpa = Mpa(shear);
  laminate.poisson = {poisson.value, poisson.uncertainty};
  laminate.density_kg_m3 = number("density_kg_m3").value;
  laminate.tg_c = number("tg_c").value;
  laminate.source = SourceOf(modulus_x);
  board.laminate_name = name;
  board.laminate = laminate;
  return {};
}

Result<Board> RectangularBoard(double length_mm, double width_mm, const Calib& calib) {
  for (const double side : {length_mm, width_mm}) {
    if (!(side >= kSmallestSideMm && side <= kLargestSideMm)) {
      return Error{
          ErrorCode::kRefused,
          "size",
          fmt::format("{} mm is outside {} to {} mm", side, kSmallestSideMm, kLargestSideMm),
          "give length and width in mm, for example 305x244"};
    }
  }
  const double x = std::max(length_mm, width_mm);
  const double y = std::min(length_mm, width_mm);
  Board board;
  board.outline_mm = {{0.0, 0.0}, {x, 0.0}, {x, y}, {0.0, y}};
  std::copy(board.outline_mm.begin(), board.outline_mm.end(), board.corners_mm.begin());
  const double thickness = calib.Number("laminates", "/usual_thickness_mm").value;
  board.thickness_mm = {thickness,
                        thickness * calib.Number("laminates", "/thickness_relative_sd").value};
  if (auto set = SetLaminate(board, calib.Text("laminates", "/usual"), calib); !set) {
    return set.error();
  }
  return board;
}

std::vector<std::string> PresetNames(const Calib& calib) {
  return calib.Keys("presets", "/presets");
}

Result<Board> PresetBoard(const std::string& name, const Calib& calib) {
  const std::vector<std::string> known = PresetNames(calib);
  if (std::find(known.begin(), known.end(), name) == known.end()) {
    return UnknownName("preset", "preset", name, known);
  }
  const std::string at = "/presets/" + name;
  const auto number = [&](const std::string& key) {
    return calib.Number("presets", at + "/" + key).value;
  };
  auto made = RectangularBoard(number("length_mm"), number("width_mm"), calib);
  if (!made) return made.error();
  Board board = *std::move(made);
  const Json& entry = calib.Document("presets").at("presets").at(name);
  board.preset = name;
  board.thickness_mm.value = number("thickness_mm");
  board.thickness_mm.u =
      board.thickness_mm.value * calib.Number("laminates", "/thickness_relative_sd").value;
  board.mounting = calib.Text("presets", at + "/mounting");
  if (entry.contains("copper_layers")) board.copper_layers = entry.at("copper_layers").get<int>();
  if (auto set = SetLaminate(board, calib.Text("presets", at + "/laminate"), calib); !set) {
    return set.error();
  }
  for (const Json& hole : entry.at("holes")) {
    board.holes.push_back({{hole.at("x_mm").get<double>(), hole.at("y_mm").get<double>()},
                           hole.at("diameter_mm").get<double>(),
                           hole.at("use").get<std::string>()});
  }
  return board;
}

}  // namespace lieflat
