// assess: one board's figures, verdict and what to do.

#include <memory>

#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/load.h"
#include "app/cli/progress.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, worth, samples;
  bool gate = false;
};

ExitStatus Gate(const std::string& bow, const std::string& twist) {
  for (const auto* word : {"over", "undecided"}) {
    if (bow == word || twist == word) return ExitStatus::kGate;
  }
  const std::string absent = Name(Verdict::kNotMeasured);
  return bow == absent || twist == absent ? ExitStatus::kNoFigure : ExitStatus::kDone;
}

/// A script that reads only stderr learns why the gate is shut.
ExitStatus TellGate(ExitStatus gate, const std::string& bow, const std::string& twist) {
  if (gate != ExitStatus::kDone) Session::Tell("lieflat: gate: bow " + bow + ", twist " + twist);
  return gate;
}

/// Afresh, with what the flags ask for; long work tells how far it got and can be stopped.
Result<Assessment> Fresh(Session& session, const Request& request, int samples) {
  Progress progress;
  AssessOptions options;
  options.worth = request.worth;
  options.flatten.samples = samples;
  options.flatten.progress = progress.Teller();
  options.flatten.stop = progress.stop();
  return AssessFolder(session, request.folder, options);
}

Result<ExitStatus> RunJson(Session& session, const Request& request, int samples) {
  Json document;
  if (request.worth.empty() && samples == 0) {
    LIEFLAT_TAKE(
        kept,
        AssessmentDocument(
            session.disk, session.clock, *session.calib, request.folder, session.settings_folder));
    document = std::move(kept);
  } else {
    LIEFLAT_TAKE(assessment, Fresh(session, request, samples));
    document = ToJson(assessment);
  }
  session.Print(document);
  if (!request.gate) return ExitStatus::kDone;
  const auto& flatness = document.at("flatness");
  const std::string bow = flatness.at("bow_verdict"), twist = flatness.at("twist_verdict");
  return TellGate(Gate(bow, twist), bow, twist);
}

Result<ExitStatus> RunAssess(Session& session, const Request& request) {
  LIEFLAT_TRY(CheckWord("--worth", request.worth, kWorthWords));
  LIEFLAT_TAKE(samples, SamplesFlag(request.samples));
  if (session.json) return RunJson(session, request, samples);
  LIEFLAT_TAKE(assessment, Fresh(session, request, samples));
  session.Print(AssessmentText(assessment, *session.calib));
  if (!request.gate) return ExitStatus::kDone;
  const std::string bow = Name(assessment.flatness.bow_verdict),
                    twist = Name(assessment.flatness.twist_verdict);
  return TellGate(Gate(bow, twist), bow, twist);
}

}  // namespace

Result<Assessment> AssessFolder(Session& session,
                                const std::string& folder,
                                const AssessOptions& options) {
  LIEFLAT_TAKE(state, OpenFolder(session, folder).Load());
  for (const auto& warning : state.log.warnings) Session::Tell("lieflat: " + warning);
  LIEFLAT_TAKE(bench, LoadBench(session.disk, folder, session.settings_folder));
  return Assess(state, bench, *session.calib, session.clock.Now(), options);
}

void AddAssess(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("assess", "how bent it is, the verdict, what to do");
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_flag("--gate", request->gate, "exit 1 when over or undecided, 4 when not measured");
  verb->add_option("--worth", request->worth, "common, scarce or rare, in place of the board's own")
      ->type_name("WORD");
  verb->add_option("--samples",
                   request->samples,
                   "what pressing does, by so many full answers in place of the linear ones")
      ->type_name("N");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunAssess(session, *request); };
  });
}

}  // namespace lieflat::cli
