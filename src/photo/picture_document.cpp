// The board picture as it is kept, and in words.

#include <cmath>

#include <fmt/format.h>
#include <zlib.h>

#include "lieflat/base/statistics.h"
#include "lieflat/photo/board_picture.h"
#include "lieflat/photo/document.h"

namespace lieflat {
namespace {

void Put32(std::string& out, std::uint32_t value) {
  for (int shift = 24; shift >= 0; shift -= 8)
    out.push_back(static_cast<char>(value >> static_cast<unsigned>(shift) & 0xFFU));
}

void PutChunk(std::string& out, const char* type, const std::string& data) {
  Put32(out, static_cast<std::uint32_t>(data.size()));
  const std::string body = type + data;
  out += body;
  Put32(out,
        static_cast<std::uint32_t>(
            crc32(0, reinterpret_cast<const Bytef*>(body.data()), static_cast<uInt>(body.size()))));
}

double Rounded(double value, double step) { return std::round(value / step) * step; }

}  // namespace

std::string EncodePng(const Picture& picture) {
  // Each row as differences from the pixel before (filter 1); a fast level: the picture is large.
  const auto channels = static_cast<std::size_t>(picture.channels);
  const std::size_t row_bytes = static_cast<std::size_t>(picture.width) * channels;
  std::string rows;
  rows.reserve((row_bytes + 1) * static_cast<std::size_t>(picture.height));
  for (int y = 0; y < picture.height; ++y) {
    const std::uint8_t* const row = picture.Row(y);
    rows.push_back(1);
    for (std::size_t i = 0; i < row_bytes; ++i) {
      const unsigned before = i < channels ? 0U : row[i - channels];
      rows.push_back(static_cast<char>(static_cast<std::uint8_t>(row[i] - before)));
    }
  }
  uLongf packed = compressBound(static_cast<uLong>(rows.size()));
  std::string data(packed, '\0');
  constexpr int kFast = 2;
  const int fault = compress2(reinterpret_cast<Bytef*>(data.data()),
                              &packed,
                              reinterpret_cast<const Bytef*>(rows.data()),
                              static_cast<uLong>(rows.size()),
                              kFast);
  LIEFLAT_CHECK(fault == Z_OK, "a buffer of the bound's size takes the rows");
  data.resize(packed);
  std::string out("\x89PNG\r\n\x1A\n", 8);
  std::string head;
  Put32(head, static_cast<std::uint32_t>(picture.width));
  Put32(head, static_cast<std::uint32_t>(picture.height));
  head += std::string("\x08", 1) + (picture.channels == 3 ? '\x02' : '\x00') + std::string(3, '\0');
  PutChunk(out, "IHDR", head);
  PutChunk(out, "IDAT", data);
  PutChunk(out, "IEND", "");
  return out;
}

Json ToJson(const BoardPicture& p, const std::string& label) {
  Json json = {{"format", "lieflat-board-picture"}, {"version", 1}, {"label", label}};
  json["side"] = Name(p.side);
  json["mm_per_px"] = p.mm_per_px;
  json["width_px"] = p.picture.width;
  json["height_px"] = p.picture.height;
  json["low_mm"] = {Rounded(p.low_mm.x(), 1e-4), Rounded(p.low_mm.y(), 1e-4)};
  json["scale_u95_percent"] = Rounded(100.0 * kNormal95 * p.scale_u, 1e-4);
  json["place_u95_mm"] = Rounded(kNormal95 * p.place_u_mm, 1e-4);
  json["blur_mm"] = Rounded(p.blur_mm, 1e-4);
  json["parallax_mm_per_mm"] = Rounded(p.parallax_most, 1e-4);
  json["eye_mm"] = {
      Rounded(p.eye_mm.x(), 0.1), Rounded(p.eye_mm.y(), 0.1), Rounded(p.eye_mm.z(), 0.1)};
  json["parts_displaced"] = Json::array();
  for (const PartParallax& part : p.parts)
    json["parts_displaced"].push_back({{"ref", part.ref}, {"mm", Rounded(part.mm, 1e-2)}});
  json["warp"] = p.warp_known ? "taken out" : "not known";
  json["sheet"] = p.sheet;
  json["sheet_of_face"] = Json::array();
  for (int row = 0; row < 3; ++row)
    for (int k = 0; k < 3; ++k)
      json["sheet_of_face"].push_back(p.sheet_of_face(row, k) / p.sheet_of_face(2, 2));
  json["painted_from"] = p.painted_from;
  json["photos"] = Json::array();
  for (const PhotoUse& photo : p.photos) {
    Json one = {{"name", photo.name}, {"used", photo.used}, {"corners", photo.corners}};
    if (!photo.why_not.empty()) one["why_not"] = photo.why_not;
    json["photos"].push_back(one);
  }
  json["warnings"] = p.warnings;
  json["not_proved"] = kNotProved;
  return json;
}

Result<BoardPicture> ParseBoardPicture(const Json& json,
                                       std::string_view png,
                                       const std::string& where) {
  const auto bad = [&](const std::string& field) {
    return Error{ErrorCode::kRefused,
                 where,
                 fmt::format("\"{}\" is absent or no value of a board picture", field),
                 "make the picture again: lieflat picture DIR IMG..."};
  };
  if (!json.is_object() || json.value("format", Json()) != "lieflat-board-picture")
    return bad("format");
  if (json.value("version", Json()) != 1) return bad("version");
  BoardPicture out;
  const auto number = [&](const char* key, double least, double most, double& to) {
    const auto found = json.find(key);
    if (found == json.end() || !found->is_number()) return false;
    to = found->get<double>();
    return to >= least && to <= most;
  };
  double scale95 = 0.0, place95 = 0.0;
  if (!number("mm_per_px", 0.01, 10.0, out.mm_per_px)) return bad("mm_per_px");
  if (!number("scale_u95_percent", 0.0, 100.0, scale95)) return bad("scale_u95_percent");
  if (!number("place_u95_mm", 0.0, 100.0, place95)) return bad("place_u95_mm");
  if (!number("blur_mm", 0.001, 10.0, out.blur_mm)) return bad("blur_mm");
  if (!number("parallax_mm_per_mm", 0.0, 100.0, out.parallax_most))
    return bad("parallax_mm_per_mm");
  out.scale_u = scale95 / 100.0 / kNormal95;
  out.place_u_mm = place95 / kNormal95;
  const auto low = json.find("low_mm");
  if (low == json.end() || !low->is_array() || low->size() != 2 || !(*low)[0].is_number() ||
      !(*low)[1].is_number())
    return bad("low_mm");
  out.low_mm = {(*low)[0].get<double>(), (*low)[1].get<double>()};
  const auto eye = json.find("eye_mm");
  if (eye == json.end() || !eye->is_array() || eye->size() != 3) return bad("eye_mm");
  for (int k = 0; k < 3; ++k) {
    const Json& one = (*eye)[static_cast<std::size_t>(k)];
    if (!one.is_number()) return bad("eye_mm");
    out.eye_mm[k] = one.get<double>();
  }
  if (out.eye_mm.z() <= 0.0) return bad("eye_mm");
  const Json side = json.value("side", Json());
  if (side != "component" && side != "solder") return bad("side");
  out.side = side == "component" ? Side::kComponent : Side::kSolder;
  out.warp_known = json.value("warp", Json()) == "taken out";
  const Json sheet = json.value("sheet", Json());
  if (sheet.is_string()) out.sheet = sheet.get<std::string>();
  const auto behind = json.find("sheet_of_face");
  if (behind == json.end() || !behind->is_array() || behind->size() != 9)
    return bad("sheet_of_face");
  for (int k = 0; k < 9; ++k) {
    const Json& one = (*behind)[static_cast<std::size_t>(k)];
    if (!one.is_number()) return bad("sheet_of_face");
    out.sheet_of_face(k / 3, k % 3) = one.get<double>();
  }
  const Json painted = json.value("painted_from", Json());
  if (painted.is_string()) out.painted_from = painted.get<std::string>();
  auto pixels_taken = DecodePicture(png, where, Colours::kColour);
  if (!pixels_taken) return pixels_taken.error();
  auto& pixels = *pixels_taken;
  if (json.value("width_px", Json()) != pixels.width) return bad("width_px");
  if (json.value("height_px", Json()) != pixels.height) return bad("height_px");
  out.picture = std::move(pixels);
  return out;
}

std::string ToText(const BoardPicture& p) {
  std::string out;
  out += fmt::format("{} side to scale: {} mm a pixel, {} x {} pixels, from {}\n",
                     p.side == Side::kComponent ? "component" : "solder",
                     p.mm_per_px,
                     p.picture.width,
                     p.picture.height,
                     p.painted_from);
  out += Wrapped(fmt::format(
      "Lengths in it are true within {:.2f} %, places within {:.2f} mm (95 %); warp {}.",
      100.0 * kNormal95 * p.scale_u,
      kNormal95 * p.place_u_mm,
      p.warp_known ? "taken out" : "not known, so not taken out"));
  out += Wrapped(fmt::format(
      "What stands above the face is displaced outwards: at most {:.2f} mm for each mm of height.",
      p.parallax_most));
  for (const PartParallax& part : p.parts)
    if (part.mm >= 0.5) out += fmt::format("  {}: its top by {:.1f} mm\n", part.ref, part.mm);
  for (const PhotoUse& photo : p.photos)
    if (!photo.used) out += Wrapped(fmt::format("{}: not used, {}", photo.name, photo.why_not));
  for (const auto& warning : p.warnings) out += Wrapped("Note: " + warning);
  return out + Wrapped(kNotProved);
}

}  // namespace lieflat
