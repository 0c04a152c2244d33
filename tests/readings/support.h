#pragma once
// Boards and sheets for the tests of readings.

#include <string>

#include <gtest/gtest.h>

#include "lieflat/readings/sample.h"

namespace lieflat::testing {

/// A populated 305 x 244 mm board, mixed mounting.
inline Board Board305() {
  auto board = RectangularBoard(305, 244, Calib::Embedded());
  if (!board) {
    throw std::runtime_error(board.error().Text());
  }
  return *board;
}

inline Result<std::vector<GaugeRow>> Rows(const std::string& text,
                                          Rest rest,
                                          Side down = Side::kSolder,
                                          bool as_seen = false) {
  const auto sheet = ParseSheet(text, "up.csv");
  if (!sheet) {
    return sheet.error();
  }
  return RowsFromSheet(*sheet, rest, down, as_seen, Board305());
}

inline Result<SampleSet> Samples(const Gauge& gauge) {
  return ToSamples(gauge, Board305(), Calib::Embedded(), std::nullopt, "up.csv");
}

inline GaugeRow UprightRow(Edge edge, Side side, std::optional<double> along_mm, double gap_mm) {
  GaugeRow row;
  row.edge = edge;
  row.side = side;
  row.along_mm = along_mm;
  row.value_mm = gap_mm;
  return row;
}

inline GaugeRow HeightRow(const std::string& station, double height_mm) {
  GaugeRow row;
  row.station = station;
  row.value_mm = height_mm;
  return row;
}

}  // namespace lieflat::testing
