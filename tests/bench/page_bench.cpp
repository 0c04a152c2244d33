// How long the page waits, over http, program and all. Workload: 305 x 244 mm, four parts, two
// slots, 25 heights.
//   LiveQuick/0, 1, 2   figures while typing: weight already out; on three points; on a table
//   LiveFull/0, 1       the full figures that replace them
//   Crate200            the list of 200 boards, assessments kept
//   Photo               a photo of 1.2 megapixels stored and judged

#include <array>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <sstream>

#include <arpa/inet.h>
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lieflat/base/check.h"
#include "lieflat/base/json.h"
#include "lieflat/base/random.h"

namespace lieflat {
namespace {

namespace fs = std::filesystem;

/// A crate and the program that serves it, from the first use to the end.
class Served {
 public:
  static Served& Once() {
    static Served served;
    return served;
  }
  ~Served() {
    ::kill(server_, SIGINT);
    ::waitpid(server_, nullptr, 0);
    fs::remove_all(folder_);
  }
  Served(const Served&) = delete;
  Served& operator=(const Served&) = delete;

  /// The size of the answer; anything but 200 is our own mistake.
  std::size_t Ask(const std::string& method,
                  const std::string& path,
                  const std::string& type = "",
                  const std::string& body = "") const {
    const int connection = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port_);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    LIEFLAT_CHECK(::connect(connection, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0,
                  "the page is served");
    std::string request = fmt::format(
        "{} {} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n", method, path, port_);
    if (method == "POST") {
      request +=
          fmt::format("Origin: http://127.0.0.1:{}\r\nContent-Type: {}\r\nContent-Length: {}\r\n",
                      port_,
                      type,
                      body.size());
    }
    request += "\r\n" + body;
    for (std::size_t sent = 0; sent < request.size();) {
      const ssize_t wrote =
          ::send(connection, request.data() + sent, request.size() - sent, MSG_NOSIGNAL);
      LIEFLAT_CHECK(wrote > 0, "the request is taken");
      sent += static_cast<std::size_t>(wrote);
    }
    std::string answer;
    std::array<char, 65536> block{};
    for (ssize_t got = 0; (got = ::recv(connection, block.data(), block.size(), 0)) > 0;)
      answer.append(block.data(), static_cast<std::size_t>(got));
    ::close(connection);
    LIEFLAT_CHECK(answer.starts_with("HTTP/1.1 200"), "answered: " + answer.substr(0, 1000));
    return answer.size();
  }

 private:
  Served() {
    std::string name = (fs::temp_directory_path() / "lieflat-bench-XXXXXX").string();
    LIEFLAT_CHECK(::mkdtemp(name.data()) != nullptr, "a temporary folder");
    folder_ = name;
    const fs::path samples = fs::path(LIEFLAT_SOURCE_DIR) / "samples/crate-3";
    constexpr int kBoards = 199;
    fs::create_directory(folder_ / "crate");
    fs::copy(samples, folder_ / "first", fs::copy_options::recursive);
    Program("lot first");
    for (int i = 0; i < kBoards; ++i) {
      fs::copy(folder_ / "first" / fmt::format("{:03}", 1 + i % 8),
               folder_ / "crate" / fmt::format("b{:03}", i),
               fs::copy_options::recursive);
    }
    fs::copy(samples / "bench.json", folder_ / "crate");
    Program("new crate/live --preset atx --mass 655 --need case");
    for (const char* part : {"U1 --class pbga --at 120,140",
                             "U2 --class pbga --at 200,150",
                             "U3 --class qfp --at 80,60",
                             "U4 --class qfp --at 240,60"})
      Program(fmt::format("part crate/live add {} --size 35x35", part));
    for (const char* slot : {"J1 --class slot --at 100,90", "J2 --class slot --at 130,90"})
      Program(fmt::format("part crate/live add {} --size 12x138 --height 11", slot));
    Program("lot crate");
    Serve();
  }

  void Program(const std::string& words) const {
    const std::string line = fmt::format(
        "cd '{}' && '{}' {} --no-input >/dev/null", folder_.string(), LIEFLAT_PROGRAM, words);
    LIEFLAT_CHECK(std::system(line.c_str()) == 0, line);
  }

  void Serve() {
    std::array<int, 2> out{};
    LIEFLAT_CHECK(::pipe(out.data()) == 0, "a pipe");
    const std::string crate = (folder_ / "crate").string();
    server_ = ::fork();
    if (server_ == 0) {
      ::dup2(out[1], 1);
      ::execl(LIEFLAT_PROGRAM, "lieflat", "open", crate.c_str(), "--no-browser", nullptr);
      ::_exit(127);
    }
    ::close(out[1]);
    FILE* first = ::fdopen(out[0], "r");
    unsigned port = 0;
    LIEFLAT_CHECK(std::fscanf(first, "http://127.0.0.1:%u/", &port) == 1, "the page's address");
    std::fclose(first);
    port_ = static_cast<std::uint16_t>(port);
  }

  fs::path folder_;
  pid_t server_ = -1;
  std::uint16_t port_ = 0;
};

/// 3 mm of bow on a grid of five by five, read to a twentieth; every call another reading at the
/// end.
std::string Typed(int number, int way) {
  Random random(20260302);
  std::string rows = "x_mm,y_mm,height_mm,u_mm\n";
  for (int j = 0; j < 5; ++j) {
    for (int i = 0; i < 5; ++i) {
      const double x = 10.0 + 71.0 * i, y = 10.0 + 56.0 * j, from = (x - 152.5) / 152.5;
      const double z = (way == 0 ? 0.0 : 30.0) + 3.0 * from * from + 0.05 * random.Normal();
      rows += fmt::format("{},{},{:.2f},0.1\n", x, y, std::max(0.0, z) + 0.01 * (number % 7));
    }
  }
  const Json flags =
      way == 0   ? Json{{"rest", "free"}}
      : way == 1 ? Json{{"rest", "points"}, {"at", "61:49,244:49,152:195"}, {"rest-height", 30}}
                 : Json{{"rest", "table"}, {"lead-tail-mm", 2}};
  return Json{{"flags", flags}, {"input", rows}}.dump();
}

void Live(benchmark::State& state, bool quick) {
  const Served& page = Served::Once();
  int number = 0;
  for (auto _ : state) {
    Json body = Json::parse(Typed(++number, static_cast<int>(state.range(0))));
    if (quick) body["quick"] = true;
    page.Ask("POST", "/api/boards/live/live", "application/json", body.dump());
  }
}

void LiveQuick(benchmark::State& state) { Live(state, true); }
BENCHMARK(LiveQuick)->Arg(0)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

void LiveFull(benchmark::State& state) { Live(state, false); }
BENCHMARK(LiveFull)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond)->UseRealTime();

void Crate200(benchmark::State& state) {
  const Served& page = Served::Once();
  for (auto _ : state) state.counters["bytes"] = static_cast<double>(page.Ask("GET", "/api/lot"));
}
BENCHMARK(Crate200)->Unit(benchmark::kMillisecond)->UseRealTime();

void Photo(benchmark::State& state) {
  const Served& page = Served::Once();
  std::ifstream file(std::string(LIEFLAT_SOURCE_DIR) + "/samples/photos/photo-1.jpg",
                     std::ios::binary);
  std::stringstream photo;
  photo << file.rdbuf();
  for (auto _ : state)
    page.Ask("POST", "/api/boards/live/photos?name=p&pose=lying", "image/jpeg", photo.str());
}
BENCHMARK(Photo)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(50);

}  // namespace
}  // namespace lieflat
