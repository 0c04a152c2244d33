#pragma once
// A photo on its way to the board's folder: streamed to a file that nobody sees yet, recognised by
// its first bytes, named and synced when it is whole. Nothing else is ever written by the server
// itself.

#include <string>
#include <string_view>

#include "lieflat/base/disk.h"

namespace lieflat::web {

class Upload {
 public:
  /// @param board  an existing board folder.  @error kRefused, kInternal.
  static Result<std::unique_ptr<Upload>> Begin(const Disk::Path& board);
  /// Takes the unfinished file away.
  ~Upload();
  Upload(const Upload&) = delete;
  Upload& operator=(const Upload&) = delete;

  /// False when it cannot be written, or is no photo by its first bytes (see problem()).
  bool Add(std::string_view bytes);
  [[nodiscard]] const Error& problem() const { return problem_; }

  [[nodiscard]] const Disk::Path& hidden() const { return hidden_; }  ///< until it has its name
  /// Syncs it and gives it a name like the one wished for; returns "photos/NAME".
  Result<std::string> Keep(const std::string& wished);

 private:
  Upload(Disk::Path folder, Disk::Path hidden, int descriptor);
  Disk::Path folder_, hidden_;
  int descriptor_;
  std::string head_;  ///< first bytes
  const char* ending_ = nullptr;
  bool kept_ = false;
  Error problem_;
};

/// "jpg" "png" "heic" by the first sixteen bytes; null: none of these.
const char* PhotoEnding(std::string_view head);

/// A plain name made of what was wished for, without an ending: letters, digits, - and _.
std::string PlainName(const std::string& wished);

/// Removes what uploads of a server that was killed have left in the board's folder.
void SweepUploads(const Disk::Path& board);

}  // namespace lieflat::web
