#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "lieflat/report/text.h"

#include "report/words.h"

namespace lieflat {
namespace {

using testing::HasSubstr;

Lot SampleLot() {
  Lot lot;
  lot.name = "crate-3";
  LotRow over;
  over.folder = "017";
  over.label = "crate-3/017";
  over.works = "yes";
  over.need = "case";
  over.bow_verdict = "over";
  over.twist_verdict = "not-measured";
  over.recommended = "use-as-is";
  over.next_action = "Mount it on shims, then test it again, with \"care\"";
  over.bow_percent = 1.138;
  over.bow_percent95 = Interval{1.10, 1.18};
  over.bow_limit_percent = 0.75;
  LotRow broken;
  broken.folder = "018";
  broken.problem = Error{ErrorCode::kRefused, "018/board.json", "no such key", "run verify"};
  lot.rows = {over, broken};
  return lot;
}

TEST(LotText, ListsEveryBoardWithinTheTerminal) {
  const std::string text = LotText(SampleLot());
  EXPECT_THAT(text, HasSubstr("crate-3: 2 boards, most urgent first"));
  EXPECT_THAT(text, HasSubstr("1.14 (1.10 to 1.18) over"));
  EXPECT_THAT(text, HasSubstr("not measured yet"));
  EXPECT_THAT(text, HasSubstr("cannot be read"));
  EXPECT_THAT(text, HasSubstr("018/board.json: no such key"));
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) EXPECT_LE(report::Columns(line), 80) << line;
}

TEST(LotText, HoldsLongLabels) {
  Lot lot = SampleLot();
  lot.rows[0].label = std::string(130, 'l');
  std::istringstream in(LotText(lot));
  for (std::string line; std::getline(in, line);) EXPECT_LE(report::Columns(line), 80) << line;
}

// RFC 4180, 2.5 to 2.7: fields with commas, quotes or line ends are quoted, quotes doubled.
TEST(LotCsv, QuotesWhatMustBe) {
  EXPECT_EQ(
      LotCsv(SampleLot()),
      "folder,label,works,need,bow_percent,bow_low95_percent,bow_high95_percent,bow_limit_percent,"
      "bow_verdict,twist_percent,twist_low95_percent,twist_high95_percent,twist_verdict,"
      "recommended,"
      "next_action,due,problem\n"
      "017,crate-3/017,yes,case,1.1380,1.1000,1.1800,0.7500,over,,,,not-measured,use-as-is,"
      "\"Mount it on shims, then test it again, with \"\"care\"\"\",,\n"
      "018,,,,,,,,,,,,,,,,018/board.json: no such key (run verify)\n");
}

TEST(LotCsv, ReadsBackAsASheet) {
  const auto sheet = ParseSheet(LotCsv(SampleLot()), "lot.csv");
  ASSERT_TRUE(sheet) << sheet.error().Text();
  ASSERT_EQ(sheet->rows.size(), 2U);
  EXPECT_EQ(sheet->rows[0].cells[*sheet->Column("next_action")], SampleLot().rows[0].next_action);
}

}  // namespace
}  // namespace lieflat
