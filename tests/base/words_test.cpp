#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "lieflat/base/base64.h"
#include "lieflat/base/text.h"

namespace lieflat {
namespace {

const std::vector<std::string> kKnown = {"thickness_mm", "mass_g", "label", "AB", "fr4-tg130"};

TEST(Words, NearestForgivesSlips) {
  EXPECT_EQ(Nearest("thicknes_mm", kKnown), "thickness_mm");
  EXPECT_EQ(Nearest("thickness", kKnown), "thickness_mm");  // a third of 9 letters may be wrong
  EXPECT_EQ(Nearest("Mass_G", kKnown), "mass_g");
  EXPECT_EQ(Nearest("lable", kKnown), "label");  // a swap counts once
  EXPECT_EQ(Nearest("fr4tg130", kKnown), "fr4-tg130");
}

TEST(Words, NearestDoesNotGuessWildly) {
  EXPECT_EQ(Nearest("colour", kKnown), std::nullopt);
  EXPECT_EQ(Nearest("xy", kKnown), std::nullopt);  // nothing in common with AB
  EXPECT_EQ(Nearest("", kKnown), std::nullopt);
  EXPECT_EQ(Nearest(std::string(100000, 'a'), kKnown), std::nullopt);
  EXPECT_EQ(Nearest("label", {}), std::nullopt);
}

TEST(Words, SplitAndJoin) {
  EXPECT_EQ(SplitWords(" pbga, qfp ,,slot"), (std::vector<std::string>{"pbga", "qfp", "slot"}));
  EXPECT_TRUE(SplitWords(" , ").empty());
  EXPECT_EQ(Join({"a", "b"}, ", "), "a, b");
  EXPECT_EQ(Join({}, ", "), "");
}

// Well-formed byte sequences: Unicode 15.0, table 3-7.
TEST(Words, WellFormedUtf8IsTold) {
  for (const char* good : {"",
                           "plain",
                           "\xC2\xB5m",
                           "\xE2\x88\x92",
                           "\xF0\x9F\x98\x80",
                           "\xED\x9F\xBF",
                           "\xF4\x8F\xBF\xBF"}) {
    EXPECT_TRUE(IsUtf8(good)) << Quoted(good);
  }
  for (const char* bad : {"\x80",
                          "\xC0\x80",
                          "\xC2",
                          "\xE0\x80\x80",
                          "\xED\xA0\x80",
                          "\xE2\x88",
                          "\xF4\x90\x80\x80",
                          "\xF8\x88\x80\x80\x80",
                          "\xB5m"}) {
    EXPECT_FALSE(IsUtf8(bad)) << Quoted(bad);
  }
}

TEST(Words, QuotedTextIsSafeToPrint) {
  EXPECT_EQ(Quoted("a\tb\x7F"), "\"a\\x09b\\x7F\"");
  EXPECT_EQ(Quoted("\xC2\xB5\xB5"), "\"\xC2\xB5\\xB5\"");
  EXPECT_EQ(Quoted("abcdef", 3), "\"abc...\"");
  EXPECT_EQ(Quoted("abc", 3), "\"abc\"");
}

// The vectors of RFC 4648, section 10.
TEST(Words, Base64AsTheRfcHasIt) {
  const std::vector<std::pair<std::string, std::string>> rfc = {{"", ""},
                                                                {"f", "Zg=="},
                                                                {"fo", "Zm8="},
                                                                {"foo", "Zm9v"},
                                                                {"foob", "Zm9vYg=="},
                                                                {"fooba", "Zm9vYmE="},
                                                                {"foobar", "Zm9vYmFy"}};
  for (const auto& [bytes, text] : rfc) EXPECT_EQ(Base64(bytes), text);
  EXPECT_EQ(Base64("\xFF\xFE"), "//4=");
}

}  // namespace
}  // namespace lieflat
