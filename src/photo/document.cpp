#include "lieflat/photo/document.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include <fmt/format.h>

#include "lieflat/base/rounding.h"
#include "lieflat/base/statistics.h"

#include "photo/photos_json.h"

namespace lieflat {

const char* const kNotProved =
    "Accuracy on real phones is not yet proved. Prove yours: measure something flat (thick glass), "
    "then two or three cards of known thickness under one sticker.";

std::string Wrapped(const std::string& text) {
  constexpr std::size_t kColumns = 79;
  std::string out, line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (!line.empty() && line.size() + 1 + word.size() > kColumns) {
      out += line + "\n";
      line = "  " + word;
    } else {
      line += (line.empty() ? "" : " ") + word;
    }
    at = end + 1;
  }
  return out + line + "\n";
}

Json internal::PhotosJson(const std::vector<PhotoUse>& photos) {
  Json all = Json::array();
  for (const PhotoUse& photo : photos) {
    Json one = {{"file", photo.name},
                {"used", photo.used},
                {"corners", photo.corners},
                {"stickers", photo.stickers}};
    if (photo.used) one["residual_px"] = ToStep(photo.rms_px, 1e-3);
    if (!photo.used) one["why_not"] = photo.why_not;
    all.push_back(std::move(one));
  }
  return all;
}

Json ToJson(const LyingResult& result) {
  Json json = {{"format", "lieflat-photo"}, {"version", 1}, {"pose", "lying"}};
  json["sheet"] = result.reading.sheet;
  if (!result.tiles.empty()) {
    json["tiles"] = Json::array();
    for (const LaidTile& tile : result.tiles) {
      json["tiles"].push_back(
          {{"tile", tile.id},
           {"x_mm", ToStep(tile.at_mm.x(), 0.01)},
           {"y_mm", ToStep(tile.at_mm.y(), 0.01)},
           {"turned_deg", ToStep(tile.turned_rad * 180.0 / std::numbers::pi, 0.01)}});
    }
  }
  json["stations"] = Json::array();
  for (const Station& station : result.stations) {
    json["stations"].push_back({{"name", station.name},
                                {"x_mm", ToStep(station.at_mm.x(), 0.01)},
                                {"y_mm", ToStep(station.at_mm.y(), 0.01)},
                                {"height_mm", ToStep(station.height_mm, 1e-4)},
                                {"u95_mm", ToStep(kNormal95 * station.u_mm, 1e-4)},
                                {"photos", station.photos}});
  }
  json["photos"] = internal::PhotosJson(result.photos);
  json["dropped"] = result.dropped;
  json["warnings"] = result.warnings;
  json["scale"] = ToStep(result.scale, 1e-5);
  json["scale_u"] = ToStep(result.scale_u, 1e-5);
  json["print_y_over_x"] = ToStep(result.print_y, 1e-5);
  json["sheet_height_rms_mm"] = ToStep(result.sheet_height_rms_mm, 1e-3);
  json["residual_px"] = ToStep(result.rms_px, 1e-3);
  json["not_proved"] = kNotProved;
  return json;
}

namespace {

/// ", tiles 1, 2, 4"; nothing for a sheet of one page.
std::string TilesInWords(const std::set<int>& tiles) {
  return tiles.empty() ? "" : fmt::format(", tiles {}", fmt::join(tiles, ", "));
}

std::set<int> TilesOf(const LyingResult& result) {
  std::set<int> tiles;
  for (const LaidTile& tile : result.tiles) tiles.insert(tile.number);
  return tiles;
}

std::set<int> TilesOf(const SeenPhoto& photo) {
  std::set<int> tiles;
  for (const SeenCorner& corner : photo.corners) {
    if (corner.tile != 0) tiles.insert(corner.tile);
  }
  return tiles;
}

}  // namespace

std::string ToText(const LyingResult& result) {
  std::string text = fmt::format("{} points from {} photos on {}{}\n\n",
                                 result.stations.size(),
                                 result.reading.photos,
                                 result.sheet,
                                 TilesInWords(TilesOf(result)));
  text += "Point    x mm    y mm   height mm   95 %   photos\n";
  for (const Station& station : result.stations) {
    text += fmt::format("{:<5} {:7.1f} {:7.1f}   {:+9.3f}  {:5.3f}   {:6}\n",
                        station.name,
                        station.at_mm.x(),
                        station.at_mm.y(),
                        station.height_mm,
                        kNormal95 * station.u_mm,
                        station.photos);
  }
  text += "Height over the board's mean plane, + towards the components.\n";
  for (const PhotoUse& photo : result.photos) {
    if (!photo.used) text += Wrapped(fmt::format("Not used: {}: {}", photo.name, photo.why_not));
  }
  for (const auto& line : result.dropped) text += Wrapped("Left out: " + line);
  for (const auto& line : result.warnings) text += Wrapped("Note: " + line);
  text += Wrapped(kNotProved);
  return text;
}

Json ToJson(const SeenPhoto& photo, const ShotVerdict& verdict) {
  Json json = {
      {"format", "lieflat-photo"}, {"version", 1}, {"pose", "check"}, {"file", photo.name}};
  json["usable"] = verdict.problem.empty();
  if (!verdict.problem.empty()) json["problem"] = verdict.problem;
  json["warnings"] = verdict.warnings;
  json["sheet"] = photo.sheet;
  if (const auto tiles = TilesOf(photo); !tiles.empty()) json["tiles_seen"] = tiles;
  json["corners"] = photo.corners.size();
  json["stickers"] = photo.stickers.size();
  json["edge_width_px"] = ToStep(photo.edge_width_px, 0.01);
  return json;
}

std::string ToText(const SeenPhoto& photo, const ShotVerdict& verdict) {
  std::string text =
      verdict.problem.empty()
          ? fmt::format("{}: good: {} sheet corners{}, {} stickers\n",
                        photo.name,
                        photo.corners.size(),
                        TilesInWords(TilesOf(photo)),
                        photo.stickers.size())
          : Wrapped(fmt::format("{}: cannot be used: {}", photo.name, verdict.problem));
  for (const auto& warning : verdict.warnings) text += Wrapped("Note: " + warning);
  return text;
}

}  // namespace lieflat
