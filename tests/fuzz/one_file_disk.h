#pragma once
// A disk of one folder with one file in it, for parsers that read by themselves.

#include <string>

#include "lieflat/base/disk.h"

namespace lieflat::fuzz {

class OneFileDisk : public Disk {
 public:
  OneFileDisk(Path file, std::string text) : file_(std::move(file)), text_(std::move(text)) {}

  Result<std::string> Read(const Path& file) const override {
    return file == file_ ? Result<std::string>(text_) : Result<std::string>(No(file));
  }
  [[nodiscard]] bool IsFile(const Path& path) const override { return path == file_; }
  [[nodiscard]] bool IsFolder(const Path& path) const override {
    return path == file_.parent_path();
  }
  Result<std::vector<std::string>> List(const Path&) const override {
    return std::vector<std::string>{file_.filename().string()};
  }
  Result<void> MakeFolder(const Path& folder) override { return No(folder); }
  Result<void> WriteSynced(const Path& file, std::string_view) override { return No(file); }
  Result<void> AppendSynced(const Path& file, std::string_view) override { return No(file); }
  Result<void> Truncate(const Path& file, std::size_t) override { return No(file); }
  Result<void> Rename(const Path& from, const Path&) override { return No(from); }
  Result<void> CopyMode(const Path& from, const Path&) override { return No(from); }
  Result<void> Remove(const Path& file) override { return No(file); }
  Result<void> SyncFolder(const Path& folder) override { return No(folder); }
  Result<std::unique_ptr<FolderLock>> Lock(const Path& folder, double) override {
    return No(folder);
  }

 private:
  static Error No(const Path& path) {
    return {
        ErrorCode::kRefused, path.string(), "there is no such file or folder", "check the path"};
  }
  Path file_;
  std::string text_;
};

}  // namespace lieflat::fuzz
