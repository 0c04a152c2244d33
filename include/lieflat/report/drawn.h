#pragma once
// The report's words and drawings one by one, for who puts them together otherwise: the local page,
// a file of its own. One drawing serves report, page and print.

#include <optional>
#include <string>

#include "lieflat/assess/assessment.h"
#include "lieflat/base/json.h"

namespace lieflat {

/// [{"title", "text"}]: the five answers.
Json AnswersJson(const Assessment& assessment, const Calib& calib = Calib::Embedded());

/// kQuick: what follows every keystroke; without what needs the surface's draws.
enum class Drawn { kAll, kQuick };

/// {"edges": {"AB": svg, ...}, "sheet": svg}: elements as EdgeSvg and SheetSvg draw them; what
/// cannot be drawn has no key, nor has the sheet in a quick one.
Json DrawingsJson(const Assessment& assessment, Drawn drawn = Drawn::kAll);

/// The "lieflat-surface" document: heights over the least-squares plane on a grid of about 60 steps
/// along the longer side, rows along y from A to D, columns along x; null off the board. Layers:
///   strain_found_ue      largest principal strain of either face, from the curvature
///   strain_flattened_ue  the same when pressed flat between plates; where that was worked out
///   share                of the allowed bend, within 3 mm of each part: the part's own figure
///   height_u95_mm        half the 95 % interval of the height; not in a quick one
/// @error kNoFigure without readings.
Result<Json> SurfaceJson(const Assessment& assessment, Drawn drawn = Drawn::kAll);

/// An <svg> element as a file of its own: with the drawings' style inside, on white.
std::string AsFile(const std::string& svg);
/// The four edges one below the other, with their sentences; one element.
std::string AllEdgesSvg(const Assessment& assessment);

/// The readings that count, as a sheet: entry,station,value_mm,u_mm,fitted_mm.
std::string ReadingsCsv(const Assessment& assessment);

}  // namespace lieflat
