#include "support/memory_disk.h"

namespace lieflat::testing {
namespace {

Error Absent(const Disk::Path& path) {
  return {ErrorCode::kRefused, path.string(), "there is no such file or folder", "check the path"};
}

class MemoryLock : public FolderLock {
 public:
  MemoryLock(std::shared_ptr<std::set<std::string>> locked, std::string key)
      : locked_(std::move(locked)), key_(std::move(key)) {}
  ~MemoryLock() override { locked_->erase(key_); }
  MemoryLock(const MemoryLock&) = delete;
  MemoryLock& operator=(const MemoryLock&) = delete;

 private:
  std::shared_ptr<std::set<std::string>> locked_;
  std::string key_;
};

}  // namespace

std::string MemoryDisk::Key(const Path& path) {
  std::string key = path.lexically_normal().generic_string();
  while (key.size() > 1 && key.ends_with('/')) key.pop_back();
  return key;
}

Result<void> MemoryDisk::Before(const std::string& step, const Path& path) const {
  if (!hook) return {};
  if (auto error = hook(step, path)) return *error;
  return {};
}

void MemoryDisk::Put(const Path& file, const std::string& bytes) {
  for (Path folder = file.parent_path(); !folder.empty(); folder = folder.parent_path()) {
    folders_.insert(Key(folder));
    if (folder == folder.parent_path()) break;
  }
  names_[Key(file)] = durable_[Key(file)] = std::make_shared<std::string>(bytes);
}

std::optional<std::string> MemoryDisk::Content(const Path& file) const {
  const auto found = names_.find(Key(file));
  if (found == names_.end()) return std::nullopt;
  return *found->second;
}

std::vector<std::string> MemoryDisk::FileNames() const {
  std::vector<std::string> names;
  for (const auto& [name, bytes] : names_) names.push_back(name);
  return names;
}

std::size_t MemoryDisk::UsedBytes() const {
  std::size_t used = 0;
  for (const auto& [name, bytes] : names_) used += bytes->size();
  return used;
}

void MemoryDisk::PowerCut() {
  names_ = durable_;
  Restart();
}

Result<std::string> MemoryDisk::Read(const Path& file) const {
  auto content = Content(file);
  if (!content) return Absent(file);
  return *std::move(content);
}

bool MemoryDisk::IsFile(const Path& path) const { return names_.contains(Key(path)); }

bool MemoryDisk::IsFolder(const Path& path) const { return folders_.contains(Key(path)); }

Result<std::vector<std::string>> MemoryDisk::List(const Path& folder) const {
  if (!IsFolder(folder)) return Absent(folder);
  std::set<std::string> names;
  const auto collect = [&](const std::string& key) {
    if (Path(key).parent_path() == Path(Key(folder))) names.insert(Path(key).filename().string());
  };
  for (const auto& [name, bytes] : names_) collect(name);
  for (const std::string& name : folders_) collect(name);
  return std::vector<std::string>(names.begin(), names.end());
}

Result<void> MemoryDisk::MakeFolder(const Path& folder) {
  if (auto ready = Before("make-folder", folder); !ready) return ready;
  for (Path path = folder; !path.empty(); path = path.parent_path()) {
    folders_.insert(Key(path));
    if (path == path.parent_path()) break;
  }
  return {};
}

Result<void> MemoryDisk::Add(const std::string& step,
                             const Path& file,
                             std::string& content,
                             std::string_view bytes) {
  const std::string before = content;
  const std::string_view half = bytes.substr(0, bytes.size() / 2);
  content += half;
  Result<void> midway = Before(step + "-half", file);
  content += bytes.substr(half.size());
  if (midway && capacity && UsedBytes() > *capacity) {
    midway = Error{ErrorCode::kInternal,
                   file.string(),
                   "the disk is full: writing failed, nothing was changed",
                   "free some space and try again"};
  }
  if (!midway) content = before;
  return midway;
}

Result<void> MemoryDisk::WriteSynced(const Path& file, std::string_view bytes) {
  if (auto ready = Before("write", file); !ready) return ready;
  if (!IsFolder(file.parent_path())) return Absent(file);
  auto& content = names_[Key(file)];
  if (!content) content = std::make_shared<std::string>();
  content->clear();
  auto added = Add("write", file, *content, bytes);
  if (!added) names_.erase(Key(file));
  return added;
}

Result<void> MemoryDisk::AppendSynced(const Path& file, std::string_view bytes) {
  if (auto ready = Before("append", file); !ready) return ready;
  if (!IsFolder(file.parent_path())) return Absent(file);
  auto& content = names_[Key(file)];
  const bool created = content == nullptr;
  if (created) content = std::make_shared<std::string>();
  auto added = Add("append", file, *content, bytes);
  if (!added && created) names_.erase(Key(file));
  if (!added) return added;
  if (created) durable_[Key(file)] = content;
  return {};
}

Result<void> MemoryDisk::Truncate(const Path& file, std::size_t length) {
  if (auto ready = Before("truncate", file); !ready) return ready;
  const auto found = names_.find(Key(file));
  if (found == names_.end()) return Absent(file);
  found->second->resize(length);
  return {};
}

Result<void> MemoryDisk::Rename(const Path& from, const Path& to) {
  if (auto ready = Before("rename", to); !ready) return ready;
  const auto found = names_.find(Key(from));
  if (found == names_.end()) return Absent(from);
  names_[Key(to)] = found->second;
  names_.erase(Key(from));
  return {};
}

Result<void> MemoryDisk::CopyMode(const Path& from, const Path& to) {
  if (auto ready = Before("copy-mode", to); !ready) return ready;
  return IsFile(from) && IsFile(to) ? Result<void>() : Absent(IsFile(from) ? to : from);
}

Result<void> MemoryDisk::Remove(const Path& file) {
  if (auto ready = Before("remove", file); !ready) return ready;
  return names_.erase(Key(file)) == 1 ? Result<void>() : Absent(file);
}

Result<void> MemoryDisk::SyncFolder(const Path& folder) {
  if (auto ready = Before("sync-folder", folder); !ready) return ready;
  const auto inside = [&](const std::string& key) {
    return Path(key).parent_path() == Path(Key(folder));
  };
  std::erase_if(durable_, [&](const auto& entry) { return inside(entry.first); });
  for (const auto& [key, bytes] : names_) {
    if (inside(key)) durable_[key] = bytes;
  }
  return {};
}

Result<std::unique_ptr<FolderLock>> MemoryDisk::Lock(const Path& folder, double /*wait_seconds*/) {
  if (auto ready = Before("lock", folder); !ready) return ready.error();
  if (!IsFolder(folder)) return Absent(folder);
  if (!locked_->insert(Key(folder)).second) {
    return Error{ErrorCode::kBusy, folder.string(), "the folder is locked", "try again"};
  }
  return std::unique_ptr<FolderLock>(std::make_unique<MemoryLock>(locked_, Key(folder)));
}

}  // namespace lieflat::testing
