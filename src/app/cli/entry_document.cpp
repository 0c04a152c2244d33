#include "app/cli/entry_document.h"

#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "app/cli/flags.h"

namespace lieflat::cli {

Json EntryDocument(const Entry& entry, const Disk::Path& folder) {
  Json document = {
      {"format", "lieflat-entry"}, {"version", 1}, {"id", entry.id}, {"kind", entry.kind}};
  document["at"] = entry.at.Iso();
  document["folder"] = folder.string();
  document["written"] = entry.fields;
  return document;
}

Json WrittenDocument(const std::string& kind,
                     const std::string& id,
                     const Instant& at,
                     const Disk::Path& path) {
  Json document = {{"format", "lieflat-entry"}, {"version", 1}};
  if (!id.empty()) document["id"] = id;
  document["kind"] = kind;
  document["at"] = at.Iso();
  document["folder"] = path.string();
  return document;
}

Result<ExitStatus> AppendAndPrint(
    Session& session,
    const std::string& folder,
    const std::string& when,
    const std::string& kind,
    const std::string& summary,
    const std::function<Result<Json>(const BoardFolder::State&)>& fields) {
  LIEFLAT_TAKE(at, InstantFlag("--when", when));
  auto board_folder = OpenFolder(session, folder);
  LIEFLAT_TAKE(
      entry,
      board_folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        LIEFLAT_TAKE(made, fields(state));
        return BoardFolder::NewEntry{kind, {}, made, at};
      }));
  session.Print(fmt::format("{}: {}\n", entry.id, summary),
                EntryDocument(entry, board_folder.path()));
  return ExitStatus::kDone;
}

Error KeptBefore(Error error, const std::vector<std::string>& ids) {
  if (!ids.empty()) error.message += fmt::format("; {} was kept before that", Join(ids, ", "));
  return error;
}

BoardFolder OpenFolder(Session& session, const std::string& folder) {
  return {session.disk, session.clock, *session.calib, folder};
}

std::string LabelFromPath(const Disk::Path& folder) {
  auto whole = folder.lexically_normal();
  if (whole.is_relative()) {
    std::error_code failed;
    const auto absolute = std::filesystem::absolute(whole, failed);
    if (!failed) whole = absolute.lexically_normal();
  }
  if (!whole.has_filename()) whole = whole.parent_path();
  const auto name = whole.filename().string();
  const auto above = whole.parent_path().filename().string();
  return above.empty() ? name : above + "/" + name;
}

}  // namespace lieflat::cli
