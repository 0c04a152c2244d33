#pragma once
// A board folder: board.json, log.jsonl, photos/, .former/ (copies of the last eight descriptions),
// .cache/assessment.json, .lock. Every change goes through here, under the folder's lock: read,
// change, write; so that two writers at once lose nothing.

#include <functional>
#include <string>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/base/disk.h"
#include "lieflat/board/board.h"
#include "lieflat/record/log.h"

namespace lieflat {

extern const char* const kVersion;  ///< of the program, "0.1.0"

class BoardFolder {
 public:
  BoardFolder(Disk& disk, const Clock& clock, const Calib& calib, Disk::Path folder);

  struct State {
    Board board;
    Log log;
    std::string board_text, log_text;  ///< the bytes, for the key of kept assessments
  };
  /// @error kRefused when the folder or its board.json is absent or malformed ("start one with:
  /// lieflat new DIR --size ...").
  Result<State> Load() const;

  /// Makes the folder with this board. @error kRefused when it holds a board already.
  Result<void> Create(const Board& board);
  /// Loads, lets `change` edit the board, checks and replaces board.json. Returns the board as
  /// saved.
  Result<Board> ChangeBoard(const std::function<Result<void>(Board&)>& change);
  /// Appends an entry; `make` sees the state under the lock and returns the kind's own fields.
  /// Returns the entry as saved.
  struct NewEntry {
    std::string kind;
    std::vector<std::string> fitted;
    Json fields = Json::object();
    std::optional<Instant> at;  ///< now, when absent
  };
  Result<Entry> Append(const std::function<Result<NewEntry>(const State&)>& make);

  /// Kept assessments: the text saved under this key, if any; and saving it (failure to save is no
  /// error of the caller's).
  [[nodiscard]] std::optional<std::string> KeptAssessment(const std::string& key) const;
  void KeepAssessment(const std::string& key, const std::string& text) const;
  /// Hash of description, log, calib and program version.
  [[nodiscard]] static std::string AssessmentKey(const State& state,
                                                 const Calib& calib,
                                                 const std::string& extra);

  [[nodiscard]] const Disk::Path& path() const { return folder_; }

 private:
  Disk& disk_;
  const Clock& clock_;
  const Calib& calib_;
  Disk::Path folder_;
};

/// What `verify` found in one board folder: faults (files that break the format) and warnings (a
/// torn last line).
struct Verification {
  std::string folder;
  std::vector<Error> faults;
  std::vector<std::string> warnings;
  int entries = 0;
};
Verification VerifyFolder(const Disk& disk, const Disk::Path& folder, const Calib& calib);

/// What `verify --repair` did: what was brought back or set aside, and what cannot be mended, each
/// with its remedy. Nothing is erased: damaged bytes of the log go to log.torn, a damaged
/// board.json to board.damaged-N.json.
struct Repair {
  std::vector<std::string> done;
  std::vector<std::string> left;
};
/// Whole lines of the log that are no entries are set aside one by one, the newest copy of the
/// description that can be read takes the place of one that cannot, leftovers are removed. What a
/// later version of the program wrote is not touched. A repair that was stopped can be run again.
/// @error kBusy; of the disk.
Result<Repair> RepairFolder(Disk& disk, const Disk::Path& folder, const Calib& calib);

/// The board folders of a lot (direct children that hold a board, be its description lost), sorted
/// by name; a board folder itself is a lot of one.
/// @error kRefused when there is none.
Result<std::vector<Disk::Path>> BoardFolders(const Disk& disk, const Disk::Path& lot);

}  // namespace lieflat
