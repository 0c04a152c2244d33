// open: the local page. Serves a lot or one board until Ctrl-C.

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <set>

#include <fmt/format.h>
#include <malloc.h>
#include <spawn.h>
#include <sys/resource.h>
#include <unistd.h>

#include "lieflat/base/text.h"
#include "lieflat/record/folder.h"

#include "app/cli/command.h"
#include "app/cli/flags.h"
#include "app/web/qr.h"
#include "app/web/server.h"

extern char** environ;  // NOLINT(readability-redundant-declaration): POSIX leaves it to the program

namespace lieflat::cli {
namespace {

constexpr int kUsualPort = 4170;
constexpr const char* kLoopback = "127.0.0.1";

struct Request {
  std::string folder, lan, port;
  bool no_browser = false;
};

/// Room for connections, and a heap that does not grow with the number of threads.
void SetBounds() {
  rlimit files{};
  if (::getrlimit(RLIMIT_NOFILE, &files) == 0) {
    constexpr rlim_t kWanted = 8192;
    files.rlim_cur = std::min(files.rlim_max, std::max(files.rlim_cur, kWanted));
    ::setrlimit(RLIMIT_NOFILE, &files);
  }
  ::mallopt(M_ARENA_MAX, 2);
}

Result<web::Served> WhatIsServed(Session& session, const Request& request) {
  if (!session.disk.IsFolder(request.folder)) {
    return Error{
        ErrorCode::kRefused, request.folder, "is no folder", "name a board's folder, or the lot"};
  }
  web::Served served;
  std::error_code failed;
  served.root = std::filesystem::canonical(request.folder, failed);
  if (failed) {
    return Error{ErrorCode::kRefused,
                 request.folder,
                 "cannot be reached: " + failed.message(),
                 "name another folder"};
  }
  served.lot = !session.disk.IsFile(served.root / "board.json");
  if (!session.calib_folder.empty())
    served.calib_folder = std::filesystem::absolute(session.calib_folder).string();
  return served;
}

Result<void> CheckLan(const std::string& lan) {
  if (lan.empty() || web::IsLanAddress(lan)) return {};
  const auto known = web::LanAddresses();
  return Error{ErrorCode::kBadUse,
               "--lan",
               fmt::format("{} is no address of this machine in a network", Quoted(lan)),
               known.empty() ? "this machine is in no network" : "one of " + Join(known, ", ")};
}

struct Sockets {
  int port = 0, loopback = -1, lan = -1;
};

/// The same port at both doors. Without --port the usual one, or any that is free.
Result<Sockets> ListenAt(const std::string& lan, std::optional<int> port) {
  Sockets sockets;
  auto loopback = web::Listen(kLoopback, port.value_or(kUsualPort));
  if (!loopback && !port) loopback = web::Listen(kLoopback, 0);
  if (!loopback) return loopback.error();
  sockets.loopback = *loopback;
  sockets.port = web::PortOf(*loopback);
  if (lan.empty()) return sockets;
  auto other = web::Listen(lan, sockets.port);
  if (!other) {
    ::close(sockets.loopback);
    return other.error();
  }
  sockets.lan = *other;
  return sockets;
}

web::DoorNames NamesOf(const std::vector<std::string>& addresses, int port) {
  constexpr int kHttpPort = 80;  // which browsers leave out
  web::DoorNames names;
  names.cookie = fmt::format("lieflat-{}", port);
  for (const auto& address : addresses) {
    const std::string name = web::HostName(address, port);
    names.hosts.push_back(name);
    if (port == kHttpPort) names.hosts.push_back(name.substr(0, name.rfind(':')));
  }
  return names;
}

void TellBrowser(const std::string& address) {
  std::string program = "xdg-open", target = address;
  char* words[] = {program.data(), target.data(), nullptr};
  pid_t browser = 0;
  if (::posix_spawnp(&browser, program.c_str(), nullptr, nullptr, words, environ) != 0)
    Session::Tell("lieflat: no browser could be started; open " + address);
}

void TellLan(const std::string& pairing) {
  Session::Tell(
      "lieflat: this is plain http: whoever is in the same network can overhear it.\n"
      "Let the phone's camera read this code; it lets in one device, once, within 15\n"
      "minutes. The page shows a new one for the next:\n" +
      web::QrForTerminal(pairing) + pairing);
}

/// Blocks the signals that end it, in all threads; the main one waits for them.
sigset_t BlockedSignals() {
  sigset_t ends;
  ::sigemptyset(&ends);
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) ::sigaddset(&ends, signal);
  ::pthread_sigmask(SIG_BLOCK, &ends, nullptr);
  return ends;
}

Result<ExitStatus> RunOpen(Session& session, const Request& request) {
  LIEFLAT_TAKE(port, IntegerFlag("--port", request.port));
  constexpr int kMostPort = 65535;
  if (port && (*port < 1 || *port > kMostPort))
    return Error{ErrorCode::kBadUse,
                 "--port",
                 fmt::format("{} is outside 1 to {}", *port, kMostPort),
                 "such as 4170"};
  LIEFLAT_TRY(CheckLan(request.lan));
  LIEFLAT_TAKE(served, WhatIsServed(session, request));
  LIEFLAT_TAKE(sockets, ListenAt(request.lan, port));
  SetBounds();
  const sigset_t ends = BlockedSignals();
  if (!request.lan.empty()) served.lan_address = web::HostName(request.lan, sockets.port);
  web::Gateway gateway(served, *session.calib);
  const auto names = NamesOf({kLoopback, "localhost"}, sockets.port);
  gateway.SetCookieName(names.cookie);
  web::Server server(gateway);
  LIEFLAT_TRY(server.Open(web::Door::kLoopback, sockets.loopback, names));
  if (sockets.lan >= 0)
    LIEFLAT_TRY(server.Open(web::Door::kLan, sockets.lan, NamesOf({request.lan}, sockets.port)));
  const std::string address = fmt::format("http://{}/", web::HostName(kLoopback, sockets.port));
  std::printf("%s\n", address.c_str());
  std::fflush(stdout);
  if (sockets.lan >= 0) TellLan(gateway.PairingAddress());
  if (!request.no_browser && !session.no_input) TellBrowser(address);
  int signal = 0;
  ::sigwait(&ends, &signal);
  server.Close();
  return ExitStatus::kDone;
}

}  // namespace

void AddOpen(App& app, Session& session) {
  auto request = std::make_shared<Request>();
  auto* verb = app.add_subcommand("open", "the same as a page in the browser, until Ctrl-C");
  verb->add_option("DIR", request->folder, "a board's folder, or a lot")->required();
  verb->add_option("--lan", request->lan, "let paired phones in at this address of the machine")
      ->type_name("ADDRESS");
  verb->add_option("--port", request->port, "its port; 4170 when it is free")->type_name("N");
  verb->add_flag("--no-browser", request->no_browser, "only say the address");
  verb->callback([&session, request] {
    session.action = [&session, request] { return RunOpen(session, *request); };
  });
}

}  // namespace lieflat::cli
