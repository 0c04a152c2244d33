#include "lieflat/lasting/temperature_cap.h"

#include <gtest/gtest.h>

namespace lieflat {
namespace {

Board BoardWith(const std::vector<std::string>& classes) {
  Board board = RectangularBoard(300, 240, Calib::Embedded()).value();
  for (const auto& name : classes) {
    Part part;
    part.ref = "X" + std::to_string(board.parts.size() + 1);
    part.part_class = name;
    board.parts.push_back(part);
  }
  return board;
}

TemperatureCap Cap(const Board& board) { return CapOf(board, Calib::Embedded()); }

// The most delicate part decides and is named (category temperatures and usual advice, see
// calib/part_classes.json): a battery before a label before a can capacitor.
TEST(TemperatureCap, TheMostDelicatePartDecides) {
  const auto cap = Cap(BoardWith({"electrolytic", "label", "battery", "pbga"}));
  EXPECT_EQ(cap.cap_c, 45.0);
  EXPECT_EQ(cap.set_by, "X3");
  ASSERT_EQ(cap.delicate.size(), 3U);
  EXPECT_EQ(cap.delicate[0].first, "X3");
  EXPECT_EQ(cap.delicate[1].first, "X2");
  EXPECT_FALSE(cap.may_bake);
}

// Of a board with parts that all stand more, 70 C is the most.
TEST(TemperatureCap, PopulatedBoards) {
  EXPECT_EQ(Cap(BoardWith({"electrolytic"})).cap_c, 70.0);
  EXPECT_EQ(Cap(BoardWith({})).set_by, "the parts on it")
      << "none is on record, but it carries some";
}

TEST(TemperatureCap, APartsOwnFigureGoesFirst) {
  Board board = BoardWith({"electrolytic"});
  board.parts[0].max_temperature_c = 60.0;
  EXPECT_EQ(Cap(board).cap_c, 60.0);
}

// Bare boards may be baked near the transition; paper laminate softens sooner.
TEST(TemperatureCap, BareBoards) {
  Board board = BoardWith({});
  board.populated = false;
  EXPECT_TRUE(Cap(board).may_bake);
  EXPECT_EQ(Cap(board).cap_c, 125.0);
  ASSERT_TRUE(SetLaminate(board, "fr2", Calib::Embedded()));
  EXPECT_EQ(Cap(board).cap_c, 90.0);
}

}  // namespace
}  // namespace lieflat
