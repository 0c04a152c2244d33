#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

using Cells = std::vector<std::string>;

TEST(Sheet, UsualFormIsRead) {
  const auto sheet = ParseSheet(
      "\xEF\xBB\xBF# my board\r\n\r\nstation , go_mm,no_go_mm\r\nC, 0.85 ,0.9\r\n\r\n"
      "# a remark\r\n\"AB\",,\"1,2\"\r\n,,\r\n",
      "up.csv");
  ASSERT_TRUE(sheet) << sheet.error().Text();
  EXPECT_EQ(sheet->separator, ',');
  EXPECT_EQ(sheet->columns, (Cells{"station", "go_mm", "no_go_mm"}));
  ASSERT_EQ(sheet->rows.size(), 2U);
  EXPECT_EQ(sheet->rows[0].line, 4);
  EXPECT_EQ(sheet->rows[0].cells, (Cells{"C", "0.85", "0.9"}));
  EXPECT_EQ(sheet->rows[1].line, 7);
  EXPECT_EQ(sheet->rows[1].cells, (Cells{"AB", "", "1,2"}));
  EXPECT_EQ(sheet->Column("GO_MM"), 1U);
  EXPECT_EQ(sheet->Column("height_mm"), std::nullopt);
  EXPECT_EQ(sheet->Where(sheet->rows[1], "go_mm"), "up.csv:7, column go_mm");
}

TEST(Sheet, SeparatorIsTakenFromTheHeader) {
  struct Case {
    const char* text;
    char separator;
    Cells cells;
  };
  const std::vector<Case> cases = {
      {"a;b\n1,5;2\n", ';', {"1,5", "2"}},
      {"a\tb\n1,5\t2", '\t', {"1,5", "2"}},
      {"a\tb\n\t2", '\t', {"", "2"}},
      {"a,b\r1.5,2\r", ',', {"1.5", "2"}},    // lines that end with CR alone
      {"\"a;x\",b\n1,2\n", ',', {"1", "2"}},  // a quoted separator separates nothing
      {"a\n7\n", ',', {"7"}},
      {"a,b\n0.5\",\"say \"\"in\"\"\"\n", ',', {"0.5\"", "say \"in\""}},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    const auto sheet = ParseSheet(c.text, "s");
    ASSERT_TRUE(sheet) << sheet.error().Text();
    EXPECT_EQ(sheet->separator, c.separator);
    ASSERT_EQ(sheet->rows.size(), 1U);
    EXPECT_EQ(sheet->rows[0].cells, c.cells);
  }
}

TEST(Sheet, FaultsAreNamed) {
  using namespace std::string_literals;
  struct Case {
    std::string text;
    const char* error;
  };
  const std::vector<Case> cases = {
      {"", "up.csv: empty (the first line names the columns, the next ones hold the rows)"},
      {"# nothing\n\n",
       "up.csv: empty (the first line names the columns, the next ones hold the rows)"},
      {"station,go_mm\n", "up.csv: no rows under the header (add a row for each reading)"},
      {"station,go_mm\nC\n",
       "up.csv:2: 1 cells where the header has 2 columns (leave a missing value empty; with "
       "decimal commas separate by ;)"},
      {"station,go_mm\nC,0,85\n",
       "up.csv:2: 3 cells where the header has 2 columns (leave a missing value empty; with "
       "decimal commas separate by ;)"},
      {"station;go_mm\nC;1;2\n",
       "up.csv:2: 3 cells where the header has 2 columns (leave a missing value empty)"},
      {"station,go_mm\n\"C,1\n",
       "up.csv:2: a quote is opened and not closed (close it on its line)"},
      {"station,go_mm\n\"C\"x,1\n",
       "up.csv:2: \"x\" stands after a closing quote (double a quote that belongs to the text)"},
      {"station,Station\nC,1\n",
       "up.csv:1: two columns have the name \"Station\" (give each column a name of its own)"},
      {"station,,u\nC,1,2\n",
       "up.csv:1: column 2 has no name (name it in the first line, or take out the extra "
       "separator)"},
      {"a,b\n1,\0002\n"s,
       "up.csv: holds a zero byte, so it is no plain text (save the sheet as CSV in UTF-8)"},
      {"a,b\n1,\xB5\n", "up.csv:2: the line is not UTF-8 text (save the sheet as CSV in UTF-8)"},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    const auto sheet = ParseSheet(c.text, "up.csv");
    ASSERT_FALSE(sheet);
    EXPECT_EQ(sheet.error().code, ErrorCode::kRefused);
    EXPECT_EQ(sheet.error().Text(), c.error);
  }
}

TEST(Sheet, TooLongIsRefused) {
  std::string text = "a\n";
  for (int i = 0; i < 20000; ++i) text += "1\n";
  EXPECT_TRUE(ParseSheet(text, "s"));
  text += "1\n";
  EXPECT_EQ(ParseSheet(text, "s").error().Text(),
            "s:20002: more than 20000 rows (is it the right file?)");
  EXPECT_EQ(ParseSheet(std::string((8U << 20U) + 1, ' '), "s").error().Text(),
            "s: longer than 8 MiB (is it the right file?)");
}

}  // namespace
}  // namespace lieflat
