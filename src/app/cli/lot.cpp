// lot: every board of a folder of board folders, most urgent first.

#include <memory>

#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder;
  bool csv = false, kept = false;
};

Result<ExitStatus> RunLot(Session& session, const Request& request) {
  if (request.kept && !session.json) {
    return Error{ErrorCode::kBadUse, "--kept", "goes with --json", "leave it out for the table"};
  }
  if (request.csv && session.json) {
    return Error{ErrorCode::kBadUse, "--csv", "cannot go with --json", "ask for one of them"};
  }
  LIEFLAT_TAKE(lot,
               AssessLot(session.disk,
                         session.clock,
                         *session.calib,
                         request.folder,
                         session.settings_folder,
                         request.kept ? LotWork::kKeptOnly : LotWork::kAll));
  session.Print(request.csv ? LotCsv(lot) : LotText(lot), ToJson(lot));
  for (const auto& row : lot.rows) {
    if (row.problem) Session::Tell("lieflat: " + row.problem->Text());
  }
  return ExitStatus::kDone;
}

}  // namespace

void AddLot(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("lot", "every board of a lot, most urgent first");
  verb->add_option("DIR", request->folder, "the folder that holds the boards' folders")->required();
  verb->add_flag("--csv", request->csv, "a table for a spreadsheet");
  verb->add_flag("--kept",
                 request->kept,
                 "with --json, at once: boards that changed since are listed as pending");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunLot(session, *request); };
  });
}

}  // namespace lieflat::cli
