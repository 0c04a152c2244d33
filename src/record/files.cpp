#include "record/files.h"

#include <algorithm>
#include <charconv>
#include <string>

#include <fmt/format.h>

namespace lieflat {
namespace {

constexpr const char* kFormerFolder = ".former";
constexpr std::string_view kFormerStart = "board-", kFormerEnd = ".json";

/// The number in board-0007.json; 0 for another name.
int FormerNumber(std::string_view name) {
  if (!name.starts_with(kFormerStart) || !name.ends_with(kFormerEnd)) return 0;
  name.remove_prefix(kFormerStart.size());
  name.remove_suffix(kFormerEnd.size());
  int number = 0;
  const auto [end, fault] = std::from_chars(name.data(), name.data() + name.size(), number);
  return fault == std::errc() && end == name.data() + name.size() ? number : 0;
}

}  // namespace

bool HoldsBoard(const Disk& disk, const Disk::Path& folder) {
  return disk.IsFile(folder / kBoardName) || disk.IsFile(folder / kLogName) ||
         !FormerBoards(disk, folder).empty();
}

void RemoveLeftovers(Disk& disk, const Disk::Path& folder) {
  const auto names = disk.List(folder);
  if (!names) return;
  for (const std::string& name : *names) {
    if (IsTemporaryName(name)) (void)disk.Remove(folder / name);
  }
}

std::vector<Disk::Path> FormerBoards(const Disk& disk, const Disk::Path& folder) {
  const Disk::Path former = folder / kFormerFolder;
  if (!disk.IsFolder(former)) return {};
  const auto names = disk.List(former);
  if (!names) return {};
  std::vector<std::pair<int, Disk::Path>> numbered;
  for (const std::string& name : *names) {
    if (const int number = FormerNumber(name); number > 0)
      numbered.emplace_back(number, former / name);
  }
  std::sort(numbered.rbegin(), numbered.rend());
  std::vector<Disk::Path> files;
  files.reserve(numbered.size());
  for (auto& [number, file] : numbered) files.push_back(std::move(file));
  return files;
}

Result<void> KeepFormer(Disk& disk, const Disk::Path& folder, std::string_view board_text) {
  const Disk::Path former = folder / kFormerFolder;
  if (auto made = disk.MakeFolder(former); !made) return made;
  RemoveLeftovers(disk, former);
  std::vector<Disk::Path> files = FormerBoards(disk, folder);
  const int newest = files.empty() ? 0 : FormerNumber(files.front().filename().string());
  const std::string name = fmt::format("{}{:04}{}", kFormerStart, newest + 1, kFormerEnd);
  if (auto kept = ReplaceFile(disk, former / name, board_text); !kept) return kept;
  // One too many that cannot be removed does no harm; the next change tries again.
  while (files.size() >= kMostFormer) {
    (void)disk.Remove(files.back());
    files.pop_back();
  }
  return {};
}

}  // namespace lieflat
