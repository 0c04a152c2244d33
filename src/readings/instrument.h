#pragma once
// Private to readings: what an instrument and a surface add to the error of a reading, from
// calib/gauges.json.

#include <optional>
#include <string>

#include "lieflat/base/calib.h"
#include "lieflat/readings/gauge.h"
#include "lieflat/readings/sample.h"

namespace lieflat::internal {

struct Instrument {
  std::string name, plain;
  double half_width_mm = 0.0;              ///< of one blade, or of the scale
  double extra_per_blade_mm = 0.0;         ///< tolerances of stacked blades add
  double bias_low = 0.0, bias_high = 0.0;  ///< share by which a stack is thicker than its marks
  std::optional<double> repeatability_mm = {};
  std::optional<double> gap_u_mm = {};  ///< all of a reading by eye
};

struct Surface {
  std::string name, plain;
  double base_mm = 0.0, per_mm = 0.0;
  /// The zone that holds the surface over a length. mm.
  [[nodiscard]] double Flatness(double length_mm) const { return base_mm + per_mm * length_mm; }
};

/// The gauge's own, or the usual one of its rest. @error kRefused: the name is not known.
Result<Instrument> InstrumentOf(const Gauge& gauge, const Calib& calib);
Result<Surface> SurfaceOf(const Gauge& gauge, const Calib& calib);

/// What the entry's readings are worth, whichever rows they come from.
struct Budget {
  Instrument instrument;  ///< for values
  Instrument blades;      ///< for pairs of blades
  Surface surface;
  std::optional<double> own_repeatability_mm;
  bool lies = false;  ///< on a table or on points, which it touches somewhere
};
Result<Budget> BudgetOf(const Gauge& gauge,
                        const Calib& calib,
                        std::optional<double> repeatability_mm);

/// A gap or height with its errors, before any sign.
struct Reading {
  double value_mm = 0.0;
  std::vector<ErrorPart> errors;
};
/// @param row  with a value, or with a no-go (and a go, else 0); checked before.
Reading ReadRow(const GaugeRow& row, const Budget& budget);

}  // namespace lieflat::internal
