#include "record/files.h"

#include <algorithm>
#include <charconv>
#include <string>

#include <fmt/format.h>

namespace lieflat {
namespace {

constexpr const char* kCopiesFolder = ".former";
constexpr std::string_view kCopyStart = "board-", kCopyEnd = ".json";

/// The number in board-0007.json; 0 for another name.
int CopyNumber(std::string_view name) {
  if (!name.starts_with(kCopyStart) || !name.ends_with(kCopyEnd)) return 0;
  name.remove_prefix(kCopyStart.size());
  name.remove_suffix(kCopyEnd.size());
  int number = 0;
  const auto [end, fault] = std::from_chars(name.data(), name.data() + name.size(), number);
  return fault == std::errc() && end == name.data() + name.size() ? number : 0;
}

}  // namespace

bool HoldsBoard(const Disk& disk, const Disk::Path& folder) {
  return disk.IsFile(folder / kBoardName) || disk.IsFile(folder / kLogName) ||
         !CopiesOfBoard(disk, folder).empty();
}

void RemoveLeftovers(Disk& disk, const Disk::Path& folder) {
  const auto names = disk.List(folder);
  if (!names) return;
  for (const std::string& name : *names) {
    if (IsTemporaryName(name)) (void)disk.Remove(folder / name);
  }
}

std::vector<Disk::Path> CopiesOfBoard(const Disk& disk, const Disk::Path& folder) {
  const Disk::Path copies = folder / kCopiesFolder;
  if (!disk.IsFolder(copies)) return {};
  const auto names = disk.List(copies);
  if (!names) return {};
  std::vector<std::pair<int, Disk::Path>> numbered;
  for (const std::string& name : *names) {
    if (const int number = CopyNumber(name); number > 0)
      numbered.emplace_back(number, copies / name);
  }
  std::sort(numbered.rbegin(), numbered.rend());
  std::vector<Disk::Path> files;
  files.reserve(numbered.size());
  for (auto& [number, file] : numbered) files.push_back(std::move(file));
  return files;
}

Result<void> CopiesListed(const Disk& disk, const Disk::Path& folder) {
  const Disk::Path copies = folder / kCopiesFolder;
  // A file of that name, or one that cannot be looked at: IsFile says so of both.
  if (!disk.IsFolder(copies) && !disk.IsFile(copies)) return {};
  const auto names = disk.List(copies);
  return names ? Result<void>() : names.error();
}

Result<void> KeepCopy(Disk& disk, const Disk::Path& folder, std::string_view board_text) {
  const Disk::Path copies = folder / kCopiesFolder;
  if (auto made = disk.MakeFolder(copies); !made) return made;
  RemoveLeftovers(disk, copies);
  std::vector<Disk::Path> files = CopiesOfBoard(disk, folder);
  const int newest = files.empty() ? 0 : CopyNumber(files.front().filename().string());
  const std::string name = fmt::format("{}{:04}{}", kCopyStart, newest + 1, kCopyEnd);
  if (auto kept = ReplaceFile(disk, copies / name, board_text); !kept) return kept;
  // One too many that cannot be removed does no harm; the next change tries again.
  while (files.size() >= kMostCopies) {
    (void)disk.Remove(files.back());
    files.pop_back();
  }
  return {};
}

}  // namespace lieflat
