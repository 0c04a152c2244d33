#pragma once
// Text from people: numbers with units, and sheets of readings (CSV).

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lieflat/base/result.h"

namespace lieflat {

/// A length in mm. "1.57", "12mil", "0.5in", "0,85" (where a comma may be a decimal mark), a
/// Unicode minus. Never a locale's.
/// @error kRefused: where, the text, what is wrong, what is understood.
Result<double> ParseLength(std::string_view text, const std::string& where, bool comma_is_decimal);
/// A plain number under the same rules, without a unit.
Result<double> ParseNumber(std::string_view text, const std::string& where, bool comma_is_decimal);
/// "305x244" as two lengths in mm.
Result<std::pair<double, double>> ParseSize(std::string_view text, const std::string& where);
/// "120,140" as two lengths in mm.
Result<std::pair<double, double>> ParsePoint(std::string_view text, const std::string& where);

/// A sheet: one header line, then rows. Separator ; tab or , whichever the header holds (in that
/// order). Quotes, CRLF, a byte-order mark, empty lines and lines that begin with # are taken as
/// usual.
struct Sheet {
  struct Row {
    int line = 0;  ///< in the file, from 1
    std::vector<std::string> cells;
  };
  std::string name;  ///< the file, for errors
  char separator = ',';
  std::vector<std::string> columns;
  std::vector<Row> rows;

  [[nodiscard]] std::optional<std::size_t> Column(std::string_view name) const;
  /// "up.csv:14, column gap_mm"
  [[nodiscard]] std::string Where(const Row& row, std::string_view column) const;
};

/// @error kRefused: empty, no rows, a row with another number of cells, an open quote, a NUL byte,
///        over 8 MiB or 20 000 rows,
///        two columns of one name.
Result<Sheet> ParseSheet(std::string_view text, const std::string& name);

/// The word of `known` nearest to `word` (edit distance at most 2 or a third of the length), for
/// "did you mean".
std::optional<std::string> Nearest(std::string_view word, const std::vector<std::string>& known);

/// Words separated by commas, trimmed, no empty ones.
std::vector<std::string> SplitWords(std::string_view text);
std::string Join(const std::vector<std::string>& words, std::string_view separator);

/// True when the bytes are well-formed UTF-8 (no overlong forms, no surrogates).
bool IsUtf8(std::string_view text);
/// Text from outside as it may stand in a message: in double quotes, control characters and bytes
/// that are not UTF-8 as \xNN, cut to about `most` characters.
std::string Quoted(std::string_view text, std::size_t most = 40);

}  // namespace lieflat
