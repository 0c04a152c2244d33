#include "lieflat/sheet/layout.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {

bool MarkerFamily::White(int id, int row, int column) const {
  if (row < 1 || column < 1 || row > bits || column > bits) return false;
  const int place = bits * bits - 1 - ((row - 1) * bits + (column - 1));
  return ((words.at(static_cast<std::size_t>(id)) >> place) & 1U) != 0;
}

MarkerFamily MarkerFamilyOf(const Calib& calib, const std::string& name) {
  const Json& entry = calib.Document("markers").at("markers").at(name);
  MarkerFamily family{name, entry.at("bits").get<int>(), entry.at("distance").get<int>(), {}};
  for (const Json& line : entry.at("words")) {
    const auto text = line.get<std::string>();
    const char* at = text.data();
    const char* const end = at + text.size();
    while (at < end) {
      std::uint64_t word = 0;
      const auto [stopped, fault] = std::from_chars(at, end, word, 16);
      LIEFLAT_CHECK(fault == std::errc(), "calib/markers.json holds a word that is no number");
      family.words.push_back(word);
      at = stopped + (stopped < end ? 1 : 0);
    }
  }
  return family;
}

bool MatLayout::InBand(int column, int row) const {
  return band && column >= band->from_column && column < band->to_column && row >= band->from_row &&
         row < band->to_row;
}

bool MatLayout::Black(int column, int row) const {
  return column >= 0 && row >= 0 && column < columns && row < rows && (column + row) % 2 == 0 &&
         !InBand(column, row);
}

std::vector<MatMarker> MatLayout::Markers() const {
  std::vector<MatMarker> markers;
  int next = first_marker;
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      if ((column + row) % 2 == 0 || InBand(column, row)) continue;
      const Eigen::Vector2d centre((column + 0.5) * square_mm, (row + 0.5) * square_mm);
      markers.push_back({next++, column, row, centre});
    }
  }
  return markers;
}

bool MatLayout::HasCorner(int column, int row) const {
  if (column < 1 || row < 1 || column >= columns || row >= rows) return false;
  return !InBand(column - 1, row - 1) && !InBand(column, row - 1) && !InBand(column - 1, row) &&
         !InBand(column, row);
}

double MatLayout::LineY() const {
  LIEFLAT_CHECK(band.has_value(), "only a stand mat has a line");
  return band->from_row * square_mm + band->line_mm;
}

std::string StickerLayout::NameOf(int id) const {
  const auto i = static_cast<std::size_t>(id);
  return i < lettered.size() ? lettered[i] : fmt::format("{}", id);
}

std::optional<int> StickerLayout::IdOf(const std::string& name) const {
  for (int id = 0; id < count; ++id) {
    if (NameOf(id) == name) return id;
  }
  return std::nullopt;
}

std::vector<MatLayout> MatLayouts(const Calib& calib) {
  std::vector<MatLayout> layouts;
  for (const Json& entry : calib.Document("mats").at("mats")) {
    MatLayout layout;
    layout.id = entry.at("id").get<std::string>();
    layout.sheet = entry.value("tile_of", layout.id);
    layout.tile = entry.value("tile", 0);
    layout.version = entry.at("version").get<int>();
    layout.stand = entry.at("kind").get<std::string>() == "stand";
    layout.paper = entry.at("paper").get<std::string>();
    layout.plain = entry.at("plain").get<std::string>();
    layout.columns = entry.at("columns").get<int>();
    layout.rows = entry.at("rows").get<int>();
    layout.square_mm = entry.at("square_mm").get<double>();
    layout.marker_mm = entry.at("marker_mm").get<double>();
    layout.origin_on_page_mm = {entry.at("left_mm").get<double>(),
                                entry.at("bottom_mm").get<double>()};
    layout.first_marker = entry.at("first_marker").get<int>();
    layout.ruler_mm = entry.at("ruler_mm").get<double>();
    if (const auto band = entry.find("band"); band != entry.end()) {
      layout.band = Band{band->at("from_column").get<int>(),
                         band->at("to_column").get<int>(),
                         band->at("from_row").get<int>(),
                         band->at("to_row").get<int>(),
                         band->at("line_mm").get<double>()};
    }
    layouts.push_back(std::move(layout));
  }
  return layouts;
}

StickerLayout StickerLayoutOf(const Calib& calib) {
  const Json& entry = calib.Document("mats").at("stickers");
  return {entry.at("sizes_mm").get<std::vector<double>>(),
          entry.at("rim_mm").get<double>(),
          entry.at("lettered").get<std::vector<std::string>>(),
          entry.at("count").get<int>()};
}

std::vector<std::string> PaperNames(const Calib& calib) { return calib.Keys("mats", "/papers"); }

Result<Paper> PaperNamed(const Calib& calib, const std::string& name) {
  const auto names = PaperNames(calib);
  if (std::find(names.begin(), names.end(), name) == names.end()) {
    return Error{ErrorCode::kBadUse,
                 "--paper",
                 fmt::format("no paper is named {}", Quoted(name)),
                 "one of " + Join(names, ", ")};
  }
  const Json& entry = calib.Document("mats").at("papers").at(name);
  return Paper{name,
               entry.at("plain").get<std::string>(),
               {entry.at("width_mm").get<double>(), entry.at("height_mm").get<double>()}};
}

MatLayout MatFor(const Calib& calib, const std::string& paper, bool stand) {
  std::optional<MatLayout> newest;
  for (auto& layout : MatLayouts(calib)) {
    if (layout.paper == paper && layout.stand == stand && layout.tile == 0 &&
        (!newest || layout.version >= newest->version)) {
      newest = std::move(layout);
    }
  }
  LIEFLAT_CHECK(newest.has_value(), "calib/mats.json has no mat for the paper " + paper);
  return *newest;
}

std::vector<MatLayout> TilesFor(const Calib& calib, const std::string& paper) {
  std::vector<MatLayout> tiles;
  for (auto& layout : MatLayouts(calib)) {
    if (layout.paper == paper && layout.tile != 0) tiles.push_back(std::move(layout));
  }
  std::sort(tiles.begin(), tiles.end(), [](const MatLayout& a, const MatLayout& b) {
    return a.tile < b.tile;
  });
  return tiles;
}

}  // namespace lieflat
