#include "lieflat/record/folder.h"

#include <algorithm>

#include <fmt/format.h>

#define XXH_INLINE_ALL
#include <xxhash.h>

#include "record/entry.h"
#include "record/files.h"

namespace lieflat {

const char* const kVersion = LIEFLAT_VERSION;

namespace {

/// A person waits this long before being told that something else is writing; a write takes
/// milliseconds.
constexpr double kWaitSeconds = 5.0;

Error NoBoard(const Disk::Path& folder) {
  return {ErrorCode::kRefused,
          folder.string(),
          "holds no board (there is no board.json)",
          "start one with: lieflat new DIR --size 305x244"};
}

Result<Board> ReadBoard(const Disk& disk,
                        const Disk::Path& folder,
                        const Calib& calib,
                        std::string& text) {
  const Disk::Path file = folder / kBoardName;
  if (!disk.IsFile(file)) return NoBoard(folder);
  auto bytes = disk.Read(file);
  if (!bytes) return bytes.error();
  text = std::move(*bytes);
  const auto json = ParseJson(text, file.string());
  if (!json) return json.error();
  return ParseBoard(*json, file.string(), calib);
}

Result<BoardFolder::State> ReadState(const Disk& disk,
                                     const Disk::Path& folder,
                                     const Calib& calib) {
  BoardFolder::State state;
  auto board = ReadBoard(disk, folder, calib, state.board_text);
  if (!board) return board.error();
  state.board = std::move(*board);
  const Disk::Path file = folder / kLogName;
  if (disk.IsFile(file)) {
    auto text = disk.Read(file);
    if (!text) return text.error();
    state.log_text = std::move(*text);
  }
  auto log = ParseLog(state.log_text, file.string());
  if (!log) return log.error();
  state.log = std::move(*log);
  return state;
}

/// A board as it will be read again: what cannot be read back is never saved.
Result<Board> ReadBack(const Board& board, const std::string& where, const Calib& calib) {
  return ParseBoard(ToJson(board), where, calib);
}

/// Bytes of a torn last line go to log.torn before they are cut off, so that nothing is erased.
Result<void> SetTornAside(Disk& disk, const Disk::Path& folder, const BoardFolder::State& state) {
  if (state.log.whole_bytes == state.log_text.size()) return {};
  const std::string torn = state.log_text.substr(state.log.whole_bytes) + "\n";
  if (auto kept = disk.AppendSynced(folder / kTornName, torn); !kept) return kept;
  return disk.Truncate(folder / kLogName, state.log.whole_bytes);
}

Json EntryJson(const BoardFolder::NewEntry& entry, const std::string& id, const Instant& now) {
  Json json = Json::object();
  json["id"] = id;
  json["kind"] = entry.kind;
  json["at"] = entry.at.value_or(now).Iso();
  json["by_version"] = kVersion;
  json["fitted"] = entry.fitted;
  for (const auto& [key, value] : entry.fields.items()) {
    LIEFLAT_CHECK(!json.contains(key), "an entry's own field has the name of a common one: " + key);
    json[key] = value;
  }
  return json;
}

}  // namespace

BoardFolder::BoardFolder(Disk& disk, const Clock& clock, const Calib& calib, Disk::Path folder)
    : disk_(disk), clock_(clock), calib_(calib), folder_(std::move(folder)) {}

Result<BoardFolder::State> BoardFolder::Load() const {
  auto state = ReadState(disk_, folder_, calib_);
  if (!state || state->log.warnings.empty()) return state;
  // The torn line may only be one that another program is just writing: look again when it has
  // done. Where no lock can be had (a read-only folder), what was read stands.
  const auto lock = disk_.Lock(folder_, kWaitSeconds);
  return lock ? ReadState(disk_, folder_, calib_) : state;
}

Result<void> BoardFolder::Create(const Board& board) {
  const Disk::Path file = folder_ / kBoardName;
  const auto checked = ReadBack(board, file.string(), calib_);
  if (!checked) return checked.error();
  if (auto made = disk_.MakeFolder(folder_); !made) return made;
  const auto lock = disk_.Lock(folder_, kWaitSeconds);
  if (!lock) return lock.error();
  if (disk_.IsFile(file)) {
    return Error{ErrorCode::kRefused,
                 folder_.string(),
                 "holds a board already",
                 "choose another folder, or change this board with: lieflat set"};
  }
  RemoveLeftovers(disk_, folder_);
  const std::string text = DumpJson(ToJson(*checked));
  if (auto kept = KeepCopy(disk_, folder_, text); !kept) return kept;
  if (auto saved = ReplaceFile(disk_, file, text); !saved) {
    // A board that was not made leaves no copy that would pass for a lost one.
    for (const Disk::Path& copy : CopiesOfBoard(disk_, folder_)) (void)disk_.Remove(copy);
    return saved;
  }
  return disk_.SyncFolder((folder_ / "..").lexically_normal());
}

Result<Board> BoardFolder::ChangeBoard(const std::function<Result<void>(Board&)>& change) {
  const Disk::Path file = folder_ / kBoardName;
  if (!disk_.IsFile(file)) return NoBoard(folder_);
  const auto lock = disk_.Lock(folder_, kWaitSeconds);
  if (!lock) return lock.error();
  std::string text;
  auto board = ReadBoard(disk_, folder_, calib_, text);
  if (!board) return board.error();
  if (auto changed = change(*board); !changed) return changed.error();
  auto checked = ReadBack(*board, file.string(), calib_);
  if (!checked) return checked.error();
  RemoveLeftovers(disk_, folder_);
  const std::string new_text = DumpJson(ToJson(*checked));
  if (new_text == text) return checked;
  if (auto kept = KeepCopy(disk_, folder_, new_text); !kept) return kept.error();
  if (auto saved = ReplaceFile(disk_, file, new_text); !saved) return saved.error();
  return checked;
}

Result<Entry> BoardFolder::Append(const std::function<Result<NewEntry>(const State&)>& make) {
  if (!disk_.IsFile(folder_ / kBoardName)) return NoBoard(folder_);
  const auto lock = disk_.Lock(folder_, kWaitSeconds);
  if (!lock) return lock.error();
  const auto state = ReadState(disk_, folder_, calib_);
  if (!state) return state.error();
  const auto fresh = make(*state);
  if (!fresh) return fresh.error();
  const std::string line = DumpJsonLine(EntryJson(*fresh, state->log.NextId(), clock_.Now()));
  // Read back before it is written: a log never holds a line that this program would refuse.
  const int number = static_cast<int>(SplitLog(state->log_text).lines.size()) + 1;
  const std::string where = fmt::format("{}:{}", (folder_ / kLogName).string(), number);
  auto entry = ParseEntry(line, where, state->log.entries);
  if (!entry) return entry.error();
  entry->line = number;
  if (auto aside = SetTornAside(disk_, folder_, *state); !aside) return aside.error();
  if (auto added = disk_.AppendSynced(folder_ / kLogName, line + "\n"); !added) {
    return added.error();
  }
  return entry;
}

std::optional<std::string> BoardFolder::KeptAssessment(const std::string& key) const {
  const Disk::Path file = folder_ / ".cache" / "assessment.json";
  if (!disk_.IsFile(file)) return std::nullopt;
  // Whatever is wrong with a kept assessment, the remedy is to compute it again.
  const auto text = disk_.Read(file);
  if (!text) return std::nullopt;
  const auto json = ParseJson(*text, file.string());
  if (!json) return std::nullopt;
  FieldReader read(*json, file.string());
  const std::string saved_key = read.String("key");
  std::string document = read.String("document");
  if (read.error() || saved_key != key) return std::nullopt;
  return document;
}

void BoardFolder::KeepAssessment(const std::string& key, const std::string& text) const {
  const Disk::Path folder = folder_ / ".cache";
  // Failure is passed over by design: nothing is lost but time, and a folder on a read-only disk
  // can be assessed too.
  if (!disk_.MakeFolder(folder)) return;
  Json json = Json::object();
  json["key"] = key;
  json["document"] = text;
  (void)ReplaceFile(disk_, folder / "assessment.json", DumpJsonLine(json) + "\n");
}

std::string BoardFolder::AssessmentKey(const State& state,
                                       const Calib& calib,
                                       const std::string& extra) {
  // Each piece with its length before it: moving bytes from one piece to the next changes the key.
  std::string all;
  const std::string version = kVersion;
  for (const std::string* piece :
       {&state.board_text, &state.log_text, &calib.Fingerprint(), &version, &extra}) {
    all += fmt::format("{}:", piece->size());
    all += *piece;
  }
  const XXH128_hash_t hash = XXH3_128bits(all.data(), all.size());
  return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

Result<std::vector<Disk::Path>> BoardFolders(const Disk& disk, const Disk::Path& lot) {
  if (HoldsBoard(disk, lot)) return std::vector<Disk::Path>{lot};
  const auto names = disk.List(lot);
  if (!names) return names.error();
  std::vector<Disk::Path> folders;
  for (const std::string& name : *names) {
    const Disk::Path child = lot / name;
    // A file beside the boards; what cannot be looked at just now is none for certain.
    if (disk.IsFile(child) && !disk.IsFolder(child)) continue;
    if (HoldsBoard(disk, child)) folders.push_back(child);
  }
  if (folders.empty()) {
    return Error{ErrorCode::kRefused,
                 lot.string(),
                 "holds no board folder",
                 "start one with: lieflat new DIR --size 305x244"};
  }
  return folders;
}

}  // namespace lieflat
