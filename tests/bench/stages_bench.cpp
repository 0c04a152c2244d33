// How long the stages take that a person waits for. Workloads:
//   ParseLog      a log of 1 000 notes and gauge entries, as a board gathers in years
//   FitSurface    25 heights over an evening's grid, one of the largest sets read by hand
//   Assess        the same board, all stages: surface, flatness, twenty parts, recommendation
//   AssessLot     1 000 board folders on the disk, assessments kept, as `lieflat lot` meets them
//   after the first time;
//                 and 50 of them worked out afresh

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "lieflat/assess/lot.h"
#include "lieflat/base/check.h"
#include "lieflat/record/folder.h"

#include "support/fixed_clock.h"
#include "support/memory_disk.h"
#include "support/simulated_board.h"

namespace lieflat {
namespace {

constexpr std::uint64_t kSeed = 20260302;
const char* const kNowhere = "/nowhere";

template <typename T>
T Must(Result<T> result) {
  LIEFLAT_CHECK(result, result ? "" : result.error().Text());
  return *std::move(result);
}

void Must(const Result<void>& result) {
  LIEFLAT_CHECK(result, result ? "" : result.error().Text());
}

Board BoardWithParts() {
  const Calib& calib = Calib::Embedded();
  Board board = Must(PresetBoard("atx", calib));
  board.need = "case";
  board.mass_g = Uncertain{655.0, 5.0};
  constexpr int kParts = 20, kColumns = 5;
  for (int i = 0; i < kParts; ++i) {
    const int row = i / kColumns;
    Part part;
    part.ref = fmt::format("U{}", i + 1);
    part.part_class = i % 4 == 0 ? "pbga" : "qfp";
    part.centre_mm = Eigen::Vector2d(35.0 + 55.0 * (i % kColumns), 35.0 + 55.0 * row);
    part.size_mm = Eigen::Vector2d(28.0, 28.0);
    board.parts.push_back(part);
  }
  return board;
}

Gauge GridReading(const Board& board) {
  Random random(kSeed);
  const auto shape = testing::RandomShape(board, /*bow_percent=*/0.8, random);
  return testing::TakeReadings(board, shape, Rest::kFree, testing::Stations::kGrid25, random);
}

BoardFolder::State GridState() {
  BoardFolder::State state;
  state.board = BoardWithParts();
  Entry entry;
  entry.id = "e1";
  entry.kind = "gauge";
  entry.gauge = GridReading(state.board);
  state.log.entries.push_back(entry);
  return state;
}

void ParseLog1000(benchmark::State& state) {
  const Json reading = ToJson(GridReading(BoardWithParts()));
  std::string text;
  for (int i = 0; i < 1000; ++i) {
    Json entry = {{"id", fmt::format("e{}", i + 1)}, {"kind", i % 10 == 0 ? "gauge" : "note"}};
    entry["at"] = "2026-03-02T20:00:00+01:00";
    entry["by_version"] = kVersion;
    entry["fitted"] = Json::array();
    i % 10 == 0 ? entry["reading"] = reading : entry["text"] = "kept dry, in its bag";
    text += DumpJsonLine(entry) + "\n";
  }
  for (auto _ : state) {
    auto log = Must(ParseLog(text, "log.jsonl"));
    benchmark::DoNotOptimize(log);
  }
  state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * state.iterations());
}
BENCHMARK(ParseLog1000)->Unit(benchmark::kMillisecond);

void FitSurface25(benchmark::State& state) {
  const Calib& calib = Calib::Embedded();
  const Board board = BoardWithParts();
  const auto samples = Must(ToSamples(GridReading(board), board, calib, std::nullopt, "grid"));
  for (auto _ : state) {
    auto surface = Must(FitSurface(board, samples, calib));
    benchmark::DoNotOptimize(surface);
  }
}
BENCHMARK(FitSurface25)->Unit(benchmark::kMillisecond);

void Assess25(benchmark::State& state) {
  const auto board_state = GridState();
  const testing::FixedClock clock;
  for (auto _ : state) {
    auto assessment = Must(Assess(board_state, Bench{}, Calib::Embedded(), clock.Now()));
    benchmark::DoNotOptimize(assessment);
  }
}
BENCHMARK(Assess25)->Unit(benchmark::kMillisecond);

void FillLot(Disk& disk, const Clock& clock, int boards) {
  const Board board = BoardWithParts();
  const Gauge gauge = GridReading(board);
  for (int i = 0; i < boards; ++i) {
    BoardFolder folder(disk, clock, Calib::Embedded(), fmt::format("/lot/{:04}", i));
    Must(folder.Create(board));
    Must(folder.Append([&](const BoardFolder::State&) -> Result<BoardFolder::NewEntry> {
      return BoardFolder::NewEntry{"gauge", {}, Json{{"reading", ToJson(gauge)}}, std::nullopt};
    }));
  }
}

void AssessLotKept(benchmark::State& state) {
  testing::MemoryDisk disk;
  const testing::FixedClock clock;
  FillLot(disk, clock, static_cast<int>(state.range(0)));
  (void)Must(AssessLot(disk, clock, Calib::Embedded(), "/lot", kNowhere));
  for (auto _ : state) {
    auto lot = Must(AssessLot(disk, clock, Calib::Embedded(), "/lot", kNowhere));
    benchmark::DoNotOptimize(lot);
  }
}
BENCHMARK(AssessLotKept)->Arg(1000)->Unit(benchmark::kMillisecond);

void AssessLotFresh(benchmark::State& state) {
  const testing::FixedClock clock;
  for (auto _ : state) {
    state.PauseTiming();
    testing::MemoryDisk disk;
    FillLot(disk, clock, static_cast<int>(state.range(0)));
    state.ResumeTiming();
    auto lot = Must(AssessLot(disk, clock, Calib::Embedded(), "/lot", kNowhere));
    benchmark::DoNotOptimize(lot);
  }
}
BENCHMARK(AssessLotFresh)->Arg(50)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace lieflat
