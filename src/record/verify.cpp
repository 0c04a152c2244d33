#include <fmt/format.h>

#include "lieflat/record/folder.h"

#include "record/entry.h"
#include "record/files.h"

namespace lieflat {
namespace {

std::optional<Board> VerifyBoard(const Disk& disk,
                                 const Disk::Path& folder,
                                 const Calib& calib,
                                 Verification& found) {
  const Disk::Path file = folder / "board.json";
  const auto text = disk.Read(file);
  if (!text) {
    Error error = text.error();
    if (!disk.IsFile(file)) {
      error.remedy = CopiesOfBoard(disk, folder).empty()
                         ? "describe the board again with: lieflat new, which leaves the log alone"
                         : "bring its copy back with: lieflat verify --repair";
    }
    found.faults.push_back(error);
    return std::nullopt;
  }
  const auto json = ParseJson(*text, file.string());
  if (!json) {
    found.faults.push_back(json.error());
    return std::nullopt;
  }
  auto board = ParseBoard(*json, file.string(), calib);
  if (!board) {
    found.faults.push_back(board.error());
    return std::nullopt;
  }
  return std::move(*board);
}

/// Every line, not only up to the first fault.
std::vector<Entry> VerifyLines(std::string_view text,
                               const std::string& name,
                               Verification& found) {
  const LogLines split = SplitLog(text);
  std::vector<Entry> entries;
  int number = 0;
  for (const std::string_view line : split.lines) {
    auto entry = ParseEntry(line, fmt::format("{}:{}", name, ++number), entries);
    if (!entry) {
      found.faults.push_back(entry.error());
      continue;
    }
    entry->line = number;
    entries.push_back(std::move(*entry));
  }
  MarkVoided(entries);
  if (auto warning = TornWarning(split, name); !warning.empty()) found.warnings.push_back(warning);
  return entries;
}

/// Readings must fit the board as it is described now; a later change of the description can break
/// that.
void VerifyReadings(const std::vector<Entry>& entries,
                    const Board& board,
                    const Calib& calib,
                    const std::string& name,
                    Verification& found) {
  for (const Entry& entry : entries) {
    if (entry.voided || entry.held() == nullptr) continue;
    std::vector<std::string> warnings;  // were given when the reading was taken
    const auto fits = entry.gauge ? CheckGauge(*entry.gauge, board, calib, warnings)
                                  : CheckHeld(*entry.held(), board, calib, warnings);
    if (!fits) {
      Error error = fits.error();
      error.where = fmt::format("{}:{} ({}), {}", name, entry.line, entry.id, error.where);
      found.faults.push_back(error);
    }
  }
}

}  // namespace

Verification VerifyFolder(const Disk& disk, const Disk::Path& folder, const Calib& calib) {
  Verification found;
  found.folder = folder.string();
  const auto board = VerifyBoard(disk, folder, calib, found);
  const Disk::Path file = folder / "log.jsonl";
  if (disk.IsFile(file)) {
    if (const auto text = disk.Read(file)) {
      const auto entries = VerifyLines(*text, file.string(), found);
      found.entries = static_cast<int>(entries.size());
      if (board) VerifyReadings(entries, *board, calib, file.string(), found);
    } else {
      found.faults.push_back(text.error());
    }
  }
  if (const auto names = disk.List(folder)) {
    for (const std::string& name : *names) {
      if (!IsTemporaryName(name)) continue;
      found.warnings.push_back((folder / name).string() +
                               ": left by a program that was stopped; harmless, the next change "
                               "of the board removes it");
    }
  }
  return found;
}

}  // namespace lieflat
