#include "lieflat/base/calib.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "lieflat/base/disk.h"
#include "lieflat/base/embedded.h"
#include "lieflat/base/text.h"

namespace lieflat {
namespace {

constexpr std::array<const char*, 7> kConfidenceNames = {
    "read", "secondary", "memory", "practice", "prior", "derived", "computed"};

std::optional<Confidence> ConfidenceNamed(std::string_view name) {
  for (std::size_t i = 0; i < kConfidenceNames.size(); ++i) {
    if (name == kConfidenceNames[i]) return static_cast<Confidence>(i);
  }
  return std::nullopt;
}

Error Refused(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

std::string TextOf(const Json& entry, const char* key) {
  const auto found = entry.find(key);
  return found != entry.end() && found->is_string() ? found->get<std::string>() : "";
}

bool IsEntry(const Json& json) { return json.is_object() && json.contains("value"); }

std::optional<Error> EntryProblem(const Json& entry, const std::string& where) {
  const Json& value = entry.at("value");
  if (!value.is_number() && !value.is_string() && !value.is_array() && !value.is_boolean()) {
    return Refused(where, "\"value\" holds no value", "give the number, in the unit of the key");
  }
  if (TextOf(entry, "source").empty()) {
    return Refused(where, "\"source\" is missing or empty", "say where the number is from");
  }
  if (!ConfidenceNamed(TextOf(entry, "confidence"))) {
    const std::vector<std::string> words(kConfidenceNames.begin(), kConfidenceNames.end());
    return Refused(where,
                   "\"confidence\" is missing or not one of: " + Join(words, ", "),
                   "say how far the number can be relied on");
  }
  if (const auto found = entry.find("uncertainty"); found != entry.end()) {
    if (!found->is_number() || found->get<double>() < 0.0) {
      return Refused(where, "\"uncertainty\" is no number from 0 up", "give a standard deviation");
    }
  }
  return std::nullopt;
}

/// Calls `visit` with every entry of a document and its pointer, until one returns an error.
using Visit = std::function<std::optional<Error>(const Json& entry, const std::string& pointer)>;
std::optional<Error> ForEachEntry(const Json& json,
                                  const std::string& pointer,
                                  const Visit& visit) {
  if (IsEntry(json)) {
    if (auto error = visit(json, pointer)) return error;
  }
  if (json.is_array()) {
    for (std::size_t i = 0; i < json.size(); ++i) {
      if (auto error = ForEachEntry(json[i], fmt::format("{}/{}", pointer, i), visit)) return error;
    }
  } else if (json.is_object()) {
    for (const auto& [key, child] : json.items()) {
      const std::string below = (Json::json_pointer(pointer) / key).to_string();
      if (auto error = ForEachEntry(child, below, visit)) return error;
    }
  }
  return std::nullopt;
}

Result<Json> ParseDocument(std::string_view text, const std::string& where) {
  auto json = ParseJson(text, where);
  if (!json) return json.error();
  const auto error = ForEachEntry(*json, "", [&](const Json& entry, const std::string& pointer) {
    return EntryProblem(entry, where + ", " + pointer);
  });
  if (error) return *error;
  return json;
}

std::optional<Error> MissingNumber(const Json& embedded,
                                   const Json& own,
                                   const std::string& where) {
  return ForEachEntry(embedded, "", [&](const Json& entry, const std::string& pointer) {
    const Json::json_pointer place(pointer);
    const bool held =
        own.contains(place) && IsEntry(own.at(place)) &&
        own.at(place).at("value").type_name() == std::string(entry.at("value").type_name());
    std::optional<Error> error;
    if (!held) {
      error =
          Refused(where + ", " + pointer,
                  "the entry is missing, or its value is of another kind than the program's own",
                  "start from the program's own file and change values only");
    }
    return error;
  });
}

std::string StemOf(std::string_view file_name) {
  constexpr std::string_view kEnding = ".json";
  return std::string(file_name.ends_with(kEnding)
                         ? file_name.substr(0, file_name.size() - kEnding.size())
                         : file_name);
}

}  // namespace

const char* Name(Confidence confidence) {
  return kConfidenceNames.at(static_cast<std::size_t>(confidence));
}

const Calib& Calib::Embedded() {
  static const Calib calib = [] {
    Calib made;
    made.origin_ = "embedded";
    for (const EmbeddedFile* file = calib_table; file->name != nullptr; ++file) {
      const std::string_view text(file->begin, static_cast<std::size_t>(file->end - file->begin));
      auto document = ParseDocument(text, std::string("calib/") + file->name);
      LIEFLAT_CHECK(document.has_value(), document.error().Text());
      made.documents_.emplace_back(StemOf(file->name), std::move(*document));
      made.fingerprint_ += fmt::format("{}:{}\n{}", file->name, text.size(), text);
    }
    return made;
  }();
  return calib;
}

Result<Calib> Calib::WithFolder(const Disk& disk, const std::filesystem::path& folder) {
  Calib calib = Embedded();
  const auto names = disk.List(folder);
  if (!names) return names.error();
  std::vector<std::string> replaced;
  std::vector<std::string> known;
  for (const auto& [stem, document] : calib.documents_) known.push_back(stem + ".json");
  for (const std::string& name : *names) {
    if (!name.ends_with(".json")) continue;
    const auto at = std::find(known.begin(), known.end(), name);
    if (at == known.end()) {
      const auto near = Nearest(name, known);
      return Refused((folder / name).string(),
                     "there is no calibration file of this name",
                     near ? fmt::format("did you mean {}?", *near) : Join(known, ", "));
    }
    const auto text = disk.Read(folder / name);
    if (!text) return text.error();
    auto document = ParseDocument(*text, (folder / name).string());
    if (!document) return document.error();
    Json& own = calib.documents_[static_cast<std::size_t>(at - known.begin())].second;
    if (auto error = MissingNumber(own, *document, (folder / name).string())) return *error;
    own = std::move(*document);
    calib.fingerprint_ += fmt::format("{}:{}\n{}", name, text->size(), *text);
    replaced.push_back(name);
  }
  if (replaced.empty()) {
    return Refused(
        folder.string(), "holds no calibration file", "one or more of: " + Join(known, ", "));
  }
  calib.origin_ = folder.string() + ": " + Join(replaced, ", ");
  return calib;
}

const Json& Calib::Document(const std::string& file) const {
  const auto found = std::find_if(documents_.begin(), documents_.end(), [&](const auto& document) {
    return document.first == file;
  });
  LIEFLAT_CHECK(found != documents_.end(), "no calib file " + file);
  return found->second;
}

const Json* Calib::At(const std::string& file, const std::string& pointer) const {
  const Json::json_pointer place(pointer);
  const Json& document = Document(file);
  return document.contains(place) ? &document.at(place) : nullptr;
}

std::optional<CalibNumber> Calib::Find(const std::string& file, const std::string& pointer) const {
  const Json* const entry = At(file, pointer);
  if (entry == nullptr || !IsEntry(*entry) || !entry->at("value").is_number()) return std::nullopt;
  CalibNumber number;
  number.value = entry->at("value").get<double>();
  number.uncertainty = entry->value("uncertainty", 0.0);
  number.source = TextOf(*entry, "source");
  number.confidence = ConfidenceNamed(TextOf(*entry, "confidence")).value_or(Confidence::kPrior);
  return number;
}

CalibNumber Calib::Number(const std::string& file, const std::string& pointer) const {
  auto number = Find(file, pointer);
  LIEFLAT_CHECK(number.has_value(), "no number " + pointer + " in calib file " + file);
  return *std::move(number);
}

std::string Calib::Text(const std::string& file, const std::string& pointer) const {
  const Json* const text = At(file, pointer);
  LIEFLAT_CHECK(text != nullptr && text->is_string(),
                "no text " + pointer + " in calib file " + file);
  return text->get<std::string>();
}

std::vector<std::string> Calib::Keys(const std::string& file, const std::string& pointer) const {
  const Json* const object = At(file, pointer);
  LIEFLAT_CHECK(object != nullptr && object->is_object(),
                "no object " + pointer + " in calib file " + file);
  std::vector<std::string> keys;
  for (const auto& [key, child] : object->items()) keys.push_back(key);
  return keys;
}

}  // namespace lieflat
