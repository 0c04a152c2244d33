// What a person waits for after taking photos of 12 megapixels. Workloads:
//   Detection         markers, corners and stickers of one photo in memory
//   Solve             five photos' corners to heights with their uncertainty
//   PhotosToHeights   five JPEG files of a lying board, decoded, looked at, solved
//   CheckShot         one JPEG file judged
//   StandingToBow/n   n JPEG files of a standing board to the edge's profile
// peak_MB: the process' largest resident memory while it ran, the photos' files included.

#include <cstdlib>
#include <fstream>
#include <string>

#include <benchmark/benchmark.h>
#include <malloc.h>

#include "lieflat/base/check.h"
#include "lieflat/photo/standing.h"

#include "support/render/sets.h"

namespace lieflat {
namespace {

constexpr int kWidth = 4000, kHeight = 3000;

const Printed& Sheets() {
  static const Printed printed = Printed::Of(Calib::Embedded());
  return printed;
}

testing::SetOptions Options(int photos) {
  testing::SetOptions options;
  options.photos = photos;
  options.width = kWidth;
  options.height = kHeight;
  return options;
}

const std::vector<std::string>& Lying() {
  static const auto files = [] {
    Random random(9501);
    auto set = testing::DrawLyingSet(Calib::Embedded(), Options(5), random);
    testing::Photograph(set, Options(5), random);
    return set.files;
  }();
  return files;
}

const std::vector<std::string>& Standing() {
  static const auto files = [] {
    Random random(9502);
    auto set = testing::DrawStandingSet(Calib::Embedded(), Options(3), random);
    testing::Photograph(set, Options(3), random);
    return set.files;
  }();
  return files;
}

Board TheBoard() { return testing::DescribedBoard(Calib::Embedded(), Options(1).board_mm); }

Picture Decoded(const std::string& file, Colours colours) {
  auto picture = DecodePicture(file, "photo", colours);
  LIEFLAT_CHECK(picture, picture ? "" : picture.error().Text());
  return *std::move(picture);
}

std::vector<SeenPhoto> Look(const std::vector<std::string>& files) {
  std::vector<SeenPhoto> photos;
  for (const auto& file : files)
    photos.push_back(LookAt(Decoded(file, Colours::kGrey), "photo", Sheets()));
  return photos;
}

void Heights(const std::vector<SeenPhoto>& photos) {
  LyingRequest request;
  request.held.rest = Rest::kUpright;
  const auto result = MeasureLying(photos, TheBoard(), request, Sheets(), Calib::Embedded());
  LIEFLAT_CHECK(result, result ? "" : result.error().Text());
}

/// Forgets the largest memory so far; what rendering used is given back first.
void ForgetPeak() {
  malloc_trim(0);
  std::ofstream("/proc/self/clear_refs") << "5";
}
double PeakMb() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmHWM:")) return std::atof(line.c_str() + 6) / 1024.0;
  }
  return 0.0;
}

void Detection(benchmark::State& state) {
  const Picture grey = Decoded(Lying()[0], Colours::kGrey);
  for (auto _ : state) benchmark::DoNotOptimize(LookAt(grey, "photo", Sheets()));
}
BENCHMARK(Detection)->Unit(benchmark::kMillisecond)->Iterations(5);

void Solve(benchmark::State& state) {
  const auto photos = Look(Lying());
  for (auto _ : state) Heights(photos);
}
BENCHMARK(Solve)->Unit(benchmark::kMillisecond)->Iterations(5);

void PhotosToHeights(benchmark::State& state) {
  Lying();
  ForgetPeak();
  for (auto _ : state) Heights(Look(Lying()));
  state.counters["peak_MB"] = PeakMb();
}
BENCHMARK(PhotosToHeights)->Unit(benchmark::kMillisecond)->Iterations(3);

void CheckShot(benchmark::State& state) {
  Lying();
  ForgetPeak();
  for (auto _ : state) {
    const auto seen = LookAt(Decoded(Lying()[0], Colours::kGrey), "photo", Sheets());
    benchmark::DoNotOptimize(JudgeShot(seen, Sheets(), false, Calib::Embedded()));
  }
  state.counters["peak_MB"] = PeakMb();
}
BENCHMARK(CheckShot)->Unit(benchmark::kMillisecond)->Iterations(5);

void StandingToBow(benchmark::State& state) {
  const auto& files = Standing();
  ForgetPeak();
  for (auto _ : state) {
    std::vector<StandingPhoto> photos;
    for (std::size_t i = 0; i < static_cast<std::size_t>(state.range(0)); ++i) {
      StandingPhoto photo;
      photo.weakest = WeakestChannel(Decoded(files[i], Colours::kColour));
      photo.seen = LookAt(photo.weakest, "photo", Sheets());
      photos.push_back(std::move(photo));
    }
    StandingRequest request;
    request.held.rest = Rest::kUpright;
    const auto result = MeasureStanding(photos, TheBoard(), request, Sheets(), Calib::Embedded());
    LIEFLAT_CHECK(result, result ? "" : result.error().Text());
  }
  state.counters["peak_MB"] = PeakMb();
}
BENCHMARK(StandingToBow)->Arg(1)->Arg(3)->Unit(benchmark::kMillisecond)->Iterations(3);

}  // namespace
}  // namespace lieflat
