// verify: holds the files of a board folder, or of every board of a lot, against their formats, and
// mends what can be mended.

#include <memory>
#include <optional>

#include <fmt/format.h>

#include "lieflat/record/folder.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder;
  bool repair = false;
};

Json FolderJson(const Verification& verification, const std::optional<Repair>& repair) {
  Json faults = Json::array();
  for (const auto& fault : verification.faults) {
    faults.push_back(
        {{"where", fault.where}, {"message", fault.message}, {"remedy", fault.remedy}});
  }
  Json json = {{"folder", verification.folder},
               {"entries", verification.entries},
               {"faults", faults},
               {"warnings", verification.warnings}};
  if (repair) {
    json["mended"] = repair->done;
    json["not_mended"] = repair->left;
  }
  return json;
}

std::string FolderText(const Verification& verification, const std::optional<Repair>& repair) {
  std::string text = fmt::format("{}: {}, {} log {}\n",
                                 verification.folder,
                                 verification.faults.empty() ? "sound" : "FAULTY",
                                 verification.entries,
                                 verification.entries == 1 ? "entry" : "entries");
  if (repair) {
    for (const auto& done : repair->done) text += "  mended: " + done + "\n";
    for (const auto& left : repair->left) text += "  not mended: " + left + "\n";
  }
  for (const auto& fault : verification.faults) text += "  fault: " + fault.Text() + "\n";
  for (const auto& warning : verification.warnings) text += "  note: " + warning + "\n";
  return text;
}

Result<ExitStatus> RunVerify(Session& session, const Request& request) {
  LIEFLAT_TAKE(folders, BoardFolders(session.disk, request.folder));
  std::string text;
  Json rows = Json::array();
  std::size_t faulty = 0;
  for (const auto& folder : folders) {
    std::optional<Repair> repair;
    if (request.repair) {
      LIEFLAT_TAKE(mended, RepairFolder(session.disk, folder, *session.calib));
      repair = mended;
    }
    const auto verification = VerifyFolder(session.disk, folder, *session.calib);
    if (!verification.faults.empty()) ++faulty;
    text += FolderText(verification, repair);
    rows.push_back(FolderJson(verification, repair));
  }
  const Json document = {
      {"format", "lieflat-verify"}, {"version", 1}, {"sound", faulty == 0}, {"folders", rows}};
  session.Print(text, document);
  if (faulty == 0) return ExitStatus::kDone;
  session.Tell(fmt::format("lieflat: {} of {} {} faulty{}",
                           faulty,
                           folders.size(),
                           folders.size() == 1 ? "folder is" : "folders are",
                           request.repair ? "" : "; --repair mends what can be mended"));
  return ExitStatus::kRefused;
}

}  // namespace

void AddVerify(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb =
      app.add_subcommand("verify", "holds the files of a board or a lot against their formats");
  verb->add_option("DIR", request->folder, "a board's folder, or a lot")->required();
  verb->add_flag("--repair",
                 request->repair,
                 "set aside what cannot be read, bring back the last description that can");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunVerify(session, *request); };
  });
}

}  // namespace lieflat::cli
