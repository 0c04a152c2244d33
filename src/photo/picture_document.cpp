// The board picture as it is kept, and in words.

#include <cmath>

#include <fmt/format.h>
#include <zlib.h>

#include "lieflat/base/rounding.h"
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
  json["low_mm"] = {ToStep(p.low_mm.x(), 1e-4), ToStep(p.low_mm.y(), 1e-4)};
  json["scale_u95_percent"] = ToStep(100.0 * kNormal95 * p.scale_u, 1e-4);
  json["place_u95_mm"] = ToStep(kNormal95 * p.place_u_mm, 1e-4);
  json["blur_mm"] = ToStep(p.blur_mm, 1e-4);
  json["parallax_mm_per_mm"] = ToStep(p.parallax_most, 1e-4);
  json["eye_mm"] = {
      ToStep(p.eye_mm.x(), 0.1), ToStep(p.eye_mm.y(), 0.1), ToStep(p.eye_mm.z(), 0.1)};
  json["parts_displaced"] = Json::array();
  for (const PartParallax& part : p.parts)
    json["parts_displaced"].push_back({{"ref", part.ref}, {"mm", ToStep(part.mm, 1e-2)}});
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

namespace {

/// Reads the fields of a board picture; the first one that is absent or no value of one is kept.
class PictureFields {
 public:
  explicit PictureFields(const Json& json) : json_(json) {}
  [[nodiscard]] const std::string& bad() const { return bad_; }

  void Is(const char* key, const Json& wanted) {
    if (json_.value(key, Json()) != wanted) Refuse(key);
  }
  [[nodiscard]] double Number(const char* key, double least, double most) {
    const auto found = json_.find(key);
    const double value = found != json_.end() && found->is_number() ? found->get<double>() : NAN;
    if (!(value >= least && value <= most)) Refuse(key);
    return value;
  }
  /// `count` numbers; zeros where there are none.
  [[nodiscard]] std::vector<double> Numbers(const char* key, std::size_t count) {
    std::vector<double> values(count, 0.0);
    const auto found = json_.find(key);
    if (found == json_.end() || !found->is_array() || found->size() != count) {
      Refuse(key);
      return values;
    }
    for (std::size_t k = 0; k < count; ++k) {
      if (!(*found)[k].is_number())
        Refuse(key);
      else
        values[k] = (*found)[k].get<double>();
    }
    return values;
  }
  [[nodiscard]] Side TheSide(const char* key) {
    const Json side = json_.value(key, Json());
    if (side != "component" && side != "solder") Refuse(key);
    return side == "component" ? Side::kComponent : Side::kSolder;
  }
  /// Empty where there is none.
  [[nodiscard]] std::string Text(const char* key) const {
    const Json text = json_.value(key, Json());
    return text.is_string() ? text.get<std::string>() : "";
  }
  void Refuse(const char* key) {
    if (bad_.empty()) bad_ = key;
  }

 private:
  const Json& json_;
  std::string bad_;
};

}  // namespace

Result<BoardPicture> ParseBoardPicture(const Json& json,
                                       std::string_view png,
                                       const std::string& where) {
  const auto refused = [&](const std::string& field) {
    return Error{ErrorCode::kRefused,
                 where,
                 fmt::format("\"{}\" is absent or no value of a board picture", field),
                 "make the picture again: lieflat picture DIR IMG..."};
  };
  if (!json.is_object()) return refused("format");
  PictureFields read(json);
  read.Is("format", "lieflat-board-picture");
  read.Is("version", 1);
  BoardPicture out;
  out.mm_per_px = read.Number("mm_per_px", 0.01, 10.0);
  out.scale_u = read.Number("scale_u95_percent", 0.0, 100.0) / 100.0 / kNormal95;
  out.place_u_mm = read.Number("place_u95_mm", 0.0, 100.0) / kNormal95;
  out.blur_mm = read.Number("blur_mm", 0.001, 10.0);
  out.parallax_most = read.Number("parallax_mm_per_mm", 0.0, 100.0);
  const std::vector<double> low = read.Numbers("low_mm", 2), eye = read.Numbers("eye_mm", 3);
  out.low_mm = {low[0], low[1]};
  out.eye_mm = {eye[0], eye[1], eye[2]};
  if (out.eye_mm.z() <= 0.0) read.Refuse("eye_mm");
  out.side = read.TheSide("side");
  out.warp_known = json.value("warp", Json()) == "taken out";
  out.sheet = read.Text("sheet");
  const std::vector<double> behind = read.Numbers("sheet_of_face", 9);
  for (int k = 0; k < 9; ++k) out.sheet_of_face(k / 3, k % 3) = behind[static_cast<std::size_t>(k)];
  out.painted_from = read.Text("painted_from");
  if (!read.bad().empty()) return refused(read.bad());
  auto pixels = DecodePicture(png, where, Colours::kColour);
  if (!pixels) return pixels.error();
  read.Is("width_px", pixels->width);
  read.Is("height_px", pixels->height);
  if (!read.bad().empty()) return refused(read.bad());
  out.picture = std::move(*pixels);
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
