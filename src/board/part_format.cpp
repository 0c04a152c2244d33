#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/board/polygon.h"

#include "board/fields.h"
#include "board/limits.h"

namespace lieflat {
namespace {

constexpr std::size_t kLongestRef = 40;

void ReadPlace(FieldReader& read, Part& part) {
  const auto x = read.OptionalNumber("x_mm", {.min = -1000.0, .max = 1000.0});
  const auto y = read.OptionalNumber("y_mm", {.min = -1000.0, .max = 1000.0});
  const auto length = read.OptionalNumber("length_mm", {.min = 0.2, .max = kLargestSideMm});
  const auto width = read.OptionalNumber("width_mm", {.min = 0.2, .max = kLargestSideMm});
  if (read.error()) return;
  if (x.has_value() != y.has_value()) {
    const char* const missing = x ? "y_mm" : "x_mm";
    read.Refuse(missing, "is missing beside its partner", "give both, the centre of the part");
  }
  if (length.has_value() != width.has_value()) {
    const char* const missing = length ? "width_mm" : "length_mm";
    read.Refuse(missing, "is missing beside its partner", "give both sides of the part");
  }
  if (x && !length) {
    read.Refuse("length_mm",
                "is missing: a part with a place needs its size",
                "add length_mm and width_mm");
  }
  if (read.error()) return;
  if (x) part.centre_mm = Eigen::Vector2d(*x, *y);
  if (length) part.size_mm = Eigen::Vector2d(*length, *width);
  part.rotation_deg =
      read.OptionalNumber("rotation_deg", {.min = -360.0, .max = 360.0}).value_or(0.0);
  part.region = read.OptionalWord("region", kRegions).value_or("");
  if (x && !part.region.empty()) {
    read.Refuse("region", "stands beside a place", "give x_mm and y_mm, or a region, not both");
  }
}

std::optional<Error> ReadMechanics(FieldReader& read, Part& part) {
  part.height_mm = read.OptionalNumber("height_mm", {.min = 0.0, .max = 200.0, .above_min = true});
  part.mass_g = read.OptionalNumber("mass_g", {.min = 0.0, .max = 5000.0, .above_min = true});
  part.joint_count = read.OptionalInteger("joint_count", 1, 10000);
  part.joint_pitch_mm = read.OptionalNumber("joint_pitch_mm", {.min = 0.1, .max = 50.0});
  part.max_temperature_c = read.OptionalNumber("max_temperature_c", {.min = 20.0, .max = 400.0});
  if (const Json* const body = read.Object("body", false)) {
    FieldReader inner(*body, read.Where("body"));
    part.body_modulus_gpa = inner.OptionalNumber("modulus_gpa", {.min = 0.1, .max = 1000.0});
    part.body_thickness_mm = inner.OptionalNumber("thickness_mm", {.min = 0.05, .max = 100.0});
    inner.NoOthers();
    if (inner.error()) return inner.error();
  }
  if (const Json* const joint = read.Object("joint", false)) {
    FieldReader inner(*joint, read.Where("joint"));
    part.joint_axial_n_per_mm = inner.OptionalNumber("axial_n_per_mm", {.min = 0.1, .max = 1e6});
    part.joint_shear_n_per_mm = inner.OptionalNumber("shear_n_per_mm", {.min = 0.1, .max = 1e6});
    inner.NoOthers();
    if (inner.error()) return inner.error();
  }
  return read.error();
}

void CheckOnBoard(FieldReader& read, const Part& part, const Board& board) {
  if (!part.has_place()) return;
  const Eigen::Vector2d centre = *part.centre_mm;
  if (!Inside(board.outline_mm, centre)) {
    read.Refuse(
        "x_mm",
        fmt::format(
            "the centre [{:.6g},{:.6g}] of {} is off the board", centre.x(), centre.y(), part.ref),
        "coordinates are in mm from corner A, component side seen");
    return;
  }
  for (const Eigen::Vector2d& corner : part.Footprint()) {
    if (Inside(board.outline_mm, corner)) continue;
    const double over = DistanceToBoundary(board.outline_mm, corner);
    if (over <= kOverhangMm) continue;
    read.Refuse("x_mm",
                fmt::format("{} reaches {:.1f} mm over the board's edge, at most {} mm is allowed",
                            part.ref,
                            over,
                            kOverhangMm),
                "check its centre, size and rotation, or give the length that stands on the board");
    return;
  }
}

std::optional<Error> ReadPart(FieldReader& read,
                              Part& part,
                              const std::vector<std::string>& classes) {
  part.ref = read.String("ref");
  if (!read.error() && part.ref.empty()) {
    read.Refuse("ref", "is empty", "name the part as the board does, for example U1");
  }
  CheckText(read, "ref", part.ref, kLongestRef);
  part.part_class = read.Word("class", classes);
  ReadPlace(read, part);
  const std::string side = read.OptionalWord("side", {"component", "solder"}).value_or("component");
  part.side = side == "solder" ? Side::kSolder : Side::kComponent;
  if (auto fault = ReadMechanics(read, part)) return fault;
  read.NoOthers();
  return read.error();
}

template <typename T>
void PutIf(Json& json, const char* key, const std::optional<T>& value) {
  if (value) json[key] = *value;
}

}  // namespace

void CheckText(FieldReader& read,
               const std::string& key,
               const std::string& text,
               std::size_t longest) {
  if (text.size() > longest) {
    read.Refuse(key,
                fmt::format("is {} bytes long, at most {} are allowed", text.size(), longest),
                "shorten it");
  }
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
  if (!IsUtf8(text) || std::any_of(text.begin(), text.end(), control)) {
    read.Refuse(
        key, Quoted(text) + " holds a control character", "write it as one line of plain text");
  }
}

FieldReader ReaderOf(const FieldReader& read,
                     const std::string& key,
                     const Json& list,
                     std::size_t index) {
  return {list[index], read.Where(fmt::format("{}[{}]", key, index))};
}

std::optional<Error> ReadParts(FieldReader& read, Board& board, const Calib& calib) {
  const Json* const list = read.Array("parts", false);
  if (list == nullptr) return read.error();
  if (list->size() > kMostParts) {
    read.Refuse("parts",
                fmt::format("has {} parts, at most {} are allowed", list->size(), kMostParts),
                "list the large and the brittle ones");
    return read.error();
  }
  const std::vector<std::string> classes = calib.Keys("part_classes", "/classes");
  std::set<std::string> refs;
  for (std::size_t i = 0; i < list->size(); ++i) {
    FieldReader inner = ReaderOf(read, "parts", *list, i);
    Part part;
    if (auto fault = ReadPart(inner, part, classes)) return fault;
    CheckOnBoard(inner, part, board);
    if (!inner.error() && !refs.insert(part.ref).second) {
      inner.Refuse(
          "ref", Quoted(part.ref) + " stands for another part already", "number them apart");
    }
    if (inner.error()) return inner.error();
    board.parts.push_back(std::move(part));
  }
  return std::nullopt;
}

Json PartToJson(const Part& part) {
  Json json = {{"ref", part.ref}, {"class", part.part_class}};
  if (part.centre_mm) {
    json["x_mm"] = part.centre_mm->x();
    json["y_mm"] = part.centre_mm->y();
  }
  if (part.size_mm) {
    json["length_mm"] = part.size_mm->x();
    json["width_mm"] = part.size_mm->y();
  }
  if (part.rotation_deg != 0.0) json["rotation_deg"] = part.rotation_deg;
  if (part.side != Side::kComponent) json["side"] = Name(part.side);
  if (!part.region.empty()) json["region"] = part.region;
  PutIf(json, "height_mm", part.height_mm);
  PutIf(json, "mass_g", part.mass_g);
  PutIf(json, "joint_count", part.joint_count);
  PutIf(json, "joint_pitch_mm", part.joint_pitch_mm);
  PutIf(json, "max_temperature_c", part.max_temperature_c);
  Json body = Json::object();
  PutIf(body, "modulus_gpa", part.body_modulus_gpa);
  PutIf(body, "thickness_mm", part.body_thickness_mm);
  if (!body.empty()) json["body"] = body;
  Json joint = Json::object();
  PutIf(joint, "axial_n_per_mm", part.joint_axial_n_per_mm);
  PutIf(joint, "shear_n_per_mm", part.joint_shear_n_per_mm);
  if (!joint.empty()) json["joint"] = joint;
  return json;
}

}  // namespace lieflat
