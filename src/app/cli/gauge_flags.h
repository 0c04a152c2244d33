#pragma once
// The flags of `gauge` that say how a board was held and what was read without a sheet.

#include <string>

#include "lieflat/base/text.h"
#include "lieflat/board/board.h"
#include "lieflat/readings/gauge.h"

#include "app/cli/command.h"

namespace lieflat::cli {

struct GaugeFlags {
  std::string rest, down, face, at, rest_height, lead_tail, temperature, fitted, instrument,
      surface;
  std::string strips, strip_length, tip_difference, tip_u;
  std::string fourth_corner, gap_u, referee, highest, lowest;
  bool as_seen = false;

  /// Twist was read by one of the forms that need no sheet.
  [[nodiscard]] bool has_form() const {
    return !strips.empty() || !fourth_corner.empty() || !referee.empty();
  }
  /// The first flag given that says how a board was held; empty for none.
  [[nodiscard]] std::string held_flag() const;
};

void AddHeldFlags(App& verb, GaugeFlags& flags);
void AddFormFlags(App& verb, GaugeFlags& flags);

/// How it was held: all but rows and forms. @error kBadUse.
Result<Gauge> HeldAs(const GaugeFlags& flags, const Board& board);
/// Strips, fourth corner, referee form, as far as given. @error kBadUse.
Result<void> PutForms(Gauge& gauge, const GaugeFlags& flags);
/// "C=2.2" or "C=2.20..2.25"; --gap-u belongs to the first.
Result<CornerReading> FourthCorner(const std::string& text, const std::string& gap_u);

/// The gauge as flags and sheet describe it. @error kBadUse, kRefused.
Result<Gauge> GaugeFrom(const GaugeFlags& flags,
                        const std::optional<Sheet>& sheet,
                        const Board& board);

/// Where a lettered station lies; absent for a name that is none. Mid-edges by two letters, M the
/// middle.
std::optional<Eigen::Vector2d> StationPlace(const std::string& station, const Board& board);

}  // namespace lieflat::cli
