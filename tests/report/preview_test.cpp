// What a preview says on a terminal and shows as a picture.

#include "lieflat/report/preview.h"

#include <sstream>

#include <gtest/gtest.h>

#include "press/pressed_boards.h"
#include "report/words.h"

namespace lieflat {
namespace {

using namespace testing;

Preview PreviewOf(const PressWay& way) {
  Preview preview;
  Board board = BoardWithParts();
  board.label = "crate-3/017";
  preview.basis.board = board;
  preview.basis.parts = RateParts(board, SurfaceOf(board, Warped(board)), true, 2026, Numbers());
  preview.way = way;
  PressOptions options = Coarse();
  for (const PartRating& part : preview.basis.parts) options.limits.push_back(LimitOf(part));
  options.points_mm = {{10, 10}};
  preview.pressing = Press(board, Warped(board), way, options);
  preview.cautions = {"Glass can break under a load."};
  return preview;
}

const std::vector<PressWay> kWays = {
    BetweenPlates{1.0, 0.0},
    BetweenPlates{std::nullopt, 20.0},
    UnderWeights{{{1.25, {150, 120}, {80, 60}, false}, {1.0, {100, 60}, {60, 60}, true}}},
    UnderBars{{Edge::kAB, Edge::kCD}, 15.0},
    OnStandOffs{{{2, 1.5}, {5, 2.0}}}};

TEST(PreviewText, IsAPageOfEightyColumns) {
  for (const PressWay& way : kWays) {
    SCOPED_TRACE(Name(way));
    const std::string text = PreviewText(PreviewOf(way));
    std::istringstream lines(text);
    int count = 0;
    for (std::string line; std::getline(lines, line); ++count)
      EXPECT_LE(report::Columns(line), 80) << line;
    EXPECT_LE(count, 66);
    EXPECT_NE(text.find("crate-3/017: "), std::string::npos);
    EXPECT_NE(text.find("\nFlat? "), std::string::npos);
    EXPECT_NE(text.find("\nWorst part "), std::string::npos);
  }
}

TEST(PreviewText, SaysOfEachWayWhatItIs) {
  const auto first_line = [](const PressWay& way) {
    const std::string text = PreviewText(PreviewOf(way));
    return text.substr(0, text.find('\n'));
  };
  EXPECT_EQ(first_line(kWays[0]), "crate-3/017: between plates at 1 mm; component side up");
  EXPECT_EQ(first_line(kWays[1]),
            "crate-3/017: under a plate with 20 N (2.0 kg); component side up");
  EXPECT_EQ(first_line(kWays[3]),
            "crate-3/017: bars along AB and CD, 15 N (1.5 kg) each; component side up");
  EXPECT_EQ(first_line(kWays[4]),
            "crate-3/017: screwed to stand-offs, shims 1.5 mm at hole 2, 2 mm at hole 5;");
}

TEST(PreviewText, ScrewsComeWithTheRecipe) {
  const std::string text = PreviewText(PreviewOf(kWays[4]));
  for (const char* step : {"bare stand-offs", "Measure the gap", "washers", "half a turn"})
    EXPECT_NE(text.find(step), std::string::npos) << step;
  EXPECT_EQ(PreviewText(PreviewOf(kWays[2])).find("washers"), std::string::npos);
}

TEST(PreviewSvg, ShowsLoadsAndWhereTheyAreCarried) {
  const std::string weights = PreviewSvg(PreviewOf(kWays[2]));
  EXPECT_NE(weights.find("xmlns=\"http://www.w3.org/2000/svg\""), std::string::npos);
  EXPECT_NE(weights.find(">1.25 kg</text>"), std::string::npos);
  EXPECT_NE(weights.find("class=\"carries\""), std::string::npos);
  const std::string screws = PreviewSvg(PreviewOf(kWays[4]));
  EXPECT_NE(screws.find("class=\"presses\""), std::string::npos);
  EXPECT_EQ(screws.find("class=\"load\""), std::string::npos);
}

}  // namespace
}  // namespace lieflat
