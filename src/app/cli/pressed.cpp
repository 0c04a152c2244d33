// pressed: logs that a board is held, was held, or is free again; also afterwards and in round
// figures. A hold about to start beyond the budget of presses or the temperature that the board
// stands is refused unless --anyway; one that was done is always logged, with the warning.

#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/report/shares.h"
#include "lieflat/report/text.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, way, load, from, to, hours, temperature, note;
  bool about = false, anyway = false, end = false;
};

constexpr double kSecondsPerHour = 3600.0;
constexpr double kOvernightHours = 12.0;

std::string HourWords(double hours) {
  if (hours < 48.0) return fmt::format("{:.3g} h", hours);
  return fmt::format("{:.3g} days", hours / 24.0);
}

struct Times {
  std::optional<Instant> from, to;
};

Result<double> HoursFrom(const std::string& text) {
  if (text == "overnight") return kOvernightHours;
  LIEFLAT_TAKE(hours, NumberFlag("--hours", text));
  constexpr double kTenYears = 87600.0;
  if (*hours <= 0.0 || *hours > kTenYears) {
    return Error{ErrorCode::kBadUse,
                 "--hours",
                 fmt::format("{} is not above 0 and up to {:.0f}", text, kTenYears),
                 "a number of hours, or overnight"};
  }
  return *hours;
}

/// From any two of start, end and duration; with a duration alone it ended just now.
Result<Times> TimesFrom(const Request& request, const Instant& now) {
  LIEFLAT_TAKE(from, InstantFlag("--from", request.from));
  LIEFLAT_TAKE(to, InstantFlag("--to", request.to));
  Times times{from, to};
  if (!request.hours.empty()) {
    if (from && to) {
      return Error{ErrorCode::kBadUse, "--hours", "stands beside --from and --to", "give two"};
    }
    LIEFLAT_TAKE(hours, HoursFrom(request.hours));
    const auto seconds = static_cast<std::int64_t>(hours * kSecondsPerHour);
    if (!times.from && !times.to) times.to = now;
    if (times.from) {
      times.to = Instant{times.from->unix_seconds + seconds, times.from->offset_minutes};
    } else {
      times.from = Instant{times.to->unix_seconds - seconds, times.to->offset_minutes};
    }
  }
  if (times.from && times.to && times.to->unix_seconds <= times.from->unix_seconds) {
    return Error{ErrorCode::kBadUse,
                 "--to",
                 "is not later than --from",
                 "the end of the hold comes after its start"};
  }
  if (times.to && times.to->unix_seconds > now.unix_seconds) {
    return Error{ErrorCode::kBadUse,
                 request.hours.empty() ? "--to" : "--hours",
                 "the hold has not ended yet",
                 "leave the end out now; later: lieflat pressed DIR --end"};
  }
  return times;
}

Result<LoggedHold> HoldFrom(const Request& request) {
  if (request.way.empty()) {
    return Error{ErrorCode::kBadUse,
                 "--way",
                 "how it was held is missing",
                 "one of " + Join(kHoldWays, ", ")};
  }
  LIEFLAT_TRY(CheckWord("--way", request.way, kHoldWays));
  LoggedHold hold;
  hold.way = request.way;
  LIEFLAT_TAKE(load, NumberFlag("--load-kg", request.load));
  LIEFLAT_TAKE(temperature, NumberFlag("--temperature", request.temperature));
  hold.load_kg = load;
  hold.temperature_c = temperature;
  hold.about = request.about;
  hold.anyway = request.anyway;
  hold.note = request.note;
  hold.id = "h1";
  if (auto checked = ParseHold(ToJson(hold), "lieflat pressed"); !checked)
    return BadFlag(checked.error());
  return hold;
}

/// What speaks against a hold: the presses that are left, the temperature.
std::vector<std::string> Objections(const LoggedHold& hold,
                                    const PressBudget& budget,
                                    const TemperatureCap& cap) {
  std::vector<std::string> objections;
  if (budget.left && *budget.left < 1) {
    objections.push_back(fmt::format(
        "no press is left: the holds have used {:.0f} % of what the joints of {} stand, "
        "and {:.0f} % is the most",
        100.0 * budget.used,
        budget.part,
        100.0 * budget.most));
  }
  if (hold.temperature_c && *hold.temperature_c > cap.cap_c) {
    objections.push_back(fmt::format("{:.0f} C is warmer than the {:.0f} C that it stands: {}",
                                     *hold.temperature_c,
                                     cap.cap_c,
                                     cap.why));
  }
  return objections;
}

/// The board as it stood before this hold.
struct Before {
  Assessment assessment;
  std::vector<LoggedHold> holds;
  TemperatureCap cap;
};

