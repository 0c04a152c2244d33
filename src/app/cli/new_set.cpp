// new, set: start a board folder, and change what it says.

#include <memory>

#include <fmt/format.h>

#include "app/cli/command.h"
#include "app/cli/describe.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder;
  Description description;
};

std::string Size(const Board& board) {
  return fmt::format("{:g} x {:g} mm", board.EdgeLength(Edge::kAB), board.EdgeLength(Edge::kDA));
}

Json BoardDocument(Session& session,
                   const std::string& kind,
                   const std::string& folder,
                   const Board& board) {
  Json document = WrittenDocument(kind, "board", session.clock.Now(), folder);
  document["written"] = ToJson(board);
  return document;
}

Result<ExitStatus> RunNew(Session& session, const Request& request) {
  if (session.disk.IsFile(request.folder)) {
    return Error{
        ErrorCode::kRefused, request.folder, "is a file, not a folder", "give another name"};
  }
  LIEFLAT_TAKE(board,
               StartBoard(request.description, LabelFromPath(request.folder), *session.calib));
  auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TRY(folder.Create(board));
  session.Print(fmt::format("{}: {}, {}\n", request.folder, Size(board), board.laminate.plain),
                BoardDocument(session, "new", request.folder, board));
  return ExitStatus::kDone;
}

Result<ExitStatus> RunSet(Session& session, const Request& request) {
  if (request.description.empty()) {
    return Error{
        ErrorCode::kBadUse, "lieflat set", "nothing to change was given", "see lieflat set --help"};
  }
  auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TAKE(board, folder.ChangeBoard([&](Board& changing) {
    return ChangeDescription(changing, request.description, *session.calib);
  }));
  session.Print(fmt::format("{}: description changed\n", request.folder),
                BoardDocument(session, "set", request.folder, board));
  return ExitStatus::kDone;
}

}  // namespace

void AddNew(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("new", "starts a board folder");
  verb->add_option("DIR", request->folder, "the folder to make")->required();
  AddDescriptionFlags(*verb, request->description);
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunNew(session, *request); };
  });
}

void AddSet(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("set", "changes what a board folder says");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  AddDescriptionFlags(*verb, request->description);
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunSet(session, *request); };
  });
}

}  // namespace lieflat::cli
