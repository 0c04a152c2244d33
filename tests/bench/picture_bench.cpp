// What a board's picture to scale takes. Workload: a rendered photo of 12 megapixels, from above,
// of a board of 244 x 170 mm on the A3 lay sheet.
//   PictureOf12Mp       decoding, looking, cameras, outline, painting; in this process
//   PictureProgram12Mp  the program itself, its folder and the PNG included; `MB` is its peak

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include <benchmark/benchmark.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lieflat/base/check.h"
#include "lieflat/photo/board_picture.h"

#include "support/render/damaged_board.h"

namespace lieflat {
namespace {

namespace fs = std::filesystem;

const testing::DamagedSet& Set() {
  static const testing::DamagedSet set = [] {
    constexpr std::uint64_t kSeed = 20261;
    testing::DamageOptions options;
    options.paper = "a3";
    options.size_mm = {244.0, 170.0};
    options.width = 4000;
    options.height = 3000;
    Random random(kSeed);
    return testing::DrawDamagedSet(Calib::Embedded(), options, kSeed, random);
  }();
  return set;
}

void PictureOf12Mp(benchmark::State& state) {
  const testing::DamagedSet& set = Set();
  const Printed printed = Printed::Of(Calib::Embedded());
  for (auto _ : state) {
    auto photo = TakeBoardPhoto(set.file, "rendered", printed);
    LIEFLAT_CHECK(photo, photo ? "" : photo.error().Text());
    std::vector<BoardPhoto> photos;
    photos.push_back(std::move(*photo));
    auto picture = MakeBoardPicture(photos, set.drawn.described, {}, printed, Calib::Embedded());
    LIEFLAT_CHECK(picture, picture ? "" : picture.error().Text());
    benchmark::DoNotOptimize(picture);
  }
}
BENCHMARK(PictureOf12Mp)->Unit(benchmark::kMillisecond)->MinTime(5.0);

/// Runs the program silently; its CPU seconds and peak memory.
rusage RunProgram(std::vector<std::string> words) {
  words.insert(words.begin(), LIEFLAT_PROGRAM);
  std::vector<char*> line;
  for (auto& word : words) line.push_back(word.data());
  line.push_back(nullptr);
  const pid_t child = ::fork();
  LIEFLAT_CHECK(child >= 0, "a process more");
  if (child == 0) {
    const int nowhere = ::open("/dev/null", O_WRONLY);
    ::dup2(nowhere, STDOUT_FILENO);
    ::execv(LIEFLAT_PROGRAM, line.data());
    ::_exit(127);
  }
  int status = 0;
  rusage used{};
  LIEFLAT_CHECK(::wait4(child, &status, 0, &used) == child && status == 0, "the program did it");
  return used;
}

void PictureProgram12Mp(benchmark::State& state) {
  std::string name = (fs::temp_directory_path() / "lieflat-bench-XXXXXX").string();
  LIEFLAT_CHECK(::mkdtemp(name.data()) != nullptr, "a temporary folder");
  const fs::path folder = name;
  const std::string board = folder / "b", photo = folder / "photo.jpg";
  std::ofstream(photo, std::ios::binary) << Set().file;
  RunProgram({"new", board, "--size", "244x170"});
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  for (auto _ : state) {
    const rusage used = RunProgram({"picture", board, photo});
    state.SetIterationTime(seconds(used.ru_utime) + seconds(used.ru_stime));
    state.counters["MB"] = static_cast<double>(used.ru_maxrss) / 1024.0;
  }
  fs::remove_all(folder);
}
BENCHMARK(PictureProgram12Mp)->Unit(benchmark::kMillisecond)->UseManualTime()->Iterations(5);

}  // namespace
}  // namespace lieflat