Result<Before> LookAt(Session& session, const Request& request, const BoardFolder::State& state) {
  LIEFLAT_TAKE(bench, LoadBench(session.disk, request.folder, session.settings_folder));
  AssessOptions quick;
  quick.press_flat = false;
  LIEFLAT_TAKE(assessment, Assess(state, bench, *session.calib, session.clock.Now(), quick));
  return Before{std::move(assessment), HoldsOf(state.log), CapOf(state.board, *session.calib)};
}

std::string NextName(const std::vector<LoggedHold>& holds, const Log& log) {
  int number = static_cast<int>(holds.size()) + 1;
  const auto taken = [&](const std::string& name) {
    for (const Entry& entry : log.entries) {
      if (entry.hold && entry.hold->id == name) return true;
    }
    return false;
  };
  while (taken(fmt::format("h{}", number))) ++number;
  return fmt::format("h{}", number);
}

std::string HoldWords(const LoggedHold& hold) {
  std::string words = hold.way == "unknown" ? "held, nobody knows how" : hold.way;
  const char* about = hold.about ? "about " : "";
  if (hold.load_kg) words += fmt::format(", {}{:g} kg", about, *hold.load_kg);
  if (const auto hours = hold.Hours()) words += fmt::format(", {}{}", about, HourWords(*hours));
  if (hold.temperature_c) words += fmt::format(", {:g} C", *hold.temperature_c);
  return words;
}

/// What the person should know now.
std::vector<std::string> Notes(const Before& before,
                               const LoggedHold& hold,
                               const std::vector<std::string>& objections,
                               const Instant& now,
                               const Calib& calib) {
  std::vector<std::string> notes;
  for (const std::string& objection : objections) notes.push_back("Warning: " + objection + ".");
  for (const JudgedMark& mark : before.assessment.marks) {
    for (const Block& block : mark.blocks) {
      if (hold.way == "mount") continue;  // washers fill the gaps: nothing is pressed flat
      notes.push_back(fmt::format("Warning: mark {}, {}, stands against pressing: {}.",
                                  mark.number,
                                  MarkWords(mark, calib),
                                  block.why));
    }
  }
  const bool read_before =
      before.assessment.read && before.assessment.read_at->unix_seconds <= hold.from->unix_seconds;
  if (!read_before && before.holds.empty()) {
    notes.emplace_back("Nothing was read before it: nobody can tell what it did.");
  }
  const double reference = calib.Number("creep", "/creep/reference_c").value;
  const double rest = calib.Number("trend", "/reading/rested_hours").value;
  if (const auto hours = hold.Hours()) {
    const HoldTime time{*hours, hold.temperature_c.value_or(reference)};
    const auto kept = PredictKept(LaminateOf(before.assessment.board, calib, now),
                                  Bending::kBow,
                                  time,
                                  rest,
                                  calib,
                                  20260302);
    notes.push_back(
        fmt::format("What stays of the bow: {} just freed, {} the next day, by what is known of "
                    "such laminate.",
                    PercentWords(kept.at_release),
                    PercentWords(kept.rested)));
  }
  const PressBudget after = BudgetOf(
      PressLives(before.assessment.parts), static_cast<int>(before.holds.size()) + 1, calib);
  if (after.left)
    notes.push_back(fmt::format("Presses left after it: {} ({}).", *after.left, after.part));
  if (hold.to) {
    notes.push_back(fmt::format("Read it now and, what counts, rested: {:.0f} h from now.", rest));
    if (before.assessment.works_now != "untested" && before.assessment.works_now != "no")
      notes.emplace_back(
          "It ran before: see that it still does, then lieflat works DIR --state ...");
  }
  return notes;
}

Result<ExitStatus> Print(Session& session,
                         const BoardFolder& folder,
                         const Entry& entry,
                         const LoggedHold& hold,
                         const std::vector<std::string>& notes) {
  Json document = EntryDocument(entry, folder.path());
  document["notes"] = notes;
  std::string text = fmt::format("{}: {}: {}\n", entry.id, hold.id, HoldWords(hold));
  for (const std::string& note : notes) text += Wrap(note, 80, 2, 4) + "\n";
  session.Print(text, document);
  return ExitStatus::kDone;
}

