// verify: holds the files of a board folder, or of every board of a lot, against their formats.

#include <memory>

#include <fmt/format.h>

#include "lieflat/record/folder.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder;
};

Json FolderJson(const Verification& verification) {
  Json faults = Json::array();
  for (const auto& fault : verification.faults) {
    faults.push_back(
        {{"where", fault.where}, {"message", fault.message}, {"remedy", fault.remedy}});
  }
  return {{"folder", verification.folder},
          {"entries", verification.entries},
          {"faults", faults},
          {"warnings", verification.warnings}};
}

std::string FolderText(const Verification& verification) {
  std::string text = fmt::format("{}: {}, {} log {}\n",
                                 verification.folder,
                                 verification.faults.empty() ? "sound" : "FAULTY",
                                 verification.entries,
                                 verification.entries == 1 ? "entry" : "entries");
  for (const auto& fault : verification.faults) text += "  fault: " + fault.Text() + "\n";
  for (const auto& warning : verification.warnings) text += "  note: " + warning + "\n";
  return text;
}

Result<ExitStatus> RunVerify(Session& session, const Request& request) {
  std::vector<Disk::Path> folders = {request.folder};
  if (!session.disk.IsFile(Disk::Path(request.folder) / "board.json")) {
    LIEFLAT_TAKE(found, BoardFolders(session.disk, request.folder));
    folders = found;
  }
  std::string text;
  Json rows = Json::array();
  std::size_t faulty = 0;
  for (const auto& folder : folders) {
    const auto verification = VerifyFolder(session.disk, folder, *session.calib);
    if (!verification.faults.empty()) ++faulty;
    text += FolderText(verification);
    rows.push_back(FolderJson(verification));
  }
  const Json document = {
      {"format", "lieflat-verify"}, {"version", 1}, {"sound", faulty == 0}, {"folders", rows}};
  session.Print(text, document);
  if (faulty == 0) return ExitStatus::kDone;
  session.Tell(fmt::format("lieflat: {} of {} {} faulty",
                           faulty,
                           folders.size(),
                           folders.size() == 1 ? "folder is" : "folders are"));
  return ExitStatus::kRefused;
}

}  // namespace

void AddVerify(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb =
      app.add_subcommand("verify", "holds the files of a board or a lot against their formats");
  verb->add_option("DIR", request->folder, "a board's folder, or a lot")->required();
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunVerify(session, *request); };
  });
}

}  // namespace lieflat::cli
