#include "readings/instrument.h"

#include <fmt/format.h>

namespace lieflat::internal {
namespace {

constexpr const char* kFile = "gauges";

Result<std::string> KnownName(const std::string& wanted,
                              const std::string& fallback,
                              const std::string& group,
                              const std::string& what,
                              const Calib& calib) {
  const std::string& name = wanted.empty() ? fallback : wanted;
  const auto known = calib.Keys(kFile, "/" + group);
  for (const auto& candidate : known) {
    if (candidate == name) {
      return name;
    }
  }
  const auto nearest = Nearest(name, known);
  return Error{ErrorCode::kRefused,
               what,
               fmt::format("\"{}\" is not known", name),
               (nearest ? fmt::format("did you mean {}? ", *nearest) : std::string()) +
                   "known: " + Join(known, ", ")};
}

std::string Default(Rest rest, const std::string& what, const Calib& calib) {
  return calib.Text(kFile, fmt::format("/defaults/{}/{}", Name(rest), what));
}

Instrument Load(const std::string& name, const Calib& calib) {
  const std::string at = "/instruments/" + name;
  const auto number = [&](const char* key) -> std::optional<double> {
    const auto found = calib.Find(kFile, at + "/" + key);
    return found ? std::optional(found->value) : std::nullopt;
  };
  Instrument instrument{name, calib.Text(kFile, at + "/plain")};
  instrument.half_width_mm = number("half_width_mm").value_or(0.0);
  instrument.extra_per_blade_mm = number("extra_per_blade_mm").value_or(instrument.half_width_mm);
  instrument.bias_low = number("stack_bias_low_share").value_or(0.0);
  instrument.bias_high = number("stack_bias_high_share").value_or(instrument.bias_low);
  instrument.repeatability_mm = number("repeatability_mm");
  instrument.gap_u_mm = number("gap_u_mm");
  return instrument;
}

/// A tool's own error comes back at each reading of the same place.
enum class Of { kTool, kReading };

void Add(std::vector<ErrorPart>& errors,
         std::string cause,
         ErrorPart::Law law,
         double size_mm,
         Of of = Of::kReading) {
  if (size_mm > 0.0) {
    errors.push_back({std::move(cause), law, size_mm, "", 1.0, of == Of::kTool});
  }
}

/// Go and no-go bracket the gap: JCGM 100:2008, 4.3.7, a rectangular law between them. Where
/// nothing went in under a board that lies, it may touch, as it must somewhere, so the gap is more
/// likely 0 than evenly spread: between the same bounds no law is wider than one end or the other.
/// Each blade has its own tolerance, those of a stack add; and air between the blades of a stack
/// makes it thicker than its marks.
Reading ReadPair(const GaugeRow& row, const Budget& budget) {
  const Instrument& blades = budget.blades;
  const double go = row.go_mm.value_or(0.0);
  const double no_go = *row.no_go_mm;
  Reading reading{0.5 * (go + no_go), {}};
  const bool may_touch = budget.lies && go == 0.0;
  Add(reading.errors,
      "between two blades",
      may_touch ? ErrorPart::Law::kEnds : ErrorPart::Law::kRectangular,
      0.5 * (no_go - go));
  Add(reading.errors,
      "blade thickness",
      ErrorPart::Law::kRectangular,
      blades.half_width_mm + (row.blades - 1) * blades.extra_per_blade_mm,
      Of::kTool);
  if (row.blades > 1) {
    const double nominal = row.go_mm ? go : no_go;
    reading.value_mm += nominal * 0.5 * (blades.bias_low + blades.bias_high);
    Add(reading.errors,
        "air between stacked blades",
        ErrorPart::Law::kRectangular,
        nominal * 0.5 * (blades.bias_high - blades.bias_low),
        Of::kTool);
  }
  Add(reading.errors,
      "reading repeated",
      ErrorPart::Law::kNormal,
      budget.own_repeatability_mm.value_or(blades.repeatability_mm.value_or(0.0)));
  return reading;
}

Reading ReadValue(const GaugeRow& row, const Budget& budget) {
  const Instrument& instrument = budget.instrument;
  Reading reading{*row.value_mm, {}};
  if (row.u_mm) {
    Add(reading.errors, "as stated", ErrorPart::Law::kNormal, *row.u_mm);
    return reading;
  }
  if (instrument.gap_u_mm && !budget.own_repeatability_mm) {
    Add(reading.errors, instrument.plain, ErrorPart::Law::kNormal, *instrument.gap_u_mm);
    return reading;
  }
  Add(reading.errors,
      instrument.plain,
      ErrorPart::Law::kRectangular,
      instrument.half_width_mm,
      Of::kTool);
  Add(reading.errors,
      "reading repeated",
      ErrorPart::Law::kNormal,
      budget.own_repeatability_mm.value_or(instrument.repeatability_mm.value_or(0.0)));
  return reading;
}

}  // namespace

Result<Instrument> InstrumentOf(const Gauge& gauge, const Calib& calib) {
  const auto name = KnownName(gauge.instrument,
                              Default(gauge.rest, "instrument", calib),
                              "instruments",
                              "instrument",
                              calib);
  if (!name) {
    return name.error();
  }
  return Load(*name, calib);
}

Result<Surface> SurfaceOf(const Gauge& gauge, const Calib& calib) {
  const auto name =
      KnownName(gauge.surface, Default(gauge.rest, "surface", calib), "surfaces", "surface", calib);
  if (!name) {
    return name.error();
  }
  const std::string at = "/surfaces/" + *name;
  return Surface{*name,
                 calib.Text(kFile, at + "/plain"),
                 calib.Number(kFile, at + "/flatness_mm_base").value,
                 calib.Number(kFile, at + "/flatness_mm_per_mm").value};
}

Result<Budget> BudgetOf(const Gauge& gauge,
                        const Calib& calib,
                        std::optional<double> repeatability_mm) {
  auto instrument = InstrumentOf(gauge, calib);
  if (!instrument) {
    return instrument.error();
  }
  auto surface = SurfaceOf(gauge, calib);
  if (!surface) {
    return surface.error();
  }
  // What is read by eye has no blades: a pair of them is then taken for the usual ones.
  Instrument blades = instrument->gap_u_mm
                          ? Load(Default(Rest::kUpright, "instrument", calib), calib)
                          : *instrument;
  const bool lies = gauge.rest == Rest::kTable || gauge.rest == Rest::kPoints;
  return Budget{*instrument, std::move(blades), *surface, repeatability_mm, lies};
}

Reading ReadRow(const GaugeRow& row, const Budget& budget) {
  return row.value_mm ? ReadValue(row, budget) : ReadPair(row, budget);
}

}  // namespace lieflat::internal