Result<ExitStatus> RunStart(Session& session, const Request& request) {
  const Instant now = session.clock.Now();
  LIEFLAT_TAKE(times, TimesFrom(request, now));
  LIEFLAT_TAKE(hold, HoldFrom(request));
  if (!times.from) times.from = now;
  hold.from = times.from;
  hold.to = times.to;
  auto folder = OpenFolder(session, request.folder);
  std::vector<std::string> notes;
  LIEFLAT_TAKE(
      start, folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        LIEFLAT_TAKE(before, LookAt(session, request, state));
        for (const LoggedHold& other : before.holds) {
          if (other.to) continue;
          return Error{ErrorCode::kRefused,
                       request.folder,
                       fmt::format("{} is open still, since {}", other.id, other.from->Short()),
                       "end it first: lieflat pressed DIR --end [--to TIME]"};
        }
        const PressBudget budget = BudgetOf(PressLives(before.assessment.parts),
                                            static_cast<int>(before.holds.size()),
                                            *session.calib);
        const auto objections = Objections(hold, budget, before.cap);
        constexpr std::int64_t kStartsNow = 300;  // seconds: not begun in earnest
        const bool begun = hold.to || now.unix_seconds - hold.from->unix_seconds > kStartsNow;
        if (!objections.empty() && !begun && !request.anyway) {
          return Error{ErrorCode::kRefused,
                       request.folder,
                       Join(objections, "; "),
                       "do not hold it; --anyway starts it all the same and is logged"};
        }
        hold.id = NextName(before.holds, state.log);
        notes = Notes(before, hold, objections, now, *session.calib);
        return BoardFolder::NewEntry{"hold-start", {}, ToJson(hold), hold.from};
      }));
  if (!hold.to) return Print(session, folder, start, hold, notes);
  const auto end = folder.Append([&](const BoardFolder::State&) -> Result<BoardFolder::NewEntry> {
    return BoardFolder::NewEntry{"hold-end", {}, Json{{"hold", hold.id}}, hold.to};
  });
  if (!end) {
    Error error = KeptBefore(end.error(), {start.id});
    error.remedy += fmt::format("; then end the hold with: lieflat pressed {} --end --to {}",
                                request.folder,
                                hold.to->Iso());
    return error;
  }
  return Print(session, folder, *end, hold, notes);
}

Result<ExitStatus> RunEnd(Session& session, const Request& request) {
  const Instant now = session.clock.Now();
  LIEFLAT_TAKE(times, TimesFrom(request, now));
  LoggedHold ended;
  std::vector<std::string> notes;
  auto folder = OpenFolder(session, request.folder);
  LIEFLAT_TAKE(
      entry, folder.Append([&](const BoardFolder::State& state) -> Result<BoardFolder::NewEntry> {
        LIEFLAT_TAKE(before, LookAt(session, request, state));
        std::vector<LoggedHold> others;
        const LoggedHold* open = nullptr;
        for (const LoggedHold& hold : before.holds) {
          if (hold.to)
            others.push_back(hold);
          else
            open = &hold;
        }
        if (open == nullptr) {
          return Error{ErrorCode::kRefused,
                       request.folder,
                       "no hold is open",
                       "one that is over already: give --way with --from and --to, or --hours"};
        }
        ended = *open;
        ended.to = times.to.value_or(now);
        if (ended.to->unix_seconds <= ended.from->unix_seconds) {
          return Error{ErrorCode::kBadUse,
                       "--to",
                       fmt::format("is not later than the start, {}", ended.from->Iso()),
                       "the end of the hold comes after its start"};
        }
        before.holds = others;
        notes = Notes(before, ended, {}, now, *session.calib);
        return BoardFolder::NewEntry{"hold-end", {}, Json{{"hold", ended.id}}, ended.to};
      }));
  return Print(session, folder, entry, ended, notes);
}

Result<ExitStatus> RunPressed(Session& session, const Request& request) {
  const bool ends = request.end || (request.way.empty() && !request.to.empty() &&
                                    request.from.empty() && request.hours.empty());
  if (!ends) return RunStart(session, request);
  for (const auto& [flag, text] : {std::pair("--way", &request.way),
                                   std::pair("--from", &request.from),
                                   std::pair("--hours", &request.hours),
                                   std::pair("--load-kg", &request.load)}) {
    if (text->empty()) continue;
    return Error{ErrorCode::kBadUse,
                 flag,
                 "does not go with the end of a hold",
                 "lieflat pressed DIR --end [--to TIME]"};
  }
  return RunEnd(session, request);
}

}  // namespace

void AddPressed(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("pressed", "logs a hold: begun, over, or told afterwards");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  add("--way", request->way, "WORD", "plates, weights, clamps, mount, other or unknown");
  add("--load-kg", request->load, "KG", "what lay on it");
  add("--from", request->from, "TIME", "its start (ISO 8601 with offset); now when absent");
  add("--to", request->to, "TIME", "its end; absent while it is held");
  add("--hours", request->hours, "N", "how long, or overnight; in place of --from or --to");
  add("--temperature", request->temperature, "C", "of the board meanwhile");
  add("--note", request->note, "TEXT", "in your own words");
  verb->add_flag("--about", request->about, "the figures are round, from memory");
  verb->add_flag("--end", request->end, "the open hold is over, now or --to TIME");
  verb->add_flag("--anyway", request->anyway, "start it against the advice; this is logged");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunPressed(session, *request); };
  });
}

}  // namespace lieflat::cli
