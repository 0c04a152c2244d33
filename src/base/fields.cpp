#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "lieflat/base/json.h"
#include "lieflat/base/read_words.h"
#include "lieflat/base/text.h"

namespace lieflat {
namespace {

/// A value as it may stand in a message.
std::string Shown(const Json& value) {
  if (value.is_string()) return Quoted(value.get_ref<const std::string&>());
  if (value.is_array()) return "a list";
  if (value.is_object()) return "an object";
  return value.dump();
}

std::string Text(double value) { return fmt::format("{}", value); }

}  // namespace

FieldReader::FieldReader(const Json& object, std::string where)
    : object_(object), where_(std::move(where)) {
  if (!object_.is_object()) {
    error_ = Error{ErrorCode::kRefused,
                   where_,
                   "expected an object in braces, found " + Shown(object_),
                   "write {\"name\": value, ...}"};
  }
}

std::string FieldReader::Where(const std::string& key) const {
  // A comma after the file's name says that where_ already names a field.
  const auto slash = where_.rfind('/');
  const auto comma = where_.find(", ", slash == std::string::npos ? 0 : slash);
  return where_ + (comma == std::string::npos ? ", " : ".") + key;
}

bool FieldReader::Has(const std::string& key) const {
  return object_.is_object() && object_.contains(key);
}

void FieldReader::Known(const std::string& key) { known_.push_back(key); }

const Json* FieldReader::Find(const std::string& key) {
  Known(key);
  if (!object_.is_object()) return nullptr;
  const auto found = object_.find(key);
  return found == object_.end() ? nullptr : &*found;
}

void FieldReader::Refuse(const std::string& key,
                         const std::string& message,
                         const std::string& remedy) {
  if (!error_) error_ = Error{ErrorCode::kRefused, Where(key), message, remedy};
}

void FieldReader::Adopt(const Error& error) {
  if (!error_) error_ = error;
}

double FieldReader::Number(const std::string& key, const Range& range) {
  const auto value = OptionalNumber(key, range);
  if (!value) Refuse(key, "is missing", fmt::format("add \"{}\": a number", key));
  return value.value_or(0.0);
}

std::optional<double> FieldReader::OptionalNumber(const std::string& key, const Range& range) {
  const Json* const found = Find(key);
  if (found == nullptr) return std::nullopt;
  if (!found->is_number()) {
    Refuse(key, "expected a number, found " + Shown(*found), "write it without quotes");
    return std::nullopt;
  }
  const auto value = found->get<double>();
  const bool low = range.above_min ? !(value > range.min) : !(value >= range.min);
  if (low || !(value <= range.max)) {
    const std::string rule =
        range.above_min
            ? fmt::format("must be above {} and at most {}", Text(range.min), Text(range.max))
            : fmt::format("is outside {} to {}", Text(range.min), Text(range.max));
    Refuse(key,
           fmt::format("{} {}", Text(value), rule),
           range.remedy.empty() ? "check the value and its unit" : range.remedy);
    return std::nullopt;
  }
  return value;
}

int FieldReader::Integer(const std::string& key, int min, int max) {
  const auto value = OptionalInteger(key, min, max);
  if (!value) Refuse(key, "is missing", fmt::format("add \"{}\": a whole number", key));
  return value.value_or(min);
}

std::optional<int> FieldReader::OptionalInteger(const std::string& key, int min, int max) {
  const Json* const found = Find(key);
  if (found == nullptr) return std::nullopt;
  const double value = found->is_number() ? found->get<double>() : std::nan("");
  if (value != std::floor(value)) {  // also when not a number
    Refuse(key, "expected a whole number, found " + Shown(*found), "write it without quotes");
    return std::nullopt;
  }
  if (value < min || value > max) {
    Refuse(key, fmt::format("{} is outside {} to {}", Shown(*found), min, max), "check the value");
    return std::nullopt;
  }
  return static_cast<int>(value);
}

std::string FieldReader::String(const std::string& key) {
  auto value = OptionalString(key);
  if (!value) Refuse(key, "is missing", fmt::format("add \"{}\": a text in quotes", key));
  return std::move(value).value_or("");
}

std::optional<std::string> FieldReader::OptionalString(const std::string& key) {
  const Json* const found = Find(key);
  if (found == nullptr) return std::nullopt;
  if (!found->is_string()) {
    Refuse(key, "expected a text, found " + Shown(*found), "write it in quotes");
    return std::nullopt;
  }
  return found->get<std::string>();
}

std::optional<bool> FieldReader::OptionalBool(const std::string& key) {
  const Json* const found = Find(key);
  if (found == nullptr) return std::nullopt;
  if (!found->is_boolean()) {
    Refuse(key, "expected true or false, found " + Shown(*found), "write it without quotes");
    return std::nullopt;
  }
  return found->get<bool>();
}

std::string FieldReader::Word(const std::string& key, const std::vector<std::string>& allowed) {
  auto value = OptionalWord(key, allowed);
  if (!value) Refuse(key, "is missing", "one of: " + Join(allowed, ", "));
  return std::move(value).value_or("");
}

std::optional<std::string> FieldReader::OptionalWord(const std::string& key,
                                                     const std::vector<std::string>& allowed) {
  auto value = OptionalString(key);
  if (!value) return std::nullopt;
  if (std::find(allowed.begin(), allowed.end(), *value) != allowed.end()) return value;
  const auto near = Nearest(*value, allowed);
  Refuse(key,
         Quoted(*value) + " is not one of: " + Join(allowed, ", "),
         near ? fmt::format("did you mean \"{}\"?", *near) : "use one of these words");
  return std::nullopt;
}

const Json* FieldReader::Array(const std::string& key, bool required) {
  const Json* const found = Find(key);
  if (found == nullptr) {
    if (required) Refuse(key, "is missing", fmt::format("add \"{}\": [ ... ]", key));
    return nullptr;
  }
  if (found->is_array()) return found;
  Refuse(key, "expected a list in brackets, found " + Shown(*found), "write [ ... ]");
  return nullptr;
}

const Json* FieldReader::Object(const std::string& key, bool required) {
  const Json* const found = Find(key);
  if (found == nullptr) {
    if (required) Refuse(key, "is missing", fmt::format("add \"{}\": {{ ... }}", key));
    return nullptr;
  }
  if (found->is_object()) return found;
  Refuse(key, "expected an object in braces, found " + Shown(*found), "write { ... }");
  return nullptr;
}

void FieldReader::NoOthers() {
  if (!object_.is_object()) return;
  for (const auto& [key, value] : object_.items()) {
    if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
    const auto near = Nearest(key, known_);
    const std::string shown = Quoted(key);
    Refuse(shown.substr(1, shown.size() - 2),
           "is not a field that is known here",
           near ? fmt::format("did you mean \"{}\"?", *near) : "remove it, or correct its name");
    return;
  }
}

std::vector<std::string> ReadWords(FieldReader& read,
                                   const std::string& key,
                                   const std::vector<std::string>& known) {
  std::vector<std::string> words;
  const Json* const list = read.Array(key, false);
  if (list == nullptr) return words;
  for (const Json& word : *list) {
    const bool text = word.is_string();
    if (!text || (!known.empty() &&
                  std::find(known.begin(), known.end(), word.get<std::string>()) == known.end())) {
      read.Refuse(key,
                  text ? Quoted(word.get<std::string>()) + " is not known"
                       : std::string("holds something that is no text"),
                  known.empty() ? "write words in quotes" : "one of " + Join(known, ", "));
      return words;
    }
    words.push_back(word.get<std::string>());
  }
  return words;
}

}  // namespace lieflat
