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

void MemoryDisk::Later(const Path& path, std::function<void(Names&)> apply) {
  apply(names_);
  pending_.push_back({Key(path.parent_path()), std::move(apply)});
}

void MemoryDisk::PowerCut(unsigned kept) {
  names_ = durable_;
  for (std::size_t i = 0; i < pending_.size(); ++i) {
    if (((kept >> i) & 1U) != 0) pending_[i].apply(names_);
  }
  durable_ = names_;
  pending_.clear();
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
  Result<void> midway;
  try {
    midway = Before(step + "-half", file);
  } catch (const Crash&) {
    const std::string zeros(bytes.size(), '\0');
    const std::string whole(bytes);
    switch (torn) {
      case Torn::kHalf:
        break;
      case Torn::kNothing:
        content = before;
        break;
      case Torn::kAll:
        content = before + whole;
        break;
      case Torn::kZerosFirst:
        content = before + zeros.substr(0, half.size()) + whole.substr(half.size());
        break;
      case Torn::kZerosLast:
        content = before + whole.substr(0, half.size()) + zeros.substr(half.size());
        break;
    }
    throw;
  }
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
  if (!names_.contains(Key(file))) {
    Later(file, [key = Key(file), content = std::make_shared<std::string>()](Names& names) {
      names[key] = content;
    });
  }
  const Bytes content = names_[Key(file)];
  content->clear();
  auto added = Add("write", file, *content, bytes);
  if (!added) Later(file, [key = Key(file)](Names& names) { names.erase(key); });
  return added;
}

Result<void> MemoryDisk::AppendSynced(const Path& file, std::string_view bytes) {
  if (auto ready = Before("append", file); !ready) return ready;
  if (!IsFolder(file.parent_path())) return Absent(file);
  const bool created = !names_.contains(Key(file));
  if (created) {
    Later(file, [key = Key(file), content = std::make_shared<std::string>()](Names& names) {
      names[key] = content;
    });
  }
  const Bytes content = names_[Key(file)];
  auto added = Add("append", file, *content, bytes);
  if (added && created) added = SyncFolder(file.parent_path());
  if (!added && created) Later(file, [key = Key(file)](Names& names) { names.erase(key); });
  return added;
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
  Later(to, [from = Key(from), to = Key(to), bytes = found->second](Names& names) {
    names[to] = bytes;
    names.erase(from);
  });
  return {};
}

Result<void> MemoryDisk::CopyMode(const Path& from, const Path& to) {
  if (auto ready = Before("copy-mode", to); !ready) return ready;
  return IsFile(from) && IsFile(to) ? Result<void>() : Absent(IsFile(from) ? to : from);
}

Result<void> MemoryDisk::Remove(const Path& file) {
  if (auto ready = Before("remove", file); !ready) return ready;
  if (!names_.contains(Key(file))) return Absent(file);
  Later(file, [key = Key(file)](Names& names) { names.erase(key); });
  return {};
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
  std::erase_if(pending_, [&](const NameChange& change) { return change.folder == Key(folder); });
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
