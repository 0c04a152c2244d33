// again: the same places, tool and fittings as last time; the old values stay hidden until all new
// ones are in. Then old, new, and whether the difference is one.

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/record/bench.h"
#include "lieflat/trend/change.h"

#include "app/cli/command.h"
#include "app/cli/entry_document.h"
#include "app/cli/flags.h"
#include "app/cli/gauge_flags.h"
#include "app/cli/read_text.h"
#include "app/cli/reading_prompt.h"
#include "app/cli/save_gauge.h"

namespace lieflat::cli {
namespace {

struct Request {
  std::string folder, file, when, temperature, tip_difference, fourth_corner, gap_u, highest,
      lowest;
  bool as_seen = false;

  [[nodiscard]] bool has_form() const {
    return !tip_difference.empty() || !fourth_corner.empty() || !highest.empty();
  }
};

/// Whether an entry holds what the request reads anew; a request without readings takes any.
bool Serves(const Gauge& gauge, const Request& request) {
  return (request.file.empty() || !gauge.rows.empty()) &&
         (request.tip_difference.empty() || gauge.strips) &&
         (request.fourth_corner.empty() || gauge.corner) &&
         (request.highest.empty() || gauge.referee);
}

Result<Entry> NewestGauge(const BoardFolder::State& state, const Request& request) {
  const auto& entries = state.log.entries;
  const auto found = std::find_if(entries.rbegin(), entries.rend(), [&](const Entry& entry) {
    return entry.gauge && !entry.voided && Serves(*entry.gauge, request);
  });
  if (found != entries.rend()) return *found;
  return Error{ErrorCode::kNoFigure,
               request.folder,
               "nothing of the kind was read here before",
               fmt::format("start with lieflat gauge {}", request.folder)};
}

/// How it was held and with what, as before; the values left out, the temperature of today.
Result<Gauge> EmptyAgain(const Gauge& old, const Request& request) {
  Gauge gauge = old;
  gauge.rows.clear();
  gauge.strips.reset();
  gauge.corner.reset();
  gauge.referee.reset();
  LIEFLAT_TAKE(temperature, NumberFlag("--temperature", request.temperature));
  gauge.temperature_c = temperature;
  return gauge;
}

std::vector<std::string> Places(const Gauge& gauge) {
  std::vector<std::string> places;
  for (const auto& row : gauge.rows) places.push_back(PlaceInWords(row));
  std::sort(places.begin(), places.end());
  places.erase(std::unique(places.begin(), places.end()), places.end());
  return places;
}

Result<void> PutFormsAgain(Gauge& gauge, const Gauge& old, const Request& request) {
  const auto absent = [&](const char* flag) {
    return Error{ErrorCode::kBadUse,
                 flag,
                 "was not read last time",
                 "lieflat again takes the same readings; use gauge for others"};
  };
  LIEFLAT_TAKE(difference, LengthFlag("--tip-difference", request.tip_difference));
  if (difference) {
    if (!old.strips) return absent("--tip-difference");
    gauge.strips = old.strips;
    gauge.strips->tip_difference_mm = *difference;
  }
  if (!request.fourth_corner.empty()) {
    LIEFLAT_TAKE(corner, FourthCorner(request.fourth_corner, request.gap_u));
    if (!old.corner || old.corner->corner != corner.corner) return absent("--fourth-corner");
    if (corner.value_mm && !corner.u_mm) corner.u_mm = old.corner->u_mm;
    gauge.corner = corner;
  }
  LIEFLAT_TAKE(highest, LengthFlag("--highest", request.highest));
  LIEFLAT_TAKE(lowest, LengthFlag("--lowest", request.lowest));
  if (highest.has_value() != lowest.has_value()) {
    return Error{ErrorCode::kBadUse,
                 highest ? "--lowest" : "--highest",
                 "is missing",
                 "the referee form needs both heights"};
  }
  if (highest) {
    if (!old.referee) return absent("--highest");
    gauge.referee = old.referee;
    gauge.referee->highest_mm = *highest;
    gauge.referee->lowest_mm = *lowest;
  }
  return {};
}

Result<Gauge> GivenAgain(const Gauge& old,
                         const Request& request,
                         const std::optional<Sheet>& sheet,
                         const Board& board) {
  LIEFLAT_TAKE(gauge, EmptyAgain(old, request));
  if (sheet) {
    LIEFLAT_TAKE(rows, RowsFromSheet(*sheet, gauge.rest, gauge.down, request.as_seen, board));
    gauge.rows = rows;
    if (Places(gauge) != Places(old)) {
      return Error{
          ErrorCode::kRefused,
          sheet->name,
          fmt::format(
              "reads {}; last time it was {}", Join(Places(gauge), "; "), Join(Places(old), "; ")),
          "lieflat again takes the same places; use gauge for others"};
    }
  }
  LIEFLAT_TRY(PutFormsAgain(gauge, old, request));
  return gauge;
}

Json ChangeJson(const Change& change) {
  Json figures = Json::array();
  for (const auto& figure : change.figures) {
    figures.push_back({{"name", figure.name},
                       {"before_mm", figure.before_mm},
                       {"after_mm", figure.after_mm},
                       {"change_mm", figure.change_mm},
                       {"noise_mm", figure.noise_mm},
                       {"detectable", figure.changed}});
  }
  return {{"detectable", change.changed}, {"figures", figures}};
}

std::string ChangeText(const Change& change, const std::string& old_id, const std::string& new_id) {
  std::string text =
      fmt::format("{:<16}{:>7}{:>7}  mm, + towards the components\n", "", old_id, new_id);
  for (const auto& figure : change.figures) {
    text += fmt::format("{:<16}{:>7.2f}{:>7.2f}  {}: {:.2f} mm, noise {:.2f} mm\n",
                        figure.name,
                        figure.before_mm,
                        figure.after_mm,
                        figure.changed ? "changed" : "no detectable change",
                        std::abs(figure.change_mm),
                        figure.noise_mm);
  }
  text += change.changed ? "The board has changed.\n" : "No detectable change.\n";
  return text;
}

Result<Change> Compare(Session& session,
                       const std::string& folder,
                       const Entry& old,
                       const Gauge& fresh,
                       const Board& board) {
  LIEFLAT_TAKE(bench, LoadBench(session.disk, folder, session.settings_folder));
  const auto samples = [&](const Gauge& gauge, const std::string& where) {
    const auto own = bench.repeatability.find(gauge.instrument);
    const auto sd =
        own == bench.repeatability.end() ? std::nullopt : std::optional<double>(own->second.sd_mm);
    return ToSamples(gauge, board, *session.calib, sd, where);
  };
  LIEFLAT_TAKE(before, samples(*old.gauge, old.id));
  LIEFLAT_TAKE(after, samples(fresh, "again"));
  return CompareReadings(board, before, after);
}

Result<ExitStatus> Save(Session& session,
                        const Request& request,
                        const std::string& where,
                        const Entry& old,
                        const std::function<Result<Gauge>(const BoardFolder::State&)>& make) {
  std::optional<Change> change;
  const auto make_and_compare = [&](const BoardFolder::State& state) -> Result<Gauge> {
    LIEFLAT_TAKE(gauge, make(state));
    LIEFLAT_TAKE(compared, Compare(session, request.folder, old, gauge, state.board));
    change = compared;
    return gauge;
  };
  const auto finish = [&](const Entry& entry, Json& document, std::string& text) {
    document["again_of"] = old.id;
    document["change"] = ChangeJson(*change);
    text += ChangeText(*change, old.id, entry.id);
  };
  return SaveGauge(session, request.folder, request.when, where, make_and_compare, finish, old.id);
}

Result<ExitStatus> RunAgain(Session& session, const Request& request) {
  LIEFLAT_TAKE(state, OpenFolder(session, request.folder).Load());
  LIEFLAT_TAKE(old, NewestGauge(state, request));
  if (!request.file.empty() || request.has_form()) {
    std::optional<Sheet> sheet;
    if (!request.file.empty()) {
      LIEFLAT_TAKE(text, ReadText(session, request.file));
      LIEFLAT_TAKE(parsed, ParseSheet(text, request.file == "-" ? "stdin" : request.file));
      sheet = parsed;
    }
    return Save(session,
                request,
                sheet ? sheet->name : "command line",
                old,
                [&](const BoardFolder::State& now) {
                  return GivenAgain(*old.gauge, request, sheet, now.board);
                });
  }
  if (!Prompt::Possible(session)) {
    return Error{
        ErrorCode::kBadUse,
        "lieflat again",
        "no reading was given",
        "give a FILE (- is stdin), or --tip-difference, --fourth-corner, --highest and --lowest"};
  }
  session.Tell(fmt::format("As {} of {}: {}.", old.id, old.at.Short(), Name(old.gauge->rest)));
  LIEFLAT_TAKE(gauge, EmptyAgain(*old.gauge, request));
  LIEFLAT_TRY(AskAgain(gauge, *old.gauge, state.board));
  return Save(session, request, "typed", old, [&](const BoardFolder::State&) -> Result<Gauge> {
    return gauge;
  });
}

}  // namespace

void AddAgain(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand(
      "again", "the same readings as last time, old values hidden; did it change?");
  const auto add = [&](const char* name, std::string& text, const char* type, const char* help) {
    verb->add_option(name, text, help)->type_name(type);
  };
  verb->add_option("DIR", request->folder, "the board's folder")->required();
  verb->add_option("FILE", request->file, "a sheet with the same places (- is stdin)");
  add("--temperature", request->temperature, "C", "of the room");
  add("--tip-difference", request->tip_difference, "MM", "of the same strips");
  add("--fourth-corner", request->fourth_corner, "C=MM", "lift of the same corner");
  add("--gap-u", request->gap_u, "MM", "its standard uncertainty; as last time when absent");
  add("--highest", request->highest, "MM", "referee form");
  add("--lowest", request->lowest, "MM", "referee form");
  add("--when", request->when, "TIME", "when it was read (ISO 8601 with offset); now when absent");
  verb->add_flag("--as-seen", request->as_seen, "x,y were taken looking at the face that is up");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunAgain(session, *request); };
  });
}

}  // namespace lieflat::cli
