#pragma once
// JSON as the program writes it: keys stay in the order in which they were put. ParseJson is the
// one door for text from outside (files, stdin): it refuses what is malformed, nested deeper than
// 64 levels, or longer than 64 MiB.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "lieflat/base/result.h"

namespace lieflat {

using Json = nlohmann::ordered_json;

/// @param where  what to call the text in an error: "crate-3/017/board.json".
/// @error kRefused with line and column of the fault.
Result<Json> ParseJson(std::string_view text, const std::string& where);

/// Two-space indented text ending in a newline; non-finite numbers are our own mistake and throw.
std::string DumpJson(const Json& json);
/// One line without a newline, for the log.
std::string DumpJsonLine(const Json& json);

/// Reads the fields of one JSON object, and names the field in every refusal. Usage:
///   FieldReader read(json, "board.json");
///   double t = read.Number("thickness_mm", {.min = 0.2, .max = 6.0});   // required
///   auto mass = read.OptionalNumber("mass_g", {...});
///   read.NoOthers();  // unknown keys are refused, with the nearest known one
///   if (auto error = read.error()) return *error;
/// The error is the first fault met; later reads return defaults.
class FieldReader {
 public:
  struct Range {
    double min;
    double max;
    bool above_min = false;  ///< min itself is refused
    std::string remedy = {};
  };
  FieldReader(const Json& object, std::string where);

  double Number(const std::string& key, const Range& range);
  std::optional<double> OptionalNumber(const std::string& key, const Range& range);
  int Integer(const std::string& key, int min, int max);
  std::optional<int> OptionalInteger(const std::string& key, int min, int max);
  std::string String(const std::string& key);
  std::optional<std::string> OptionalString(const std::string& key);
  std::optional<bool> OptionalBool(const std::string& key);
  /// One of the allowed words; the error lists them.
  std::string Word(const std::string& key, const std::vector<std::string>& allowed);
  std::optional<std::string> OptionalWord(const std::string& key,
                                          const std::vector<std::string>& allowed);
  /// The array or object under the key, null when absent (and, if required, an error).
  const Json* Array(const std::string& key, bool required);
  const Json* Object(const std::string& key, bool required);
  [[nodiscard]] bool Has(const std::string& key) const;
  /// Marks a key as known without reading it.
  void Known(const std::string& key);
  void NoOthers();
  /// Records a fault of the caller's own finding at a key.
  void Refuse(const std::string& key, const std::string& message, const std::string& remedy);
  /// Takes over a fault that a parser of an inner object found; the first one met stays.
  void Adopt(const Error& error);
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }
  /// "board.json, parts[2].x_mm"
  [[nodiscard]] std::string Where(const std::string& key) const;

 private:
  const Json* Find(const std::string& key);
  const Json& object_;
  std::string where_;
  std::vector<std::string> known_;
  std::optional<Error> error_;
};

}  // namespace lieflat
