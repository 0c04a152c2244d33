#pragma once
// What every verb is given, and how it is added to the command line. A verb declares its flags in
// Add<Verb>(), and sets `session.action`, which runs once the whole line has been read. Flags
// arrive as text and are read by the functions of flags.h, so that a refusal names the flag, the
// value and the remedy.

#include <functional>
#include <optional>
#include <string>
#include <utility>

#include <CLI/CLI.hpp>

#include "lieflat/base/calib.h"
#include "lieflat/base/clock.h"
#include "lieflat/base/disk.h"
#include "lieflat/base/json.h"
#include "lieflat/base/result.h"

#include "app/cli/exit_status.h"

namespace lieflat::cli {

struct Session {
  Session(Disk& with_disk, const Clock& with_clock, Disk::Path settings)
      : disk(with_disk), clock(with_clock), settings_folder(std::move(settings)) {}

  Disk& disk;
  const Clock& clock;
  Disk::Path settings_folder;
  bool json = false;
  bool no_input = false;
  bool progress_lines = false;  ///< a program reads how far it got
  std::string calib_folder;
  const Calib* calib = nullptr;  ///< set before the action runs
  std::function<Result<ExitStatus>()> action;

  std::string out;  ///< results, written to stdout at the end
  /// A line for the person, on stderr, at once.
  static void Tell(const std::string& line);
  void Print(const std::string& text) { out += text; }
  void Print(const Json& document) { out += DumpJson(document); }
  /// The text, or with --json the document.
  void Print(const std::string& text, const Json& document) {
    json ? Print(document) : Print(text);
  }
};

using App = CLI::App;

void AddGlance(App& app, Session& session);
void AddNew(App& app, Session& session);
void AddSet(App& app, Session& session);
void AddPart(App& app, Session& session);
void AddGauge(App& app, Session& session);
void AddAgain(App& app, Session& session);
void AddWorks(App& app, Session& session);
void AddNote(App& app, Session& session);
void AddVoid(App& app, Session& session);
void AddDamage(App& app, Session& session);
void AddAssess(App& app, Session& session);
void AddPressed(App& app, Session& session);
void AddTrend(App& app, Session& session);
void AddLot(App& app, Session& session);
void AddBench(App& app, Session& session);
void AddPreview(App& app, Session& session);
void AddReport(App& app, Session& session);
void AddVerify(App& app, Session& session);
void AddSheet(App& app, Session& session);
void AddPhoto(App& app, Session& session);
void AddExport(App& app, Session& session);
void AddOpen(App& app, Session& session);
void AddManual(App& app, Session& session);

}  // namespace lieflat::cli
