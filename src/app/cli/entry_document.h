#pragma once
// The "lieflat-entry" document: what a verb wrote. And the small steps that all verbs that write an
// entry share.

#include <string>
#include <vector>

#include "lieflat/record/folder.h"

#include "app/cli/command.h"

namespace lieflat::cli {

/// A log entry that was written.
Json EntryDocument(const Entry& entry, const Disk::Path& folder);
/// Something else that was written (board.json, a report): no id of a log entry; `id` is "board"
/// for the description.
Json WrittenDocument(const std::string& kind,
                     const std::string& id,
                     const Instant& at,
                     const Disk::Path& path);

/// Appends one entry of fixed fields and prints it: "e7: note".
Result<ExitStatus> AppendAndPrint(
    Session& session,
    const std::string& folder,
    const std::string& when,
    const std::string& kind,
    const std::string& summary,
    const std::function<Result<Json>(const BoardFolder::State&)>& fields);

/// What went wrong after an entry had been written: says that it was kept, so that nobody writes it
/// twice.
Error KeptBefore(Error error, const std::vector<std::string>& ids);

BoardFolder OpenFolder(Session& session, const std::string& folder);

/// "crate-3/017" from the last two names of a path.
std::string LabelFromPath(const Disk::Path& folder);

}  // namespace lieflat::cli
