#include "app/web/catalog.h"

#include "lieflat/board/board.h"

namespace lieflat::web {
namespace {

/// Numbers without their sources: {"value": 22, "source": ...} becomes 22.
Json Plain(const Json& json) {
  if (json.is_object() && json.contains("value")) return json["value"];
  if (json.is_array()) {
    Json list = Json::array();
    for (const Json& item : json) list.push_back(Plain(item));
    return list;
  }
  if (!json.is_object()) return json;
  Json out = Json::object();
  for (const auto& [key, value] : json.items()) {
    if (key != "source" && key != "confidence") out[key] = Plain(value);
  }
  return out;
}

/// {"atx": {...}, ...} as [{"name": "atx", ...}, ...].
Json List(const Json& named) {
  Json list = Json::array();
  for (const auto& [name, value] : named.items()) {
    Json item = {{"name", name}};
    const Json plain = Plain(value);
    for (const auto& [key, inner] : plain.items()) item[key] = inner;
    list.push_back(std::move(item));
  }
  return list;
}

}  // namespace

std::string CatalogText(const Calib& calib) {
  const Json& presets = calib.Document("presets");
  const Json& gauges = calib.Document("gauges");
  const Json& damage = calib.Document("damage_criteria");
  Json catalog = Json::object();
  catalog["presets"] = List(presets.at("presets"));
  catalog["part_groups"] = List(presets.at("part_groups"));
  catalog["part_classes"] = List(calib.Document("part_classes").at("classes"));
  catalog["laminates"] = List(calib.Document("laminates").at("laminates"));
  catalog["instruments"] = List(gauges.at("instruments"));
  catalog["surfaces"] = List(gauges.at("surfaces"));
  catalog["damage_kinds"] = List(damage.at("kinds"));
  catalog["damage_measures"] = List(damage.at("measures"));
  catalog["damage_aspects"] = damage.at("aspects");
  catalog["regions"] = RegionNames();
  return DumpJson(catalog);
}

}  // namespace lieflat::web
