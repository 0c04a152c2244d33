#include "app/web/gateway.h"

#include <algorithm>
#include <cerrno>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lieflat/base/json.h"
#include "lieflat/record/folder.h"

#include "app/web/catalog.h"
#include "app/web/page_files.h"
#include "app/web/qr.h"

namespace lieflat::web {
namespace {

constexpr const char* kLonePolicy =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action "
    "'none'; frame-ancestors 'none'";

/// Of what stands on its own: a report, a drawing with its style inside.
void StandAlone(Answer& answer, const std::string& type) {
  if (answer.status != 200) return;
  answer.type = type;
  answer.headers.emplace_back("Content-Security-Policy", kLonePolicy);
}

Answer NotThere(const std::string& where, const std::string& message) {
  return Refusal(404, where, message, "go back to the crate");
}

Work Ready(Answer answer) {
  return {Lane::kQuick,
          [answer = std::move(answer)](const std::function<bool()>&) { return answer; }};
}

/// The error document that the program writes last on stderr; its notes may stand before it.
std::optional<Json> ErrorOf(const std::string& err) {
  const auto begin = err.starts_with("{\n") ? 0 : err.rfind("\n{\n");
  if (begin == std::string::npos) return std::nullopt;
  auto document = ParseJson(err.substr(begin), "stderr");
  if (!document || !document->is_object() || document->value("format", "") != "lieflat-error")
    return std::nullopt;
  return *document;
}

/// Where the answer is no document, neither is the refusal.
std::string LastLine(std::string err) {
  while (!err.empty() && err.back() == '\n') err.pop_back();
  const auto end = err.rfind('\n');
  std::string line = end == std::string::npos ? err : err.substr(end + 1);
  const std::string own = "lieflat: ";
  return line.starts_with(own) ? line.substr(own.size()) : line;
}

int StatusOfExit(int status) {
  constexpr int kBusy = 5, kInternal = 6;
  return status == kBusy ? 409 : status >= kInternal || status < 2 ? 500 : 400;
}

ChildLimits Short() { return {}; }
ChildLimits Long() {
  ChildLimits limits;
  limits.time = std::chrono::minutes(10);
  return limits;
}

/// What the photo is, by its first bytes; null: none that is shown.
const char* PictureType(const std::string& head) {
  const char* ending = PhotoEnding(head);
  if (ending == nullptr)
    return head.starts_with("<svg") || head.starts_with("<?xml") ? "image/svg+xml" : nullptr;
  const std::string word = ending;
  return word == "jpg" ? "image/jpeg" : word == "png" ? "image/png" : "image/heic";
}

}  // namespace

Answer AnswerOf(const ChildResult& result) {
  using End = ChildResult::End;
  switch (result.end) {
    case End::kNotStarted:
      return Refusal(503, "lieflat", "the machine has no room for another program", "try again");
    case End::kTimeout:
      return Refusal(
          503, "lieflat", "it took too long and was ended", "nothing was changed; try again");
    case End::kCancelled:
      return Refusal(409, "lieflat", "stopped", "start it again");
    case End::kTooLong:
    case End::kKilled:
      return Refusal(500,
                     "lieflat",
                     "it needed too much memory or time and was ended",
                     "with a photo: take it at the phone's usual size");
    case End::kExited:
      break;
  }
  Answer answer;
  if ((result.status == 0 || result.status == 1 || result.status == 4) && !result.out.empty()) {
    answer.body = result.out;
    return answer;
  }
  const auto error = ErrorOf(result.err);
  if (!error) {
    const std::string last = LastLine(result.err);
    return Refusal(
        StatusOfExit(result.status), "lieflat", last.empty() ? "ended without a word" : last, "");
  }
  Answer refused = Refusal(StatusOfExit(result.status),
                           error->value("where", ""),
                           error->value("message", ""),
                           error->value("remedy", ""));
  return refused;
}

Gateway::Gateway(Served served, const Calib& calib)
    : served_(std::move(served)), catalog_(CatalogText(calib)) {}

void Gateway::Stop() {
  stopping_ = true;
  jobs_.CancelAll();
}

std::string Gateway::PairingAddress() const {
  return fmt::format("http://{}/#pair={}", served_.lan_address, pairing_.Offer());
}

Result<Disk::Path> Gateway::Board(const Route& route) const {
  const Error absent{
      ErrorCode::kRefused, route.board, "no such board is here", "go back to the crate"};
  if (served_.lot == (route.board == ".")) return absent;
  const Disk::Path folder = served_.lot ? served_.root / route.board : served_.root;
  std::error_code failed;
  const Disk::Path real = std::filesystem::canonical(folder, failed);
  if (failed || !std::filesystem::is_regular_file(real / "board.json", failed)) return absent;
  if (served_.lot && real.parent_path() != served_.root) {
    return Error{ErrorCode::kRefused, route.board, "lies outside the crate", "open it by itself"};
  }
  return real;
}

std::optional<Answer> Gateway::AtOnce(const Admitted& request,
                                      const Head& head,
                                      const std::string& body) {
  const Route& route = request.route;
  switch (route.place) {
    case Place::kStatic: {
      auto file = PageFile(route.name, head);
      return file ? *file : NotThere("address", "there is nothing at this address");
    }
    case Place::kDrawingStyle:
      return DrawingStyleFile();
    case Place::kSession:
      return Session(request);
    case Place::kCatalog: {
      Answer answer;
      answer.body = catalog_;
      return answer;
    }
    case Place::kPairing:
      return PairingOffer();
    case Place::kPair:
      return Pair(body);
    case Place::kJob:
      return JobAnswer(route, head.method);
    case Place::kPhoto:
      return Photo(route);
    case Place::kLot:
    case Place::kBoards:
    case Place::kGlance:
    case Place::kBoard:
    case Place::kAssessment:
    case Place::kLive:
    case Place::kRun:
    case Place::kExport:
    case Place::kPhotos:
      break;
  }
  return std::nullopt;
}

Answer Gateway::Session(const Admitted& request) const {
  Answer answer;
  answer.body = DumpJson({{"lot", served_.lot},
                          {"name", served_.root.filename().string()},
                          {"lan", !served_.lan_address.empty()},
                          {"phone", request.paired},
                          {"version", kVersion}});
  return answer;
}

Answer Gateway::PairingOffer() {
  if (served_.lan_address.empty()) {
    return Refusal(404,
                   "pairing",
                   "the page is served on this machine only",
                   "start it with --lan ADDRESS to let a phone in");
  }
  const std::string address = PairingAddress();
  Answer answer;
  answer.body = DumpJson({{"url", address}, {"qr_svg", QrSvg(address)}});
  return answer;
}

Answer Gateway::Pair(const std::string& body) {
  const auto request = ParseJson(body, "body");
  const bool given = request && request->is_object() && request->contains("secret") &&
                     request->at("secret").is_string();
  const auto cookie =
      given ? pairing_.Redeem(request->at("secret").get<std::string>()) : std::nullopt;
  if (!cookie) {
    return Refusal(403,
                   "pairing",
                   "this code was used already, or is too old",
                   "let the page on the other machine show a new one");
  }
  Answer answer;
  answer.body = DumpJson({{"paired", true}});
  answer.headers.emplace_back("Set-Cookie",
                              fmt::format("{}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age={}",
                                          cookie_,
                                          *cookie,
                                          std::chrono::seconds(Pairing::kSessionLasts).count()));
  return answer;
}

Answer Gateway::JobAnswer(const Route& route, const std::string& method) {
  const auto job = jobs_.Find(route.name);
  if (!job) return NotThere("job " + route.name, "no such job");
  if (method == "DELETE") job->Cancel();
  return job->Document();
}

Answer Gateway::Photo(const Route& route) const {
  const auto board = Board(route);
  if (!board) return Refusal(404, board.error());
  const int folder =
      ::open((*board / "photos").c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
  if (folder < 0) return NotThere(route.name, "no such photo");
  const int photo =
      ::openat(folder, route.name.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
  ::close(folder);
  struct stat state {};
  std::string head(16, '\0');
  const bool readable = photo >= 0 && ::fstat(photo, &state) == 0 && S_ISREG(state.st_mode);
  const ssize_t got = readable ? ::pread(photo, head.data(), head.size(), 0) : -1;
  head.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
  const char* type = PictureType(head);
  if (!readable || type == nullptr) {
    if (photo >= 0) ::close(photo);
    return NotThere(route.name, "no such photo");
  }
  Answer answer;
  answer.type = type;
  answer.file = {photo, static_cast<std::size_t>(state.st_size)};
  StandAlone(answer, type);
  return answer;
}

Result<std::unique_ptr<Upload>> Gateway::BeginUpload(const Route& route) const {
  const auto board = Board(route);
  if (!board) return board.error();
  return Upload::Begin(*board);
}

Answer Gateway::Run(std::vector<std::string> words,
                    std::string input,
                    const ChildLimits& limits,
                    const std::function<bool()>& cancelled,
                    const std::function<void(const std::string&)>& progress) const {
  if (!served_.calib_folder.empty())
    words.insert(words.begin() + 1, "--calib=" + served_.calib_folder);
  ChildRequest request;
  request.words = std::move(words);
  request.input = std::move(input);
  request.limits = limits;
  request.cancelled = [&] { return stopping_ || (cancelled && cancelled()); };
  request.progress = progress;
  return AnswerOf(RunProgram(request));
}

Answer Gateway::Export(const Route& route,
                       const Disk::Path& board,
                       const std::function<bool()>& gone) const {
  const std::string& name = route.name;
  const auto run = [&](std::vector<std::string> words) {
    words.insert(words.begin() + 1, board.string());
    return Run(std::move(words), "", Short(), gone);
  };
  if (name == "assessment.json") return run({"assess", "--json"});
  if (name == "surface") return run({"export", "--json", "--no-input", "surface"});
  if (name == "report-sale.txt") {
    Answer answer = run({"report", "--sale", "--no-input"});
    if (answer.status == 200) answer.type = "text/plain; charset=utf-8";
    return answer;
  }
  if (name == "readings.csv") {
    Answer answer = run({"export", "--json", "readings"});
    if (answer.status == 200) answer.type = "text/csv; charset=utf-8";
    return answer;
  }
  if (name == "report.html") {
    Answer answer = run({"report", "--json", "-o", "-"});
    StandAlone(answer, "text/html; charset=utf-8");
    return answer;
  }
  const std::string what = name.substr(0, name.find('.'));
  std::vector<std::string> words{"export", "--json", what};
  const std::string edge = FieldOf(route.query, "edge");
  if (!edge.empty()) words.push_back("--edge=" + edge);
  if (FieldOf(route.query, "alone").empty()) words.emplace_back("--bare");
  Answer answer = run(words);
  if (answer.status == 400) answer.status = 404;
  StandAlone(answer, "image/svg+xml");
  return answer;
}

Answer Gateway::Store(const Route& route,
                      const Disk::Path& board,
                      Upload& upload,
                      const std::function<bool()>& gone) const {
  const auto kept = upload.Keep(FieldOf(route.query, "name"));
  if (!kept) return Refusal(kept.error().code == ErrorCode::kRefused ? 400 : 500, kept.error());
  const Disk::Path file = board / *kept;
  const std::string pose = FieldOf(route.query, "pose") == "lying" ? "lying" : "standing";
  Answer checked = Run({"photo",
                        "--json",
                        "--no-input",
                        "--check-shot",
                        "--pose=" + pose,
                        "--",
                        board.string(),
                        file.string()},
                       "",
                       Short(),
                       gone);
  if (checked.status != 200) {
    std::error_code ignored;  // it stays as a photo that nothing refers to
    std::filesystem::remove(file, ignored);
    if (checked.status == 500) checked.status = 400;
    return checked;
  }
  Answer answer;
  answer.body = fmt::format("{{\"photo\": {}, \"check\": {}}}\n", Json(*kept).dump(), checked.body);
  return answer;
}

Work Gateway::Plan(const Admitted& request, std::string body, std::shared_ptr<Upload> upload) {
  const Route& route = request.route;
  if (route.place == Place::kLot) {
    const bool kept = !FieldOf(route.query, "kept").empty();
    return {Lane::kQuick, [this, kept](const std::function<bool()>& gone) {
              std::vector<std::string> words{"lot", served_.root.string(), "--json", "--no-input"};
              if (kept) words.emplace_back("--kept");
              return Run(words, "", Long(), gone);
            }};
  }
  if (route.place == Place::kBoards || route.place == Place::kGlance ||
      route.place == Place::kLive || route.place == Place::kRun)
    return PlanPost(request, body);
  const bool quick = route.place == Place::kBoard;
  return {quick ? Lane::kQuick : Lane::kSlow,
          [this, route, upload](const std::function<bool()>& gone) -> Answer {
            const auto board = Board(route);
            if (!board) return Refusal(404, board.error());
            if (route.place == Place::kBoard) {
              SweepUploads(*board);
              return Run({"export", board->string(), "--json", "board"}, "", Short(), gone);
            }
            if (route.place == Place::kAssessment) {
              std::vector<std::string> words{"assess", board->string(), "--json", "--no-input"};
              if (!FieldOf(route.query, "drawn").empty()) words.emplace_back("--drawn");
              return Run(words, "", Short(), gone);
            }
            if (route.place == Place::kPhotos) return Store(route, *board, *upload, {});
            return Export(route, *board, gone);
          }};
}

Work Gateway::PlanPost(const Admitted& request, const std::string& body) {
  const Route& route = request.route;
  const auto json = ParseJson(body, "body");
  if (!json) return Ready(Refusal(400, json.error()));
  std::string id = route.board;
  Result<Command> command = Error{};
  if (route.place == Place::kGlance) {
    command = GlanceCommand(*json);
  } else if (route.place == Place::kBoards) {
    if (!served_.lot)
      return Ready(
          Refusal(400, "name", "one board is open, not a crate", "open the crate's folder"));
    command = NewCommand(*json, served_.root, id);
  } else {
    const auto board = Board(route);
    if (!board) return Ready(Refusal(404, board.error()));
    command = route.place == Place::kLive ? LiveCommand(*json, *board) : CommandOf(*json, *board);
  }
  if (!command) return Ready(Refusal(400, command.error()));
  const bool live = route.place == Place::kLive;
  const bool made = route.place == Place::kBoards;
  if (json->value("job", false)) return AsJob(std::move(*command));
  return {command->slow ? Lane::kSlow : Lane::kQuick,
          [this, command = std::move(*command), live, made, id](const std::function<bool()>& gone) {
            // What may write is run to its end, whether or not somebody still waits.
            const std::function<bool()> nobody = [] { return false; };
            Answer answer = Run(command.words, command.input, Short(), live ? gone : nobody);
            if (made && answer.status == 200) {
              answer.body =
                  fmt::format("{{\"id\": {}, \"entry\": {}}}\n", Json(id).dump(), answer.body);
            }
            return answer;
          }};
}

Work Gateway::AsJob(Command command) {
  std::string number;
  const auto job = jobs_.Start(number);
  const Answer busy =
      Refusal(429, "jobs", "too much is running already", "wait, or stop something");
  if (!job) return Ready(busy);
  const bool put = lanes_->Put(Lane::kSlow, [this, job, command = std::move(command)] {
    if (job->cancelled()) return job->Finish(Refusal(409, "lieflat", "stopped", "start it again"));
    auto words = command.words;
    words.insert(words.begin() + 1, "--progress-lines");
    job->Finish(Run(
        words,
        command.input,
        Long(),
        [job] { return job->cancelled(); },
        [job](const std::string& line) { job->Tell(line); }));
  });
  if (!put) {
    job->Finish(busy);
    return Ready(busy);
  }
  Answer answer;
  answer.body = DumpJson({{"job", number}});
  return Ready(answer);
}

}  // namespace lieflat::web
