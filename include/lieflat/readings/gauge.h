#pragma once
// One gauge entry as it was taken: how the board was held, with what it was read, and the rows as
// typed. Saved in the log in this form; ToSamples() turns it into heights with uncertainty.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/json.h"
#include "lieflat/base/text.h"
#include "lieflat/board/board.h"

namespace lieflat {

enum class Rest { kUpright, kPoints, kTable, kFree };
const char* Name(Rest rest);  ///< "upright" "points" "table" "free"
std::optional<Rest> RestNamed(std::string_view name);

enum class Face { kUnder, kOver };  ///< gap beneath the lower face; height of the upper face

struct GaugeRow {
  int line = 0;         ///< in the file, for errors; 0 when typed
  std::string station;  ///< A B C D, AB BC CD DA (mid-edges), M; empty when the place is given by
                        ///< x, y or edge
  std::optional<Eigen::Vector2d> at_mm;  ///< board frame (component side seen)
  std::optional<Edge> edge;              ///< upright: the edge under the straightedge
  std::optional<Side> side;              ///< upright: the face that the straightedge touches
  std::optional<double> along_mm;  ///< upright: from the edge's first letter; mid-edge when absent
  std::optional<double> go_mm, no_go_mm;  ///< thickest that went in, thinnest that did not
  std::optional<double> value_mm, u_mm;   ///< a height or a gap with its standard uncertainty
  int blades = 1;                         ///< blades in the higher pile of the pair
};

struct StripReading {  ///< two straight strips along opposite edges, sighted (twist)
  Edge first = Edge::kDA;
  Edge second = Edge::kBC;
  double strip_length_mm = 0.0;
  double tip_difference_mm =
      0.0;  ///< positive when the tip past C stands nearer the component side
  double tip_u_mm = 1.0;
};

struct CornerReading {  ///< production form: three corners touch, the fourth stands off
  char corner = 'C';
  std::optional<double> go_mm, no_go_mm, value_mm, u_mm;
};

struct RefereeReading {       ///< referee form: two opposite corners low, the others levelled
  std::string raised = "AC";  ///< the diagonal whose corners stand high
  double highest_mm = 0.0, lowest_mm = 0.0, u_mm = 0.02;
};

struct Support {
  std::string station;  ///< a letter name, or empty
  Eigen::Vector2d at_mm;
};

struct Gauge {
  Rest rest = Rest::kUpright;
  Side down = Side::kSolder;
  Face face = Face::kUnder;
  std::vector<Support> supports;  ///< rest points
  std::optional<double> rest_height_mm, lead_tail_mm, temperature_c;
  std::string instrument;  ///< a name of calib/gauges.json; empty: the rest's usual one
  std::string surface;     ///< likewise
  std::vector<std::string> fitted;
  std::vector<GaugeRow> rows;
  std::optional<StripReading> strips;
  std::optional<CornerReading> corner;
  std::optional<RefereeReading> referee;
};

/// A sheet (CSV) of readings into rows. Which columns are allowed depends on the rest: upright
/// takes edge,side,at_mm,gap_mm,u_mm or edge,side,at_mm,go_mm,no_go_mm; the others station (or
/// x_mm,y_mm) with go_mm,no_go_mm or height_mm[,u_mm]. One-sided rows of one place are joined; a
/// lower bound that no other row closes is refused.
/// @param as_seen  x_mm,y_mm were taken looking at the face that is up (mirrored once here when the
/// component side is down).
/// @error kRefused: file, line, column, value, rule, remedy.
Result<std::vector<GaugeRow>> RowsFromSheet(
    const Sheet& sheet, Rest rest, Side down, bool as_seen, const Board& board);

/// The place of a lettered station: A B C D, AB BC CD DA (mid-edges), M (the middle). Absent for
/// any other word.
std::optional<Eigen::Vector2d> StationPlace(std::string_view station, const Board& board);
/// "A,B,CD" or "61:49,244:49,152:195" as rest points. @error kBadUse: where, the word, what is
/// understood.
Result<std::vector<Support>> SupportsFromText(std::string_view text,
                                              const Board& board,
                                              const std::string& where);
/// "1.40", or "1.00+0.40" for a stack.
struct BladeStack {
  double total_mm = 0.0;
  int blades = 1;
};
Result<BladeStack> ParseBladeStack(std::string_view text,
                                   const std::string& where,
                                   bool comma_is_decimal);

/// Everything about an entry that must hold whatever its origin (file, prompt, log): heights within
/// 0..50 mm, places on the board, instruments known, supports 3 to 6 that carry the board, lead
/// tails, faces. `warnings` gets what is allowed but costs certainty ("no temperature was given").
Result<void> CheckGauge(const Gauge& gauge,
                        const Board& board,
                        const Calib& calib,
                        std::vector<std::string>& warnings);

/// The part of that which speaks of how the board was held, without any reading: supports, rests,
/// faces, ranges.
Result<void> CheckHeld(const Gauge& held,
                       const Board& board,
                       const Calib& calib,
                       std::vector<std::string>& warnings);

/// The saved form and back. Keys: rest, down, reading (under over), at [{station | x_mm, y_mm}],
/// rest_height_mm, lead_tail_mm, temperature_c, instrument, surface, fitted, rows [{station | x_mm,
/// y_mm | edge, side, at_mm; go_mm, no_go_mm, blades | height_mm or (upright) gap_mm, u_mm}],
/// strips {edges, strip_length_mm, tip_difference_mm, tip_u_mm}, corner {corner, go_mm, no_go_mm |
/// gap_mm, u_mm}, referee {raised, highest_mm, lowest_mm, u_mm}.
Json ToJson(const Gauge& gauge);
Result<Gauge> ParseGauge(const Json& json, const std::string& where);

}  // namespace lieflat
