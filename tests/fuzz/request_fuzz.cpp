// Any bytes as a request to the page's server: first line "METHOD TARGET", header lines, an empty
// line, the body. It is let in or refused by its head; what is let in names only what may stand in
// a path, and what its body asks of the program is one of the closed list of verbs, without a flag
// that names a file.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>

#include "lieflat/base/json.h"
#include "lieflat/base/text.h"

#include "app/web/admission.h"
#include "app/web/verbs.h"

#include "require.h"

namespace {

using lieflat::fuzz::Require;
using lieflat::web::Command;

std::string TakeLine(std::string& text) {
  const auto end = std::min(text.find('\n'), text.size());
  std::string line = text.substr(0, end);
  text.erase(0, end + 1);
  return line;
}

lieflat::web::Head HeadOf(std::string& text) {
  lieflat::web::Head head;
  const std::string first = TakeLine(text);
  const auto gap = std::min(first.find(' '), first.size());
  head.method = first.substr(0, gap);
  if (gap < first.size()) head.target = first.substr(gap + 1);
  while (!text.empty()) {
    const std::string line = TakeLine(text);
    if (line.empty()) break;
    const auto colon = std::min(line.find(": "), line.size());
    head.headers.emplace_back(line.substr(0, colon),
                              colon < line.size() ? line.substr(colon + 2) : "");
  }
  return head;
}

void CheckHead(const lieflat::web::Head& head) {
  static const lieflat::web::Pairing pairing;
  const lieflat::web::DoorNames names{{"127.0.0.1:4170"}, "lieflat-4170"};
  for (const auto door : {lieflat::web::Door::kLoopback, lieflat::web::Door::kLan}) {
    lieflat::web::Head at = head;
    at.door = door;
    const auto admission = lieflat::web::Admit(at, names, pairing);
    if (!admission.in) {
      Require(admission.refusal.status >= 400 && admission.refusal.status < 500,
              "a refusal is the sender's fault");
      Require(lieflat::IsUtf8(admission.refusal.body), "a refusal can be sent");
      continue;
    }
    const auto& route = admission.in->route;
    Require(head.All("host") == std::vector<std::string>{"127.0.0.1:4170"},
            "the host is this door's, once");
    Require(route.board.empty() || route.board == "." || lieflat::web::IsSafeName(route.board),
            "a board is one segment");
    Require(route.name.find('/') == std::string::npos && route.name != "..",
            "a name is one segment");
    Require(admission.in->body_bytes <= lieflat::web::LongestBody(route, head.method),
            "no body longer than is taken");
    if (door == lieflat::web::Door::kLan)
      Require(lieflat::web::IsOpenToAll(route), "nobody is paired, so only the page itself");
    if (head.method != "GET" && head.method != "HEAD")
      Require(head.All("origin").size() == 1, "a change comes from this page");
  }
}

void CheckCommand(const lieflat::Result<Command>& command) {
  if (!command) {
    Require(command.error().code == lieflat::ErrorCode::kBadUse,
            "what is asked wrongly is bad use: " + command.error().Text());
    Require(lieflat::IsUtf8(command.error().Text()), "an error can be sent");
    return;
  }
  Require(!command->words.empty() && !command->words.front().starts_with("-"),
          "the verb comes first");
  for (const std::string& word : command->words) {
    if (word == "--") break;  // what follows is text, whatever it begins with
    for (const char* flag : {"--calib",
                             "--svg",
                             "--output",
                             "-o",
                             "--csv",
                             "--with=/",
                             "--points=/",
                             "--flat-trial",
                             "--force",
                             "--repair"}) {
      Require(!word.starts_with(flag) || word == "--with=-" || word == "--points=-",
              "no flag that names a file: " + word);
    }
  }
  for (const std::string& word : command->words) {
    Require(word.find('\0') == std::string::npos, "a word is one string of the command line");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string text(data, data + size);
  const auto head = HeadOf(text);
  CheckHead(head);
  (void)lieflat::web::CookieOf(head.One("cookie"), "lieflat-4170");
  if (const auto decoded = lieflat::web::PercentDecoded(head.target)) {
    const auto back = lieflat::web::PercentDecoded(lieflat::web::PercentEncoded(*decoded));
    Require(back && *back == *decoded, "what is encoded is decoded");
  }
  const auto json = lieflat::ParseJson(text, "request");
  if (!json) return 0;
  std::string board;
  CheckCommand(lieflat::web::CommandOf(*json, "crate/017"));
  CheckCommand(lieflat::web::LiveCommand(*json, "crate/017"));
  CheckCommand(lieflat::web::GlanceCommand(*json));
  const auto fresh = lieflat::web::NewCommand(*json, "crate", board);
  CheckCommand(fresh);
  if (fresh)
    Require(lieflat::web::IsSafeName(board), "a new board's name is one segment: " + board);
  return 0;
}
