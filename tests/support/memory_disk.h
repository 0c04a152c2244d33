#pragma once
// A disk in memory: it can run full, and a test can fail it or stop the program before (or in the
// midst of) any call. Content is durable once a call has written it; a name (a new file, a rename,
// a removal) only once its folder is synced: until then a power cut may keep any of them and lose
// the rest, whatever their order, and a write that was under way may have left any of its blocks.

#include <cstddef>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "lieflat/base/disk.h"

namespace lieflat::testing {

/// Thrown by a hook to stop the program there, as SIGKILL would.
struct Crash : std::runtime_error {
  Crash() : std::runtime_error("the program was stopped here") {}
};

class MemoryDisk : public Disk {
 public:
  /// Called before each call that changes something, and once more when a write stands half done,
  /// with the name of the step: make-folder write write-half append append-half truncate rename
  /// copy-mode remove sync-folder lock. An error it returns is what the call returns (a half-done
  /// write is undone first); it may throw Crash.
  using Hook = std::function<std::optional<Error>(const std::string& step, const Path& path)>;
  Hook hook;
  /// Bytes that all files together may hold.
  std::optional<std::size_t> capacity;

  /// Puts a file there, durable, with its folders; no hook, no capacity.
  void Put(const Path& file, const std::string& bytes);
  /// The content, or nothing when there is no such file.
  [[nodiscard]] std::optional<std::string> Content(const Path& file) const;
  [[nodiscard]] std::vector<std::string> FileNames() const;
  [[nodiscard]] std::size_t UsedBytes() const;
  /// What a write that Crash stopped half way leaves of its bytes.
  enum class Torn { kHalf, kNothing, kAll, kZerosFirst, kZerosLast };
  Torn torn = Torn::kHalf;
  /// Changes of names that no sync has made durable yet.
  [[nodiscard]] std::size_t PendingNames() const { return pending_.size(); }
  /// Forgets the locks, and every unsynced change of a name but those whose bit is set in `kept`.
  void PowerCut(unsigned kept = 0);
  /// Forgets the locks of a program that was stopped; unsynced names stay, as after SIGKILL.
  void Restart() { locked_->clear(); }

  Result<std::string> Read(const Path& file) const override;
  [[nodiscard]] bool IsFile(const Path& path) const override;
  [[nodiscard]] bool IsFolder(const Path& path) const override;
  Result<std::vector<std::string>> List(const Path& folder) const override;
  Result<void> MakeFolder(const Path& folder) override;
  Result<void> WriteSynced(const Path& file, std::string_view bytes) override;
  Result<void> AppendSynced(const Path& file, std::string_view bytes) override;
  Result<void> Truncate(const Path& file, std::size_t length) override;
  Result<void> Rename(const Path& from, const Path& to) override;
  Result<void> CopyMode(const Path& from, const Path& to) override;
  Result<void> Remove(const Path& file) override;
  Result<void> SyncFolder(const Path& folder) override;
  Result<std::unique_ptr<FolderLock>> Lock(const Path& folder, double wait_seconds) override;

 private:
  using Bytes = std::shared_ptr<std::string>;
  using Names = std::map<std::string, Bytes>;
  Result<void> Before(const std::string& step, const Path& path) const;
  /// Adds bytes in two halves; on failure the content is as before.
  Result<void> Add(const std::string& step,
                   const Path& file,
                   std::string& content,
                   std::string_view bytes);
  static std::string Key(const Path& path);

  /// A change of names in one folder, to be done to the durable names.
  struct NameChange {
    std::string folder;
    std::function<void(Names&)> apply;
  };
  void Later(const Path& path, std::function<void(Names&)> apply);

  Names names_, durable_;
  std::vector<NameChange> pending_;
  std::set<std::string> folders_;
  std::shared_ptr<std::set<std::string>> locked_ = std::make_shared<std::set<std::string>>();
};

}  // namespace lieflat::testing
