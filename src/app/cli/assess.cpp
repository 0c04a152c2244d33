// assess: one board's figures, verdict and what to do.

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "lieflat/report/drawn.h"
#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/gauge_flags.h"
#include "app/cli/load.h"
#include "app/cli/progress.h"
#include "app/cli/read_text.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, worth, samples, with, replace;
  bool gate = false, quick = false, drawn = false;
  GaugeFlags flags;

  /// Readings are tried that are not written down.
  [[nodiscard]] bool tries() const { return !with.empty() || flags.has_form() || !replace.empty(); }
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

/// Takes an entry out of use, as `void` would.
Result<void> PassOver(const std::string& id, BoardFolder::State& state) {
  const auto entry = std::find_if(state.log.entries.begin(),
                                  state.log.entries.end(),
                                  [&](const Entry& one) { return one.id == id; });
  if (entry == state.log.entries.end() || entry->voided || entry->held() == nullptr) {
    return Error{ErrorCode::kBadUse,
                 "--replace",
                 fmt::format("no reading in use is named {}", Quoted(id)),
                 "the entry of a gauge or photo, such as e3"};
  }
  entry->voided = true;
  entry->void_reason = "replaced";
  return {};
}

/// The board as if the readings given had been added, and the entry to replace taken out of use.
Result<void> AddUnwritten(Session& session,
                          const Request& request,
                          const Bench& bench,
                          BoardFolder::State& state) {
  if (!request.replace.empty()) LIEFLAT_TRY(PassOver(request.replace, state));
  if (request.with.empty() && !request.flags.has_form()) return {};
  std::optional<Sheet> sheet;
  if (!request.with.empty()) {
    LIEFLAT_TAKE(text, ReadText(session, request.with));
    LIEFLAT_TAKE(parsed, ParseSheet(text, request.with == "-" ? "stdin" : request.with));
    sheet = parsed;
  }
  LIEFLAT_TAKE(gauge, GaugeFrom(request.flags, sheet, state.board));
  if (gauge.instrument.empty()) gauge.instrument = bench.instrument;
  if (gauge.surface.empty()) gauge.surface = bench.surface;
  std::vector<std::string> warnings;
  LIEFLAT_TRY(CheckGauge(gauge, state.board, *session.calib, warnings));
  LIEFLAT_TRY(ToSamples(
      gauge, state.board, *session.calib, std::nullopt, sheet ? sheet->name : "command line"));
  Entry entry;
  entry.id = state.log.NextId();
  entry.kind = "gauge";
  entry.at = session.clock.Now();
  entry.by_version = kVersion;
  entry.fitted = gauge.fitted;
  entry.fields = Json::object();
  entry.gauge = std::move(gauge);
  state.log.entries.push_back(std::move(entry));
  return {};
}

/// Afresh, with what the flags ask for; long work tells how far it got and can be stopped.
Result<Assessment> Fresh(Session& session, const Request& request, int samples) {
  Progress progress(session.progress_lines);
  AssessOptions options;
  options.press_flat = !request.quick;
  if (request.quick) options.weight = WeightOptions::Quick();
  options.worth = request.worth;
  options.flatten.samples = samples;
  options.flatten.progress = progress.Teller();
  options.flatten.stop = progress.stop();
  if (!request.tries()) return AssessFolder(session, request.folder, options);
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
  LIEFLAT_TRY(AddUnwritten(session, request, bench, state));
  return Assess(state, bench, *session.calib, session.clock.Now(), options);
}

/// The document; with --drawn what the page shows beside it.
Result<Json> FreshDocument(Session& session, const Request& request, int samples) {
  LIEFLAT_TAKE(assessment, Fresh(session, request, samples));
  Json document = ToJson(assessment);
  if (request.tries()) document["not_written"] = true;
  if (request.quick) document["preview"] = true;
  if (!request.drawn) return document;
  document["answers"] = AnswersJson(assessment, *session.calib);
  const Drawn drawn = request.quick ? Drawn::kQuick : Drawn::kAll;
  document["drawings"] = DrawingsJson(assessment, drawn);
  if (auto surface = SurfaceJson(assessment, drawn)) document["surface"] = std::move(*surface);
  return document;
}

Result<ExitStatus> RunJson(Session& session, const Request& request, int samples) {
  Json document;
  if (request.worth.empty() && samples == 0 && !request.quick && !request.drawn &&
      !request.tries()) {
    LIEFLAT_TAKE(
        kept,
        AssessmentDocument(
            session.disk, session.clock, *session.calib, request.folder, session.settings_folder));
    document = std::move(kept);
  } else {
    LIEFLAT_TAKE(fresh, FreshDocument(session, request, samples));
    document = std::move(fresh);
  }
  request.drawn ? session.Print(DumpJsonLine(document) + "\n") : session.Print(document);
  if (!request.gate) return ExitStatus::kDone;
  const auto& flatness = document.at("flatness");
  const std::string bow = flatness.at("bow_verdict"), twist = flatness.at("twist_verdict");
  return TellGate(Gate(bow, twist), bow, twist);
}

Result<ExitStatus> RunAssess(Session& session, const Request& request) {
  LIEFLAT_TRY(CheckWord("--worth", request.worth, kWorthWords));
  LIEFLAT_TAKE(samples, SamplesFlag(request.samples));
  const std::string held = request.flags.held_flag();
  if (!held.empty() && request.with.empty() && !request.flags.has_form())
    return Error{ErrorCode::kBadUse, held, "says nothing without --with", "give the readings too"};
  if (request.quick && samples > 0)
    return Error{ErrorCode::kBadUse, "--samples", "does not go with --quick", "give one of them"};
  if (request.drawn && !session.json)
    return Error{
        ErrorCode::kBadUse, "--drawn", "goes with --json", "see lieflat report for a page"};
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
  verb->add_option("--with",
                   request->with,
                   "as if the readings of this sheet (- is stdin) were added; nothing is written")
      ->type_name("FILE");
  verb->add_option("--replace", request->replace, "as if this reading were out of use")
      ->type_name("ID");
  verb->add_flag(
      "--quick", request->quick, "without pressing it flat: parts by the bend beside them");
  verb->add_flag(
      "--drawn", request->drawn, "with --json: the drawings, the answers, the surface too");
  AddHeldFlags(*verb, request->flags);
  AddFormFlags(*verb, request->flags);
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunAssess(session, *request); };
  });
}

}  // namespace lieflat::cli
