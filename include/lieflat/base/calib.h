#pragma once
// The numbers that are relied on: laminates, part classes, limits, gauges, ...
// Each is a JSON object
//   {"value": 22, "source": "...", "confidence": "prior", "uncertainty": 3.5}
// under a key that carries the unit, in a file of calib/.
// The files are embedded in the program; a folder given with --calib replaces whole files of the
// same name, and then `origin()` says so.

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/json.h"
#include "lieflat/base/result.h"

namespace lieflat {

class Disk;

enum class Confidence { kRead, kSecondary, kMemory, kPractice, kPrior, kDerived, kComputed };
const char* Name(Confidence confidence);

struct CalibNumber {
  double value = 0.0;
  double uncertainty = 0.0;  ///< standard deviation, in the value's unit; 0 when none is stated
  std::string source;
  Confidence confidence = Confidence::kPrior;
};

class Calib {
 public:
  /// The files embedded in the program.
  static const Calib& Embedded();
  /// Embedded files, replaced by those found in `folder`.
  /// @error kRefused when a file is malformed, lacks a number that the embedded file has, has an
  ///        entry without value, source or confidence, or a confidence that is not one of the seven
  ///        words.
  static Result<Calib> WithFolder(const Disk& disk, const std::filesystem::path& folder);

  /// The whole document of calib/<file>.json. An unknown name is our own mistake and throws.
  [[nodiscard]] const Json& Document(const std::string& file) const;
  /// The number at a JSON pointer: Number("part_classes", "/classes/pbga/allowed_strain_ue").
  /// Absent: throws.
  [[nodiscard]] CalibNumber Number(const std::string& file, const std::string& pointer) const;
  /// The same when present.
  [[nodiscard]] std::optional<CalibNumber> Find(const std::string& file,
                                                const std::string& pointer) const;
  /// The text at a pointer; absent: throws.
  [[nodiscard]] std::string Text(const std::string& file, const std::string& pointer) const;
  /// The names under an object: Keys("laminates", "/laminates").
  [[nodiscard]] std::vector<std::string> Keys(const std::string& file,
                                              const std::string& pointer) const;
  /// "embedded", or the folder that replaced files and which.
  [[nodiscard]] const std::string& origin() const { return origin_; }
  /// Every byte that took part, for the key of kept assessments.
  [[nodiscard]] const std::string& Fingerprint() const { return fingerprint_; }

 private:
  const Json* At(const std::string& file, const std::string& pointer) const;

  std::vector<std::pair<std::string, Json>> documents_;
  std::string origin_;
  std::string fingerprint_;
};

}  // namespace lieflat
