#pragma once
// One line of log.jsonl, shared by the reader, the writer and `verify`.

#include <string>
#include <string_view>
#include <vector>

#include "lieflat/record/log.h"

namespace lieflat {

/// @param where    "log.jsonl:3"
/// @param earlier  the entries before it: ids must differ, and what is referred to must be among
/// them
Result<Entry> ParseEntry(std::string_view line,
                         const std::string& where,
                         const std::vector<Entry>& earlier);

/// Marks entries that a standing `void` entry names. A void that is itself voided brings its target
/// back.
void MarkVoided(std::vector<Entry>& entries);

/// The whole lines of a log, without their newlines. What follows the last newline is torn; so is a
/// last line with a zero byte in it, which a power cut leaves where some blocks of a write never
/// reached the disk.
struct LogLines {
  std::vector<std::string_view> lines;
  std::string_view torn;
};
LogLines SplitLog(std::string_view text);

/// What is said about a torn last line; empty when there is none.
std::string TornWarning(const LogLines& split, const std::string& name);

}  // namespace lieflat
