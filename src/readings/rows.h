#pragma once
// Private to readings: what rows of any origin (file, prompt, log) share.

#include <string>
#include <vector>

#include "lieflat/readings/gauge.h"

namespace lieflat::internal {

inline constexpr double kLargestReadingMm = 50.0;
inline constexpr double kLargestUMm = 5.0;

/// "up.csv:5" for a row of a file, else "up.csv, row 3"; the name may be empty.
std::string RowWhere(const std::string& name, const GaugeRow& row, std::size_t index);
/// The same with the field: "up.csv:5, column go_mm", "row 3, go_mm".
std::string FieldWhere(const std::string& name,
                       const GaugeRow& row,
                       std::size_t index,
                       const std::string& field);

/// The value's key: gap_mm upright, else height_mm.
const char* ValueField(Rest rest);

/// Values in range, a pair in order, a value or a bound present.
Result<void> CheckValues(const GaugeRow& row,
                         std::size_t index,
                         Rest rest,
                         const std::string& name);

/// Joins one-sided rows of one place: the thickest blade that went in with the thinnest that did
/// not. A place where only blades that did not go in are known has its gap between 0 and the
/// thinnest of them.
/// @error kRefused: a place with a lower bound only.
Result<std::vector<GaugeRow>> JoinOneSided(const std::vector<GaugeRow>& rows,
                                           const std::string& name);

}  // namespace lieflat::internal
