#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "lieflat/record/folder.h"

#include "record/entry.h"
#include "record/files.h"

namespace lieflat {
namespace {

/// Under the lock, as every change of a folder.
constexpr double kWaitSeconds = 5.0;

/// Written in a format after this program's: not damaged, only not ours to judge.
bool IsOfLaterFormat(std::string_view text, const char* version_key) {
  const auto json = ParseJson(text, "");
  if (!json || !json->is_object()) return false;
  const auto version = json->find(version_key);
  return version != json->end() && version->is_number_integer() && version->get<int>() > 1;
}

/// The text of a file when it holds a description.
std::optional<std::string> Description(const Disk& disk,
                                       const Disk::Path& file,
                                       const Calib& calib) {
  auto text = disk.Read(file);
  if (!text) return std::nullopt;
  const auto json = ParseJson(*text, file.string());
  if (!json || !ParseBoard(*json, file.string(), calib)) return std::nullopt;
  return *std::move(text);
}

class Repairer {
 public:
  Repairer(Disk& disk, const Disk::Path& folder, const Calib& calib)
      : disk_(disk), folder_(folder), calib_(calib) {}

  Result<Repair> Run() {
    const auto lock = disk_.Lock(folder_, kWaitSeconds);
    if (!lock) return lock.error();
    if (auto removed = Leftovers(); !removed) return removed.error();
    if (auto mended = MendDescription(); !mended) return mended.error();
    if (auto mended = MendLog(); !mended) return mended.error();
    return std::move(out_);
  }

 private:
  Result<void> Leftovers() {
    const auto names = disk_.List(folder_);
    if (!names) return names.error();
    for (const std::string& name : *names) {
      if (!IsTemporaryName(name)) continue;
      if (auto removed = disk_.Remove(folder_ / name); !removed) return removed;
      out_.done.push_back(name + ": left by a program that was stopped; removed");
    }
    return {};
  }

  /// Keeps the bytes of a damaged description beside it. A name that is taken is passed over:
  /// nothing that was set aside is written over.
  Result<std::string> SetDescriptionAside() {
    const Disk::Path file = folder_ / kBoardName;
    constexpr int kMostAside = 10000;  // a disk that fails may call every name taken
    for (int number = 1; number <= kMostAside; ++number) {
      const std::string name = fmt::format("board.damaged-{}.json", number);
      if (disk_.IsFile(folder_ / name)) continue;
      if (auto moved = disk_.Rename(file, folder_ / name); !moved) return moved.error();
      if (auto synced = disk_.SyncFolder(folder_); !synced) return synced.error();
      return name;
    }
    return Error{ErrorCode::kInternal,
                 file.string(),
                 "cannot be set aside: every name for it is taken, or the disk cannot be read",
                 "look at the disk, or move it away by hand"};
  }

  /// A copy that cannot be used is named, so that the one before it does not pass for the newest.
  void PassOver(const Disk::Path& copy) {
    const auto text = disk_.Read(copy);
    out_.left.push_back(fmt::format(
        "{}: {}; passed over", copy.string(), text ? "is no description" : text.error().message));
  }

  Result<void> MendDescription() {
    const Disk::Path file = folder_ / kBoardName;
    const bool there = disk_.IsFile(file);
    if (there) {
      if (Description(disk_, file, calib_)) return {};
      const auto text = disk_.Read(file);
      if (text && IsOfLaterFormat(*text, "version")) {
        out_.left.emplace_back(
            "board.json: of a later version of the program, and left alone; use that one");
        return {};
      }
    }
    // Before anything is moved: a disk that only fails just now must not pass for a board without
    // copies.
    if (auto listed = CopiesListed(disk_, folder_); !listed) return listed;
    std::string aside;
    if (there) {
      auto name = SetDescriptionAside();
      if (!name) return name.error();
      aside = "; the damaged one is " + *name;
      out_.done.push_back("board.json: is no description of a board; set aside as " + *name);
    }
    for (const Disk::Path& copy : CopiesOfBoard(disk_, folder_)) {
      const auto text = Description(disk_, copy, calib_);
      if (!text) {
        PassOver(copy);
        continue;
      }
      if (auto put = ReplaceFile(disk_, file, *text); !put) return put;
      out_.done.push_back(
          fmt::format("board.json: brought back from {}/{}, as it was before its "
                      "last change; look at it with: lieflat assess, and mend it "
                      "with: lieflat set",
                      copy.parent_path().filename().string(),
                      copy.filename().string()));
      return {};
    }
    out_.left.push_back("board.json: cannot be brought back, for no copy of it is kept" + aside +
                        "; describe the board again with: lieflat new, which leaves the log alone");
    return {};
  }

  Result<void> MendLog() {
    const Disk::Path file = folder_ / kLogName;
    if (!disk_.IsFile(file)) return {};
    const auto text = disk_.Read(file);
    if (!text) return text.error();
    const LogLines split = SplitLog(*text);
    std::string good, bad;
    std::vector<Entry> entries;
    std::vector<std::string> aside;
    int number = 0;
    for (const std::string_view line : split.lines) {
      const std::string where = fmt::format("{}:{}", kLogName, ++number);
      auto entry = ParseEntry(line, where, entries);
      if (entry) {
        entries.push_back(std::move(*entry));
      } else if (IsOfLaterFormat(line, "format_version")) {
        out_.left.push_back(where +
                            ": of a later version of the program; the log is left alone; use that "
                            "one");
        return {};
      } else {
        aside.push_back(
            fmt::format("{}: {}; set aside in {}", where, entry.error().message, kTornName));
        bad.append(line).append("\n");
        continue;
      }
      good.append(line).append("\n");
    }
    if (!split.torn.empty()) {
      aside.push_back(fmt::format("{}:{}: torn; set aside in {}", kLogName, number + 1, kTornName));
      bad.append(split.torn).append("\n");
    }
    if (bad.empty()) return {};
    // First kept, then cut: a stop between the two leaves the bytes twice, never not at all.
    if (auto kept = disk_.AppendSynced(folder_ / kTornName, bad); !kept) return kept;
    if (auto cut = ReplaceFile(disk_, file, good); !cut) return cut;
    out_.done.insert(out_.done.end(), aside.begin(), aside.end());
    return {};
  }

  Disk& disk_;
  const Disk::Path& folder_;
  const Calib& calib_;
  Repair out_;
};

}  // namespace

Result<Repair> RepairFolder(Disk& disk, const Disk::Path& folder, const Calib& calib) {
  return Repairer(disk, folder, calib).Run();
}

}  // namespace lieflat
