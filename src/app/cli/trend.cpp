// trend: what changed over the holds, what is to be expected, when to stop.

#include <memory>

#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

Result<ExitStatus> RunTrend(Session& session, const std::string& folder) {
  LIEFLAT_TAKE(state, OpenFolder(session, folder).Load());
  for (const auto& warning : state.log.warnings) Session::Tell("lieflat: " + warning);
  LIEFLAT_TAKE(bench, LoadBench(session.disk, folder, session.settings_folder));
  LIEFLAT_TAKE(board, FollowBoard(state, bench, *session.calib, session.clock.Now()));
  session.Print(TrendText(board), ToJson(board));
  return ExitStatus::kDone;
}

}  // namespace

void AddTrend(App& app, Session& session) {
  auto folder = std::make_shared<std::string>();
  auto* verb = app.add_subcommand("trend", "what changed, what to expect, when to stop");
  verb->add_option("DIR", *folder, "the board's folder")->required();
  verb->callback([&session, folder] {
    session.action = [&session, folder] { return RunTrend(session, *folder); };
  });
}

}  // namespace lieflat::cli
