#include <algorithm>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/board.h"
#include "lieflat/board/mass.h"

#include "board/fields.h"
#include "board/limits.h"

namespace lieflat {
namespace {

constexpr const char* kFormat = "lieflat-board";
constexpr int kVersion = 1;
constexpr std::size_t kMostBytesOfNames = 80;

void ReadFormat(FieldReader& read) {
  const std::string format = read.String("format");
  const int version = read.Integer("version", 1, 1000000);
  if (read.error()) return;
  if (format != kFormat) {
    read.Refuse("format",
                fmt::format("{} is not \"{}\"", Quoted(format), kFormat),
                "this is no board description");
  } else if (version > kVersion) {
    read.Refuse("version",
                fmt::format("{} {} is of a later program; this one knows up to version {}",
                            kFormat,
                            version,
                            kVersion),
                "use a newer lieflat");
  }
}

void ReadWords(FieldReader& read, Board& board) {
  board.label = read.OptionalString("label").value_or("");
  CheckText(read, "label", board.label, kLongestText);
  board.works =
      read.OptionalWord("works", {"yes", "partly", "no", "untested"}).value_or(board.works);
  board.need =
      read.OptionalWord("need", {"case", "cards", "cooler", "sale", "none"}).value_or(board.need);
  board.worth = read.OptionalWord("worth", {"common", "scarce", "rare"}).value_or(board.worth);
  board.mounting =
      read.OptionalWord("mounting", {"smt", "mixed", "through-hole"}).value_or(board.mounting);
  board.populated = read.OptionalBool("populated").value_or(board.populated);
  board.acceptance_class =
      read.OptionalInteger("acceptance_class", 1, 3).value_or(board.acceptance_class);
  board.year = read.OptionalInteger("year", 1950, 2100);
  board.copper_layers = read.OptionalInteger("copper_layers", 1, 64);
  board.preset = read.OptionalString("preset").value_or("");
  CheckText(read, "preset", board.preset, kMostBytesOfNames);
}

void ReadThickness(FieldReader& read, Board& board, const Calib& calib) {
  const double thickness = read.Number("thickness_mm", {.min = kThinnestMm, .max = kThickestMm});
  const auto u = read.OptionalNumber("thickness_u_mm", {.min = 0.0, .max = 1.0, .above_min = true});
  if (u && *u > 0.5 * thickness) {
    read.Refuse("thickness_u_mm",
                fmt::format("{} is more than half of the thickness {}", *u, thickness),
                "give the standard uncertainty of the thickness in mm");
  }
  const double usual = thickness * calib.Number("laminates", "/thickness_relative_sd").value;
  board.thickness_mm = {thickness, u.value_or(usual)};
  board.size_u_mm = read.OptionalNumber("size_u_mm", {.min = 0.0, .max = 2.0, .above_min = true});
}

void ReadMass(FieldReader& read, Board& board, const Calib& calib) {
  const auto mass = read.OptionalNumber("mass_g", {.min = kLightestG, .max = kHeaviestG});
  const auto u =
      read.OptionalNumber("mass_u_g", {.min = 0.0, .max = kHeaviestG, .above_min = true});
  if (read.error()) return;
  if (u && !mass) {
    read.Refuse("mass_u_g", "stands without mass_g", "add mass_g, or remove mass_u_g");
  } else if (u && *u > 0.5 * *mass) {
    read.Refuse("mass_u_g",
                fmt::format("{} is more than half of the mass {}", *u, *mass),
                "give the standard uncertainty of the mass in g");
  }
  if (!mass) return;
  const double usual = std::min(calib.Number("supports", "/scale_u_g").value, 0.5 * *mass);
  board.mass_g = Uncertain{*mass, u.value_or(usual)};
}

std::optional<Error> ReadOwnLaminate(FieldReader& read, Board& board, const Calib& calib) {
  const Json* const object = read.Object("laminate", true);
  if (object == nullptr) return read.error();
  FieldReader inner(*object, read.Where("laminate"));
  const double share = calib.Number("laminates", "/own_relative_sd").value;
  const auto modulus = [&](const char* key) {
    const double mpa = 1e3 * inner.Number(key, {.min = 0.1, .max = 500.0});
    return Uncertain{mpa, mpa * share};
  };
  Laminate& laminate = board.laminate;
  laminate.name = "own";
  laminate.plain = "laminate as described";
  laminate.modulus_x_mpa = modulus("modulus_x_gpa");
  laminate.modulus_y_mpa = modulus("modulus_y_gpa");
  const double poisson = inner.Number("poisson", {.min = 0.0, .max = 0.49});
  laminate.poisson = {poisson, poisson * share};
  laminate.shear_mpa = modulus("shear_gpa");
  laminate.density_kg_m3 = inner.Number("density_kg_m3", {.min = 500.0, .max = 10000.0});
  laminate.tg_c = inner.Number("tg_c", {.min = 40.0, .max = 400.0});
  laminate.source = "the owner's description";
  inner.NoOthers();
  return inner.error();
}

std::optional<Error> ReadLaminate(FieldReader& read,
                                  const Json& json,
                                  Board& board,
                                  const Calib& calib) {
  if (read.Has("laminate") && json.at("laminate").is_object()) {
    return ReadOwnLaminate(read, board, calib);
  }
  const auto name = read.OptionalString("laminate");
  if (read.error()) return read.error();
  const auto set = SetLaminate(board, name.value_or(calib.Text("laminates", "/usual")), calib);
  if (!set) read.Refuse("laminate", set.error().message, set.error().remedy);
  return read.error();
}

std::optional<Error> ReadLimit(FieldReader& read, Board& board) {
  const Json* const object = read.Object("limit", false);
  if (object == nullptr) return read.error();
  FieldReader inner(*object, read.Where("limit"));
  Board::OwnLimit limit;
  limit.percent = inner.Number("percent", {.min = 0.01, .max = 10.0});
  limit.origin = inner.String("origin");
  if (!inner.error() && limit.origin.empty()) {
    inner.Refuse("origin", "is empty", "say where the limit is from, for example \"own choice\"");
  }
  CheckText(inner, "origin", limit.origin, kLongestText);
  inner.NoOthers();
  if (!inner.error()) board.limit = limit;
  return inner.error();
}

std::optional<Error> ReadBoard(FieldReader& read,
                               const Json& json,
                               Board& board,
                               const Calib& calib) {
  ReadFormat(read);
  if (read.error()) return read.error();
  ReadWords(read, board);
  ReadThickness(read, board, calib);
  ReadMass(read, board, calib);
  if (read.error()) return read.error();
  if (auto fault = ReadLaminate(read, json, board, calib)) return fault;
  if (auto fault = ReadLimit(read, board)) return fault;
  if (auto fault = ReadOutline(read, board)) return fault;
  if (auto fault = ReadHoles(read, board)) return fault;
  if (auto fault = ReadParts(read, board, calib)) return fault;
  read.NoOthers();
  return read.error();
}

/// MPa back to the GPa that were read: the product with 1 000 may have been rounded in its last
/// digit.
double Gpa(const Uncertain& mpa) { return std::stod(fmt::format("{:.14g}", mpa.value / 1e3)); }

Json LaminateToJson(const Board& board) {
  if (!board.laminate_name.empty()) return board.laminate_name;
  const Laminate& laminate = board.laminate;
  return {{"modulus_x_gpa", Gpa(laminate.modulus_x_mpa)},
          {"modulus_y_gpa", Gpa(laminate.modulus_y_mpa)},
          {"poisson", laminate.poisson.value},
          {"shear_gpa", Gpa(laminate.shear_mpa)},
          {"density_kg_m3", laminate.density_kg_m3},
          {"tg_c", laminate.tg_c}};
}

template <typename Points>
Json PointsToJson(const Points& points) {
  Json json = Json::array();
  for (const Eigen::Vector2d& point : points) json.push_back(PointToJson(point));
  return json;
}

void PutShape(Json& json, const Board& board) {
  json["outline_mm"] = PointsToJson(board.outline_mm);
  json["corners_mm"] = PointsToJson(board.corners_mm);
  json["cutouts_mm"] = Json::array();
  for (const auto& cutout : board.cutouts_mm) json["cutouts_mm"].push_back(PointsToJson(cutout));
}

}  // namespace

Result<Board> ParseBoard(const Json& json, const std::string& where, const Calib& calib) {
  FieldReader read(json, where);
  Board board;
  if (auto fault = ReadBoard(read, json, board, calib)) return *fault;
  if (auto mass = DistributeMass(board, calib); !mass) {
    Error error = mass.error();
    error.where = read.Where("mass_g");
    return error;
  }
  return board;
}

Json ToJson(const Board& board) {
  Json json = {{"format", kFormat},
               {"version", kVersion},
               {"label", board.label},
               {"works", board.works},
               {"need", board.need},
               {"worth", board.worth}};
  if (!board.preset.empty()) json["preset"] = board.preset;
  PutShape(json, board);
  if (board.size_u_mm) json["size_u_mm"] = *board.size_u_mm;
  json["thickness_mm"] = board.thickness_mm.value;
  json["thickness_u_mm"] = board.thickness_mm.u;
  json["laminate"] = LaminateToJson(board);
  if (board.copper_layers) json["copper_layers"] = *board.copper_layers;
  if (board.mass_g) {
    json["mass_g"] = board.mass_g->value;
    json["mass_u_g"] = board.mass_g->u;
  }
  json["mounting"] = board.mounting;
  json["populated"] = board.populated;
  json["acceptance_class"] = board.acceptance_class;
  if (board.year) json["year"] = *board.year;
  if (board.limit) {
    json["limit"] = {{"percent", board.limit->percent}, {"origin", board.limit->origin}};
  }
  json["parts"] = Json::array();
  for (const Part& part : board.parts) json["parts"].push_back(PartToJson(part));
  json["holes_mm"] = Json::array();
  for (const Hole& hole : board.holes) {
    json["holes_mm"].push_back({{"x_mm", hole.centre_mm.x()},
                                {"y_mm", hole.centre_mm.y()},
                                {"diameter_mm", hole.diameter_mm},
                                {"use", hole.use}});
  }
  return json;
}

}  // namespace lieflat
