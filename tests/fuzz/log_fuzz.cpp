// Any bytes as log.jsonl: entries or an error, never a crash; every reading in it becomes samples
// or is refused.

#include <cstddef>
#include <cstdint>
#include <string>

#include "lieflat/readings/sample.h"
#include "lieflat/record/log.h"

#include "require.h"

namespace {

using lieflat::fuzz::Require;

const lieflat::Board& AnyBoard() {
  static const lieflat::Board board =
      *lieflat::RectangularBoard(305, 244, lieflat::Calib::Embedded());
  return board;
}

void CheckReading(const lieflat::Entry& entry) {
  const auto set =
      entry.photo
          ? lieflat::ToSamples(*entry.photo, AnyBoard(), lieflat::Calib::Embedded(), entry.id)
          : lieflat::ToSamples(
                *entry.gauge, AnyBoard(), lieflat::Calib::Embedded(), std::nullopt, entry.id);
  if (!set) {
    Require(lieflat::IsUtf8(set.error().Text()), "an error can be printed");
    return;
  }
  for (const lieflat::Sample& sample : set->samples) {
    Require(sample.sd_mm() >= 0.0, "a sample has an uncertainty");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(data, data + size);
  const auto log = lieflat::ParseLog(text, "log.jsonl");
  if (!log) {
    Require(log.error().where.starts_with("log.jsonl:"), "an error names the line");
    Require(lieflat::IsUtf8(log.error().Text()), "an error can be printed");
    return 0;
  }
  Require(log->Find(log->NextId()) == nullptr, "the next id is free");
  Require(log->whole_bytes <= text.size(), "no more bytes than there are");
  for (const lieflat::Entry& entry : log->entries) {
    if (entry.held() != nullptr) CheckReading(entry);
  }
  return 0;
}
