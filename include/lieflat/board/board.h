#pragma once
// What a board is: outline, corners, laminate, mass, parts, holes; and the frame that every other
// module uses.
//
//   D ------------------- C      seen from the component side; corner A at the origin, x along AB
//   (the longer side), |                     |      D above A, z towards the viewer. Lengths in mm.
//   A ------------------- B      Edges AB, BC, CD, DA, each from its first letter to its second.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/base/json.h"
#include "lieflat/base/result.h"

namespace lieflat {

enum class Side { kComponent, kSolder };
const char* Name(Side side);  ///< "component", "solder"

/// "top-left" ... "bottom-right", component side seen, D at top left.
const std::vector<std::string>& RegionNames();

enum class Edge { kAB, kBC, kCD, kDA };
inline constexpr std::array<Edge, 4> kEdges = {Edge::kAB, Edge::kBC, Edge::kCD, Edge::kDA};
const char* Name(Edge edge);  ///< "AB" ...
std::optional<Edge> EdgeNamed(std::string_view name);

/// A figure with its standard uncertainty.
struct Uncertain {
  double value = 0.0;
  double u = 0.0;
};

struct Laminate {
  std::string name;   ///< "fr4-tg130"; "own" when given as an object
  std::string plain;  ///< "usual glass-epoxy"
  Uncertain modulus_x_mpa, modulus_y_mpa, shear_mpa, poisson;
  double density_kg_m3 = 0.0;
  double tg_c = 0.0;
  std::string source;  ///< of the moduli, with confidence
};

struct Part {
  std::string ref;         ///< "U1"
  std::string part_class;  ///< a name of calib/part_classes.json
  std::optional<Eigen::Vector2d> centre_mm;
  std::optional<Eigen::Vector2d> size_mm;  ///< length (along x before rotation), width
  double rotation_deg = 0.0;
  Side side = Side::kComponent;
  std::string region;  ///< "top-left" ... or empty
  std::optional<double> height_mm, mass_g, joint_pitch_mm, max_temperature_c;
  std::optional<int> joint_count;
  std::optional<double> body_modulus_gpa, body_thickness_mm, joint_axial_n_per_mm,
      joint_shear_n_per_mm;

  [[nodiscard]] bool has_place() const { return centre_mm && size_mm; }
  /// The footprint grown by `margin_mm` all round: four corners, counter-clockwise. Needs
  /// has_place().
  [[nodiscard]] std::array<Eigen::Vector2d, 4> Footprint(double margin_mm = 0.0) const;
};

struct Hole {
  Eigen::Vector2d centre_mm;
  double diameter_mm = 0.0;
  std::string use;  ///< "mount", ...
};

struct Board {
  std::string label;
  std::string works = "untested";           ///< yes partly no untested, at intake
  std::string need = "none";                ///< case cards cooler sale none
  std::string worth = "common";             ///< common scarce rare
  std::vector<Eigen::Vector2d> outline_mm;  ///< counter-clockwise
  std::vector<std::vector<Eigen::Vector2d>> cutouts_mm;
  std::array<Eigen::Vector2d, 4> corners_mm;  ///< A B C D
  bool corners_are_outline = true;            ///< false: IPC figures are "by agreement"
  std::optional<double> size_u_mm;            ///< of each side, standard; absent: as read on a rule
  Uncertain thickness_mm;
  std::string laminate_name;  ///< empty when given as an object
  Laminate laminate;
  std::optional<int> copper_layers;
  std::optional<Uncertain> mass_g;
  std::string mounting = "mixed";  ///< smt mixed through-hole
  bool populated = true;
  int acceptance_class = 2;
  std::optional<int> year;
  struct OwnLimit {
    double percent;
    std::string origin;
  };
  std::optional<OwnLimit> limit;
  std::vector<Part> parts;
  std::vector<Hole> holes;
  std::string preset;  ///< which preset it was started from, for the record

  [[nodiscard]] Eigen::Vector2d EdgeStart(Edge edge) const {
    return corners_mm[static_cast<std::size_t>(edge)];
  }
  [[nodiscard]] Eigen::Vector2d EdgeEnd(Edge edge) const {
    return corners_mm[(static_cast<std::size_t>(edge) + 1) % 4];
  }
  [[nodiscard]] double EdgeLength(Edge edge) const {
    return (EdgeEnd(edge) - EdgeStart(edge)).norm();
  }
  /// Mean of the two diagonals AC and BD (they are equal on a rectangle). mm.
  [[nodiscard]] double Diagonal() const;
  /// Area of the outline without its cut-outs. mm2.
  [[nodiscard]] double Area() const;
  /// Bounding box of the outline: lower left, upper right.
  [[nodiscard]] std::pair<Eigen::Vector2d, Eigen::Vector2d> Box() const;
  [[nodiscard]] const Part* FindPart(std::string_view ref) const;
};

/// board.json's content, validated: every key known, every value in range, corners on the outline,
/// parts on the board, references distinct. @error kRefused: field, value, rule, remedy; a later
/// format version is refused by name.
Result<Board> ParseBoard(const Json& json, const std::string& where, const Calib& calib);
/// The inverse: ParseBoard(ToJson(b)) gives b.
Json ToJson(const Board& board);

/// A rectangle L x W with usual values; the longer side must come first (swapped otherwise). @error
/// kRefused out of 20..700 mm.
Result<Board> RectangularBoard(double length_mm, double width_mm, const Calib& calib);
/// A named preset of calib/presets.json. @error kBadUse naming the nearest and all known names.
Result<Board> PresetBoard(const std::string& name, const Calib& calib);
std::vector<std::string> PresetNames(const Calib& calib);
/// Sets laminate (by name) with the modulus prior of its copper layers. @error kBadUse listing the
/// names.
Result<void> SetLaminate(Board& board, const std::string& name, const Calib& calib);

}  // namespace lieflat
