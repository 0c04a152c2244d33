#include "lieflat/record/log.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

#include "lieflat/base/read_words.h"

#include "record/entry.h"

namespace lieflat {
namespace {

constexpr int kFormatVersion = 1;
constexpr int kLastVersion = 1000000;
constexpr long kLargestId = 999999999;

const std::vector<std::string>& Kinds() {
  static const std::vector<std::string> kinds = {"glance",
                                                 "gauge",
                                                 "photo",
                                                 "damage",
                                                 "works",
                                                 "hold-start",
                                                 "hold-end",
                                                 "verdict",
                                                 "note",
                                                 "void"};
  return kinds;
}

/// The number of an id "e7"; 0 when it is none.
long IdNumber(std::string_view id) {
  if (id.size() < 2 || id[0] != 'e' || id[1] == '0') return 0;
  long number = 0;
  const char* const end = id.data() + id.size();
  const auto [stopped, fault] = std::from_chars(id.data() + 1, end, number);
  return fault == std::errc() && stopped == end && number > 0 && number <= kLargestId ? number : 0;
}

const Entry* FindEntry(const std::vector<Entry>& entries, const std::string& id) {
  const auto found =
      std::find_if(entries.begin(), entries.end(), [&](const Entry& e) { return e.id == id; });
  return found == entries.end() ? nullptr : &*found;
}

/// An entry is one line, whose number `where` gives already: "log.jsonl:3, line 1, column 9" says
/// it twice.
Error OnItsLine(Error error) {
  constexpr std::string_view kLine = ", line 1, column ";
  if (const auto at = error.where.rfind(kLine); at != std::string::npos) {
    error.where.replace(at, kLine.size(), ", column ");
  }
  return error;
}

std::optional<Error> LaterVersion(const Json& json, const std::string& where) {
  FieldReader read(json, where);
  const auto version = read.OptionalInteger("format_version", 1, kLastVersion);
  if (read.error()) return read.error();
  if (!version || *version <= kFormatVersion) return std::nullopt;
  const auto by = json.find("by_version");
  const std::string writer = by != json.end() && by->is_string()
                                 ? " (written by version " + by->get<std::string>() + ")"
                                 : std::string();
  return Error{ErrorCode::kRefused,
               read.Where("format_version"),
               fmt::format("entry format {}{} is later than {}, the latest this program reads",
                           *version,
                           writer,
                           kFormatVersion),
               "use a newer version of the program for this board"};
}

void ReadReference(FieldReader& read,
                   const std::string& key,
                   const std::string& id,
                   const std::vector<Entry>& earlier) {
  if (read.error() || FindEntry(earlier, id) != nullptr) return;
  read.Refuse(key,
              Quoted(id) + " is no earlier entry of this log",
              earlier.empty() ? "the log has no entries yet"
                              : "ids run from " + earlier.front().id + " to " + earlier.back().id);
}

void ReadGauge(FieldReader& read, Entry& entry, const std::vector<Entry>& earlier) {
  const Json* const reading = read.Object("reading", true);
  const auto again_of = read.OptionalString("again_of");
  if (again_of) ReadReference(read, "again_of", *again_of, earlier);
  if (reading == nullptr) return;
  auto gauge = ParseGauge(*reading, read.Where("reading"));
  if (gauge) {
    entry.gauge = std::move(*gauge);
  } else {
    read.Adopt(gauge.error());
  }
}

void ReadPhoto(FieldReader& read, Entry& entry) {
  const Json* const reading = read.Object("reading", true);
  read.Known("seen");
  if (reading == nullptr) return;
  auto photo = ParsePhotoReading(*reading, read.Where("reading"));
  if (photo) {
    entry.photo = std::move(*photo);
  } else {
    read.Adopt(photo.error());
  }
}

void ReadGlance(FieldReader& read) {
  const Json* const look = read.Object("look", true);
  read.Word("sorted", {Name(Sorted::kLeave), Name(Sorted::kMeasure), Name(Sorted::kDoNotTouch)});
  ReadWords(read, "because");
  if (look == nullptr) return;
  if (const auto parsed = ParseFirstLook(*look, read.Where("look")); !parsed) {
    read.Adopt(parsed.error());
  }
}

/// A mark, or what changes of an earlier one; the keys of a change stand beside those of the entry.
void ReadDamage(FieldReader& read,
                const Json& json,
                const std::string& where,
                Entry& entry,
                const std::vector<Entry>& earlier) {
  if (const Json* const damage = read.Object("damage", false)) {
    auto mark = ParseMark(*damage, read.Where("damage"));
    if (!mark) return read.Adopt(mark.error());
    mark->id = entry.id;
    entry.mark = std::move(*mark);
    return;
  }
  Json change = Json::object();
  for (const char* key : {"mark", "state", "depth", "measures", "aspects", "note"}) {
    read.Known(key);
    if (const auto found = json.find(key); found != json.end()) change[key] = *found;
  }
  auto parsed = ParseMarkChange(change, where);
  if (!parsed) return read.Adopt(parsed.error());
  ReadReference(read, "mark", parsed->mark, earlier);
  if (read.error()) return;
  if (!FindEntry(earlier, parsed->mark)->mark) {
    read.Refuse(
        "mark", Quoted(parsed->mark) + " is no mark of damage", "name the entry that made it");
    return;
  }
  entry.mark_change = std::move(*parsed);
}

void ReadHold(FieldReader& read,
              const Json& json,
              const std::string& where,
              Entry& entry,
              const std::vector<Entry>& earlier) {
  Json own = Json::object();
  for (const char* key : {"hold", "way", "load_kg", "temperature_c", "about", "anyway", "note"}) {
    read.Known(key);
    if (const auto found = json.find(key); found != json.end()) own[key] = *found;
  }
  auto hold = ParseHold(own, where);
  if (!hold) return read.Adopt(hold.error());
  const auto same = [&](const char* kind) {
    return std::any_of(earlier.begin(), earlier.end(), [&](const Entry& one) {
      return one.kind == kind && one.hold && one.hold->id == hold->id;
    });
  };
  if (entry.kind == "hold-start" && same("hold-start")) {
    read.Refuse("hold", Quoted(hold->id) + " was started before", "each hold has its own name");
  } else if (entry.kind == "hold-end" && (!same("hold-start") || same("hold-end"))) {
    read.Refuse("hold",
                Quoted(hold->id) + (same("hold-end") ? " has ended before" : " was not started"),
                "name a hold that is open");
  }
  if (!read.error()) entry.hold = std::move(*hold);
}

/// The fields of the kind itself. Kinds that this version does not know by their fields are kept as
/// they are.
void ReadOwnFields(FieldReader& read,
                   const Json& json,
                   const std::string& where,
                   Entry& entry,
                   const std::vector<Entry>& earlier) {
  if (entry.kind == "gauge") {
    ReadGauge(read, entry, earlier);
  } else if (entry.kind == "photo") {
    ReadPhoto(read, entry);
  } else if (entry.kind == "glance") {
    ReadGlance(read);
  } else if (entry.kind == "works") {
    read.Word("state", {"yes", "partly", "no", "untested"});
    read.OptionalString("did");
  } else if (entry.kind == "damage") {
    ReadDamage(read, json, where, entry, earlier);
  } else if (entry.kind == "hold-start" || entry.kind == "hold-end") {
    ReadHold(read, json, where, entry, earlier);
  } else if (entry.kind == "note") {
    read.String("text");
  } else if (entry.kind == "void") {
    ReadReference(read, "target", read.String("target"), earlier);
    read.String("reason");
  } else {
    return;
  }
  read.NoOthers();
}

}  // namespace

LogLines SplitLog(std::string_view text) {
  LogLines split;
  while (true) {
    const auto end = text.find('\n');
    if (end == std::string_view::npos) break;
    split.lines.push_back(text.substr(0, end));
    text.remove_prefix(end + 1);
  }
  split.torn = text;
  if (!split.lines.empty() && split.lines.back().find('\0') != std::string_view::npos) {
    const std::string_view last = split.lines.back();
    split.lines.pop_back();
    split.torn = {last.data(), last.size() + 1 + text.size()};
  }
  return split;
}

std::string TornWarning(const LogLines& split, const std::string& name) {
  if (split.torn.empty()) return "";
  return fmt::format(
      "{}:{}: the last line is torn ({} bytes) and passed over; the next "
      "entry moves it to log.torn",
      name,
      split.lines.size() + 1,
      split.torn.size());
}

Result<Entry> ParseEntry(std::string_view line,
                         const std::string& where,
                         const std::vector<Entry>& earlier) {
  auto json = ParseJson(line, where);
  if (!json) return OnItsLine(json.error());
  if (json->is_object()) {
    if (auto error = LaterVersion(*json, where)) return *error;
  }
  Entry entry;
  FieldReader read(*json, where);
  read.Known("format_version");
  entry.id = read.String("id");
  if (!read.error() && IdNumber(entry.id) == 0) {
    read.Refuse("id", Quoted(entry.id) + " is no entry's name", "names are e1, e2, e3 ...");
  }
  if (!read.error() && FindEntry(earlier, entry.id) != nullptr) {
    read.Refuse("id", Quoted(entry.id) + " stands twice in this log", "each entry has its own");
  }
  entry.kind = read.Word("kind", Kinds());
  const std::string at = read.String("at");
  entry.by_version = read.String("by_version");
  entry.fitted = ReadWords(read, "fitted");
  if (read.error()) return *read.error();
  const auto instant = ParseInstant(at, read.Where("at"));
  if (!instant) return instant.error();
  entry.at = *instant;
  ReadOwnFields(read, *json, where, entry, earlier);
  if (read.error()) return *read.error();
  entry.fields = std::move(*json);
  return entry;
}

void MarkVoided(std::vector<Entry>& entries) {
  // From the last to the first: whether a void stands is settled before its target is looked at.
  for (std::size_t i = entries.size(); i-- > 0;) {
    const Entry& entry = entries[i];
    if (entry.kind != "void" || entry.voided) continue;
    const auto target = entry.fields.at("target").get<std::string>();
    for (std::size_t j = 0; j < i; ++j) {
      if (entries[j].id != target || entries[j].voided) continue;
      entries[j].voided = true;
      entries[j].void_reason = entry.fields.at("reason").get<std::string>();
    }
  }
}

Result<Log> ParseLog(std::string_view text, const std::string& name) {
  const LogLines split = SplitLog(text);
  Log log;
  log.whole_bytes = text.size() - split.torn.size();
  int number = 0;
  for (const std::string_view line : split.lines) {
    ++number;
    auto entry = ParseEntry(line, fmt::format("{}:{}", name, number), log.entries);
    if (!entry) return entry.error();
    entry->line = number;
    log.entries.push_back(std::move(*entry));
  }
  MarkVoided(log.entries);
  if (auto warning = TornWarning(split, name); !warning.empty()) log.warnings.push_back(warning);
  return log;
}

const Entry* Log::Find(const std::string& id) const { return FindEntry(entries, id); }

std::string Log::NextId() const {
  long largest = 0;
  for (const Entry& entry : entries) largest = std::max(largest, IdNumber(entry.id));
  return fmt::format("e{}", largest + 1);
}

namespace {

const Entry* NewestTest(const std::vector<Entry>& entries) {
  const Entry* newest = nullptr;
  for (const Entry& entry : entries) {
    if (entry.kind != "works" || entry.voided) continue;
    if (newest == nullptr || entry.at.unix_seconds >= newest->at.unix_seconds) newest = &entry;
  }
  return newest;
}

}  // namespace

std::string Log::WorksNow(const std::string& at_intake) const {
  const Entry* test = NewestTest(entries);
  return test == nullptr ? at_intake : test->fields.at("state").get<std::string>();
}

std::vector<Mark> MarksOf(const Log& log, const Calib& calib) {
  std::vector<Mark> marks;
  for (const Entry& entry : log.entries) {
    if (entry.voided) continue;
    if (entry.mark) marks.push_back(*entry.mark);
    if (!entry.mark_change) continue;
    const auto found = std::find_if(marks.begin(), marks.end(), [&](const Mark& mark) {
      return mark.id == entry.mark_change->mark;
    });
    if (found != marks.end()) Apply(*entry.mark_change, calib, *found);
  }
  return marks;
}

std::vector<LoggedHold> HoldsOf(const Log& log) {
  std::vector<LoggedHold> holds;
  for (const Entry& entry : log.entries) {
    if (entry.voided || !entry.hold) continue;
    if (entry.kind == "hold-start") {
      holds.push_back(*entry.hold);
      holds.back().from = entry.at;
      continue;
    }
    const auto open = std::find_if(holds.begin(), holds.end(), [&](const LoggedHold& hold) {
      return hold.id == entry.hold->id;
    });
    if (open != holds.end()) open->to = entry.at;
  }
  std::stable_sort(holds.begin(), holds.end(), [](const LoggedHold& a, const LoggedHold& b) {
    return a.from->unix_seconds < b.from->unix_seconds;
  });
  return holds;
}

std::optional<Instant> Log::WorksTestedAt() const {
  const Entry* test = NewestTest(entries);
  if (test == nullptr) return std::nullopt;
  return test->at;
}

}  // namespace lieflat
