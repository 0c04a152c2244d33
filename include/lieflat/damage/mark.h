#pragma once
// One mark of mechanical damage on a board: what it is, where, how large; and its saved form.
//
//   {"kind": "scratch", "side": "component", "at_mm": [[100, 120], [130, 125]], "depth": "copper",
//    "near": ["U1"], "measures": {"width": {"value": 0.3, "u95": 0.05}}, "aspects": ["frayed"],
//    ...}
//
// A mark is never deleted: a later entry of the log changes its state or adds a measure
// (MarkChange). Kinds, measures and aspects are those of calib/damage_criteria.json.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/base/json.h"
#include "lieflat/base/result.h"
#include "lieflat/board/board.h"

namespace lieflat {

/// A measure as read; u95 is the half-width of its 95 % interval, 0 when none was given.
struct Measured {
  double value = 0.0;
  double u95 = 0.0;
};

enum class MarkState { kOpen, kRepaired, kAccepted };
const char* Name(MarkState state);  ///< "open", "repaired", "accepted"

struct Mark {
  std::string id;    ///< of the log entry that made it
  std::string kind;  ///< "scratch"
  std::optional<Side> side;
  std::vector<Eigen::Vector2d> at_mm;  ///< a place, a line, or (outline) a ring; may be empty
  bool outline = false;
  std::string depth;              ///< coating copper laminate through, or empty
  std::vector<std::string> near;  ///< references of parts
  std::string region;             ///< "top-left" ..., when no place is known
  std::map<std::string, Measured> measures;
  std::vector<std::string> aspects;
  std::string photo, note;
  MarkState state = MarkState::kOpen;
  std::string state_note;

  [[nodiscard]] bool Has(std::string_view aspect) const;
  /// Of the line, or round the outline; 0 for a place. mm.
  [[nodiscard]] double DrawnLength() const;
};

/// What a later entry says of a mark.
struct MarkChange {
  std::string mark;  ///< the id
  std::optional<MarkState> state;
  std::string depth;  ///< empty: as it was
  std::map<std::string, Measured> measures;
  std::vector<std::string> aspects;
  std::string note;
};

extern const std::vector<std::string> kDepthWords;
std::vector<std::string> DamageKinds(const Calib& calib);
std::vector<std::string> DamageMeasures(const Calib& calib);
std::vector<std::string> DamageAspects(const Calib& calib);

/// The saved form and back. @error kRefused: field, value, rule, remedy.
Json ToJson(const Mark& mark);
Result<Mark> ParseMark(const Json& json, const std::string& where);
Json ToJson(const MarkChange& change);
Result<MarkChange> ParseMarkChange(const Json& json, const std::string& where);

/// What must hold on this board: parts named are on it, places lie on it or within a millimetre of
/// its edge. @error kRefused.
Result<void> CheckMark(const Mark& mark, const Board& board, const std::string& where);

/// The mark as the change leaves it: measures replace those of their name; aspects are added, and
/// of two that exclude each other (still-holds, no-longer-holds) the newer takes the place of the
/// older.
void Apply(const MarkChange& change, const Calib& calib, Mark& mark);

}  // namespace lieflat
