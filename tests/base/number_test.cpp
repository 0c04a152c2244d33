#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

struct Accepted {
  const char* text;
  bool comma_is_decimal;
  double millimetres;
};

// An inch is 25.4 mm exactly (international yard and pound agreement, 1959), a mil a thousandth of
// it.
TEST(Number, LengthsAreRead) {
  const std::vector<Accepted> cases = {
      {"1.57", false, 1.57},
      {" 1.57 mm ", false, 1.57},
      {"0,85", true, 0.85},
      {"0,85mm", true, 0.85},
      {"12mil", false, 0.3048},
      {"12 MIL", false, 0.3048},
      {"0.5in", false, 12.7},
      {"0.5\"", false, 12.7},
      {"2cm", false, 20.0},
      {".5", false, 0.5},
      {"5.", false, 5.0},
      {"+0.3", false, 0.3},
      {"-0.3", false, -0.3},
      {"\xE2\x88\x92"
       "0.3mm",
       false,
       -0.3},
      {"1e-1", false, 0.1},
      {"0", false, 0.0},
  };
  constexpr double kTolMm = 1e-14;  // one multiplication by an inch
  for (const Accepted& c : cases) {
    SCOPED_TRACE(c.text);
    const auto length = ParseLength(c.text, "here", c.comma_is_decimal);
    ASSERT_TRUE(length) << length.error().Text();
    EXPECT_NEAR(*length, c.millimetres, kTolMm);
  }
}

struct Refusal {
  const char* text;
  bool comma_is_decimal;
  const char* error;
};

TEST(Number, LengthsAreRefusedByName) {
  const std::vector<Refusal> cases = {
      {"", false, "here: empty, where a length is expected (write one)"},
      {"   ", true, "here: empty, where a length is expected (write one)"},
      {"1,234",
       false,
       "here: \"1,234\" has a comma, which may mark decimals or thousands (write a point as the "
       "decimal mark)"},
      {"1.234,5",
       true,
       "here: \"1.234,5\" has more than one decimal mark (write one mark and no thousands "
       "separator)"},
      {"1,2,3",
       true,
       "here: \"1,2,3\" has more than one decimal mark (write one mark and no thousands "
       "separator)"},
      {"nan",
       false,
       "here: \"nan\" is not a length (write it like 1.57, 12mil or 0.5in; units are mm, cm, mil, "
       "in or \")"},
      {"-inf",
       false,
       "here: \"-inf\" has a unit that is not known here (write it like 1.57, 12mil or 0.5in; "
       "units are mm, cm, mil, in or \")"},
      {"12 furlong",
       false,
       "here: \"12 furlong\" has a unit that is not known here (write it like 1.57, 12mil or "
       "0.5in; units are mm, cm, mil, in or \")"},
      {"0x1p3", false, "here: \"0x1p3\" is not a length (write it like 1.57 or -0.3)"},
      {"1 234", false, "here: \"1 234\" is not a length (write it like 1.57 or -0.3)"},
      {"1.2.3", false, "here: \"1.2.3\" is not a length (write it like 1.57 or -0.3)"},
      {"--1", false, "here: \"--1\" is not a length (write it like 1.57 or -0.3)"},
      {"+-1", false, "here: \"+-1\" is not a length (write it like 1.57 or -0.3)"},
      {"-", false, "here: \"-\" is not a length (write it like 1.57 or -0.3)"},
      {".", false, "here: \".\" is not a length (write it like 1.57 or -0.3)"},
      {"1e",
       false,
       "here: \"1e\" has a unit that is not known here (write it like 1.57, 12mil or 0.5in; units "
       "are mm, cm, mil, in or \")"},
      {"1e400",
       false,
       "here: \"1e400\" is too large or too small for a number (check the exponent)"},
      {"1e308in",
       false,
       "here: \"1e308in\" is too large or too small for a number (check the exponent)"},
      {"1\x01", false, "here: \"1\\x01\" is not a length (write it like 1.57 or -0.3)"},
      {"1\xFF", false, "here: \"1\\xFF\" is not a length (write it like 1.57 or -0.3)"},
  };
  for (const Refusal& c : cases) {
    SCOPED_TRACE(c.text);
    const auto length = ParseLength(c.text, "here", c.comma_is_decimal);
    ASSERT_FALSE(length);
    EXPECT_EQ(length.error().code, ErrorCode::kRefused);
    EXPECT_EQ(length.error().Text(), c.error);
  }
}

TEST(Number, PlainNumbersTakeNoUnit) {
  const auto number = ParseNumber("1,5", "load", true);
  ASSERT_TRUE(number);
  EXPECT_EQ(*number, 1.5);
  const auto refused = ParseNumber("5mm", "load", false);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().Text(), "load: \"5mm\" is not a number (write it like 1.57 or -0.3)");
}

TEST(Number, SizesAndPointsArePairs) {
  struct Case {
    const char* text;
    bool size;
    double first, second;
  };
  const std::vector<Case> cases = {
      {"305x244", true, 305, 244},
      {"305 X 244 mm", true, 305, 244},
      {"305,5x244", true, 305.5, 244},
      {"12x9.6in", true, 304.8, 243.84},  // a unit at the end is meant for both
      {"12inx244mm", true, 304.8, 244},
      {"305\xC3\x97"
       "244",
       true,
       305,
       244},
      {"120,140", false, 120, 140},
      {"120.5, -140", false, 120.5, -140},
      {"120,5;140,25", false, 120.5, 140.25},
  };
  constexpr double kTolMm = 1e-12;  // one multiplication of values up to 400
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    const auto pair = c.size ? ParseSize(c.text, "--size") : ParsePoint(c.text, "--at");
    ASSERT_TRUE(pair) << pair.error().Text();
    EXPECT_NEAR(pair->first, c.first, kTolMm);
    EXPECT_NEAR(pair->second, c.second, kTolMm);
  }
}

TEST(Number, MalformedPairsAreRefused) {
  EXPECT_EQ(ParseSize("305", "--size").error().Text(),
            "--size: \"305\" is not two lengths (write length x width, like 305x244)");
  EXPECT_EQ(ParseSize("305x", "--size").error().Text(),
            "--size: empty, where a length is expected (write one)");
  EXPECT_EQ(ParseSize("305x244x2", "--size").error().Text(),
            "--size: \"244x2\" is not a length (write it like 1.57 or -0.3)");
  EXPECT_EQ(ParsePoint("120", "--at").error().Text(),
            "--at: \"120\" is not two lengths x,y (write it like 120,140)");
  EXPECT_EQ(ParsePoint("1,2,3", "--at").error().Text(),
            "--at: \"1,2,3\" is not two lengths x,y (write it like 120,140)");
}

}  // namespace
}  // namespace lieflat
