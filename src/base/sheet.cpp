#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "base/words.h"

namespace lieflat {
namespace {

constexpr std::size_t kLongest = 8ULL << 20U;
constexpr std::size_t kMostRows = 20000;
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

Error Refused(std::string where, std::string message, std::string remedy) {
  return {ErrorCode::kRefused, std::move(where), std::move(message), std::move(remedy)};
}

/// Takes the next line off `rest`; lines end with LF, CR LF or CR.
std::string_view TakeLine(std::string_view& rest) {
  const auto end = rest.find_first_of("\r\n");
  const std::string_view line = rest.substr(0, end);
  if (end == std::string_view::npos) {
    rest = {};
  } else {
    rest.remove_prefix(rest.substr(end).starts_with("\r\n") ? end + 2 : end + 1);
  }
  return line;
}

/// ; then tab then , whichever stands in the header outside quotes.
char SeparatorOf(std::string_view header) {
  for (const char candidate : {';', '\t'}) {
    bool quoted = false;
    for (const char c : header) {
      if (c == '"') quoted = !quoted;
      if (c == candidate && !quoted) return candidate;
    }
  }
  return ',';
}

/// The cell in quotes at the start of `rest`, taken off together with its closing quote.
std::optional<std::string> TakeQuoted(std::string_view& rest) {
  std::string cell;
  for (std::size_t i = 1; i < rest.size(); ++i) {
    if (rest[i] != '"') {
      cell += rest[i];
    } else if (i + 1 < rest.size() && rest[i + 1] == '"') {
      cell += rest[i++];
    } else {
      rest.remove_prefix(i + 1);
      return cell;
    }
  }
  return std::nullopt;
}

Result<std::vector<std::string>> SplitCells(std::string_view line,
                                            char separator,
                                            const std::string& where) {
  std::vector<std::string> cells;
  while (true) {
    const auto first = line.find_first_not_of(' ');
    const bool quoted = first != std::string_view::npos && line[first] == '"';
    std::string cell;
    if (quoted) {
      line.remove_prefix(first);
      auto taken = TakeQuoted(line);
      if (!taken) return Refused(where, "a quote is opened and not closed", "close it on its line");
      cell = std::string(Trim(*taken));
    }
    const auto end = line.find(separator);
    const std::string_view plain = Trim(line.substr(0, end));
    if (quoted && !plain.empty()) {
      return Refused(where,
                     Quoted(plain) + " stands after a closing quote",
                     "double a quote that belongs to the text");
    }
    cells.push_back(quoted ? std::move(cell) : std::string(plain));
    if (end == std::string_view::npos) return cells;
    line.remove_prefix(end + 1);
  }
}

Result<void> CheckColumns(const std::vector<std::string>& columns, const std::string& where) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].empty()) {
      return Refused(where,
                     fmt::format("column {} has no name", i + 1),
                     "name it in the first line, or take out the extra separator");
    }
    for (std::size_t j = 0; j < i; ++j) {
      if (Lower(columns[i]) != Lower(columns[j])) continue;
      return Refused(where,
                     "two columns have the name " + Quoted(columns[i]),
                     "give each column a name of its own");
    }
  }
  return {};
}

Error WrongWidth(const Sheet& sheet, const Sheet::Row& row) {
  const bool comma = sheet.separator == ',';
  return Refused(
      fmt::format("{}:{}", sheet.name, row.line),
      fmt::format(
          "{} cells where the header has {} columns", row.cells.size(), sheet.columns.size()),
      comma ? "leave a missing value empty; with decimal commas separate by ;"
            : "leave a missing value empty");
}

Result<void> AddLine(Sheet& sheet, std::string_view line, int number) {
  const std::string where = fmt::format("{}:{}", sheet.name, number);
  if (!IsUtf8(line)) {
    return Refused(where, "the line is not UTF-8 text", "save the sheet as CSV in UTF-8");
  }
  const bool header = sheet.columns.empty();
  if (header) sheet.separator = SeparatorOf(line);
  auto cells = SplitCells(line, sheet.separator, where);
  if (!cells) return cells.error();
  if (header) {
    sheet.columns = std::move(*cells);
    return CheckColumns(sheet.columns, where);
  }
  // Spreadsheets save empty rows as separators only.
  const bool blank = std::all_of(
      cells->begin(), cells->end(), [](const std::string& cell) { return cell.empty(); });
  if (blank) return {};
  const Sheet::Row row{number, std::move(*cells)};
  if (row.cells.size() != sheet.columns.size()) return WrongWidth(sheet, row);
  if (sheet.rows.size() == kMostRows) {
    return Refused(where, fmt::format("more than {} rows", kMostRows), "is it the right file?");
  }
  sheet.rows.push_back(row);
  return {};
}

}  // namespace

std::optional<std::size_t> Sheet::Column(std::string_view wanted) const {
  const std::string lower = Lower(wanted);
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (Lower(columns[i]) == lower) return i;
  }
  return std::nullopt;
}

std::string Sheet::Where(const Row& row, std::string_view column) const {
  return fmt::format("{}:{}, column {}", name, row.line, column);
}

Result<Sheet> ParseSheet(std::string_view text, const std::string& name) {
  if (text.size() > kLongest) return Refused(name, "longer than 8 MiB", "is it the right file?");
  if (text.find('\0') != std::string_view::npos) {
    return Refused(
        name, "holds a zero byte, so it is no plain text", "save the sheet as CSV in UTF-8");
  }
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  Sheet sheet;
  sheet.name = name;
  for (int number = 1; !text.empty(); ++number) {
    const std::string_view line = TakeLine(text);
    const std::string_view content = Trim(line);
    if (content.empty() || content.front() == '#') continue;
    if (const auto added = AddLine(sheet, line, number); !added) return added.error();
  }
  if (sheet.columns.empty()) {
    return Refused(name, "empty", "the first line names the columns, the next ones hold the rows");
  }
  if (sheet.rows.empty()) {
    return Refused(name, "no rows under the header", "add a row for each reading");
  }
  return sheet;
}

}  // namespace lieflat
