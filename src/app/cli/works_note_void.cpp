// works, note, void: entries with nothing to work out.

#include <memory>

#include <fmt/format.h>

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, when, state, did, text, target, why;
};

void AddCommon(App& verb, Request& request) {
  verb.add_option("DIR", request.folder, "the board's folder")->required();
  verb.add_option("--when", request.when, "when it was (ISO 8601 with offset); now when absent")
      ->type_name("TIME");
}

Result<ExitStatus> RunWorks(Session& session, const Request& request) {
  LIEFLAT_TRY(CheckWord("--state", request.state, kWorksWords));
  return AppendAndPrint(session,
                        request.folder,
                        request.when,
                        "works",
                        "works: " + request.state,
                        [&](const BoardFolder::State&) -> Result<Json> {
                          Json fields = {{"state", request.state}};
                          if (!request.did.empty()) fields["did"] = request.did;
                          return fields;
                        });
}

Result<ExitStatus> RunNote(Session& session, const Request& request) {
  if (request.text.find_first_not_of(" \t\n") == std::string::npos) {
    return Error{ErrorCode::kBadUse, "TEXT", "the note is empty", "lieflat note DIR \"kept dry\""};
  }
  return AppendAndPrint(session,
                        request.folder,
                        request.when,
                        "note",
                        "note kept",
                        [&](const BoardFolder::State&) -> Result<Json> {
                          return Json{{"text", request.text}};
                        });
}

Result<Json> VoidFields(const Request& request, const BoardFolder::State& state) {
  const Entry* entry = state.log.Find(request.target);
  if (entry == nullptr) {
    return Error{ErrorCode::kRefused,
                 request.folder,
                 fmt::format("no entry is named \"{}\"", request.target),
                 state.log.entries.empty() ? "its log is empty"
                                           : fmt::format("entries run from {} to {}",
                                                         state.log.entries.front().id,
                                                         state.log.entries.back().id)};
  }
  if (entry->kind == "void") {
    return Error{ErrorCode::kRefused,
                 request.folder,
                 fmt::format("{} is itself a void", entry->id),
                 "what was taken out of use stays out; write it anew"};
  }
  if (entry->voided) {
    return Error{ErrorCode::kRefused,
                 request.folder,
                 fmt::format("{} is out of use already: {}", entry->id, entry->void_reason),
                 "nothing is left to do"};
  }
  return Json{{"target", request.target}, {"reason", request.why}};
}

Result<ExitStatus> RunVoid(Session& session, const Request& request) {
  return AppendAndPrint(
      session,
      request.folder,
      request.when,
      "void",
      request.target + " is out of use",
      [&](const BoardFolder::State& state) { return VoidFields(request, state); });
}

}  // namespace

void AddWorks(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("works", "what was tested, and whether it works");
  AddCommon(*verb, *request);
  verb->add_option("--state", request->state, "yes, partly, no or untested")
      ->type_name("WORD")
      ->required();
  verb->add_option("--did", request->did, "what was tested, with what values")->type_name("TEXT");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunWorks(session, *request); };
  });
}

void AddNote(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("note", "adds a note");
  AddCommon(*verb, *request);
  verb->add_option("TEXT", request->text, "the note")->required();
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunNote(session, *request); };
  });
}

void AddVoid(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("void", "takes an entry out of use; nothing is erased");
  AddCommon(*verb, *request);
  verb->add_option("ID", request->target, "the entry, such as e3")->required();
  verb->add_option("--why", request->why, "the reason")->type_name("TEXT")->required();
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunVoid(session, *request); };
  });
}

}  // namespace lieflat::cli
