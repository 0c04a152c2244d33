#pragma once
// log.jsonl: what was seen and done. Append-only, UTF-8, one JSON object a line, each line ended by
// a newline and synced before it is acknowledged. Every entry:
//   {"id": "e7", "kind": "gauge", "at": "2026-03-02T20:00:00+01:00", "by_version": "0.1.0",
//   "fitted": ["cooler"], ...}
// Kinds and their own fields:
//   glance   look (the answers as given), sorted, because
//   gauge    reading (see ToJson(Gauge)), again_of (the entry whose points were read again)
//   works    state (yes partly no untested), did
//   note     text
//   void     target (an id), reason
//   damage   damage (a mark, see lieflat/damage/mark.h); or mark (the id of an earlier one) with
//            what changes: state, depth, measures, aspects, note
//   hold-start, hold-end  hold (its name, shared), way, load_kg, temperature_c, about, anyway, note
//   photo    reading (see ToJson(PhotoReading)); seen (a picture, in the folder)
//   verdict: reserved; kept and passed over by this version
// Voided entries are passed over; nothing is erased. A last line without its newline is torn:
// reported and skipped; the next append moves its bytes to log.torn. A line before the last that is
// no entry is a fault that `verify` names. An entry with "format_version" above 1 is refused by
// name.

#include <optional>
#include <string>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/base/json.h"
#include "lieflat/choice/first_look.h"
#include "lieflat/damage/mark.h"
#include "lieflat/lasting/hold.h"
#include "lieflat/readings/gauge.h"
#include "lieflat/readings/photo.h"

namespace lieflat {

struct Entry {
  std::string id, kind;
  Instant at;
  std::string by_version;
  std::vector<std::string> fitted;
  int line = 0;
  bool voided = false;
  std::string void_reason;
  Json fields;                            ///< the whole object as saved
  std::optional<Gauge> gauge;             ///< for kind "gauge"
  std::optional<Mark> mark;               ///< for kind "damage": a new one
  std::optional<MarkChange> mark_change;  ///< or what changes of an earlier one
  std::optional<LoggedHold> hold;         ///< for kinds "hold-start" and "hold-end"
  std::optional<PhotoReading> photo;      ///< for kind "photo"
  /// How the board was held; null for what is no reading.
  [[nodiscard]] const Gauge* held() const {
    return gauge ? &*gauge : photo ? &photo->held : nullptr;
  }
};

struct Log {
  std::vector<Entry> entries;         ///< in the order of the file, voided ones marked
  std::vector<std::string> warnings;  ///< torn last line
  std::size_t whole_bytes = 0;        ///< up to the last newline
  [[nodiscard]] const Entry* Find(const std::string& id) const;
  [[nodiscard]] std::string NextId() const;
  /// The newest `works` entry that stands, else `at_intake`.
  [[nodiscard]] std::string WorksNow(const std::string& at_intake) const;
  /// When that was tested; nothing when only the intake says so.
  [[nodiscard]] std::optional<Instant> WorksTestedAt() const;
};

/// The marks of damage that stand, in the order of the log, as later entries left them.
std::vector<Mark> MarksOf(const Log& log, const Calib& calib);

/// The times that it was held, in the order of their start; both entries of each put together.
std::vector<LoggedHold> HoldsOf(const Log& log);

/// @error kRefused: log.jsonl:LINE, field, value, rule, remedy.
Result<Log> ParseLog(std::string_view text, const std::string& name);

}  // namespace lieflat
