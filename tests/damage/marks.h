#pragma once
// A board and marks on it, for the tests of damage.

#include "lieflat/damage/effect.h"

namespace lieflat::testing {

/// 300 x 240 mm; U1 a ball-grid chip 35 x 35 at 120, 140; C1 a ceramic chip 3.2 x 1.6 x 1.0 at 200,
/// 60; R1 a chip resistor; U2 a leaded chip; J1 a connector.
inline Board DamagedBoard(int acceptance_class = 2, bool populated = true) {
  Board board = RectangularBoard(300, 240, Calib::Embedded()).value();
  board.acceptance_class = acceptance_class;
  board.populated = populated;
  const auto add = [&](const char* ref, const char* kind, double x, double y, double l, double w) {
    Part part;
    part.ref = ref;
    part.part_class = kind;
    part.centre_mm = {x, y};
    part.size_mm = {l, w};
    board.parts.push_back(part);
  };
  add("U1", "pbga", 120, 140, 35, 35);
  add("C1", "mlcc", 200, 60, 3.2, 1.6);
  add("R1", "chip-resistor", 40, 40, 3.2, 1.6);
  add("U2", "qfp", 60, 180, 28, 28);
  add("J1", "connector", 250, 200, 50, 10);
  board.parts[1].height_mm = 1.0;
  return board;
}

inline Mark MarkOf(const std::string& kind,
                   const std::map<std::string, double>& measures = {},
                   const std::vector<std::string>& aspects = {},
                   const std::string& near = "",
                   const std::string& depth = "") {
  Mark mark;
  mark.id = "e1";
  mark.kind = kind;
  mark.at_mm = {{150.0, 120.0}};
  for (const auto& [name, value] : measures) mark.measures[name] = {value, 0.0};
  mark.aspects = aspects;
  if (!near.empty()) mark.near = {near};
  mark.depth = depth;
  return mark;
}

}  // namespace lieflat::testing
