#include "app/web/http.h"

#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

// RFC 3986, 2.1: a percent sign and two hexadecimal digits in either case.
TEST(Http, PercentDecoding) {
  const std::pair<const char*, const char*> good[] = {{"", ""},
                                                      {"abc", "abc"},
                                                      {"crate-3%2F017", "crate-3/017"},
                                                      {"%e2%82%ac", "\xE2\x82\xAC"},
                                                      {"%41%5a%5A", "AZZ"},
                                                      {"a+b", "a+b"},
                                                      {"%25%32%46", "%2F"}};
  for (const auto& [sent, meant] : good) {
    const auto decoded = PercentDecoded(sent);
    ASSERT_TRUE(decoded) << sent;
    EXPECT_EQ(meant, *decoded);
  }
  for (const char* sent : {"%", "%4", "a%4", "%zz", "%4g", "%00", "%%41", "% 41", "%-1"})
    EXPECT_FALSE(PercentDecoded(sent)) << sent;
  EXPECT_FALSE(PercentDecoded(std::string("a\0b", 3))) << "a zero byte, written as it is";
}

TEST(Http, EncodingIsUndoneByDecoding) {
  std::string all;
  for (int byte = 1; byte < 256; ++byte) all += static_cast<char>(byte);
  const std::string encoded = PercentEncoded(all);
  EXPECT_EQ(std::string::npos, encoded.find_first_of("/\\?&#\"<> "));
  EXPECT_EQ(all, *PercentDecoded(encoded));
}

TEST(Http, QueryFields) {
  const auto fields = QueryFields("name=IMG%20x.jpg&pose=lying&&flag&e=");
  ASSERT_TRUE(fields);
  EXPECT_EQ("IMG x.jpg", FieldOf(*fields, "name"));
  EXPECT_EQ("lying", FieldOf(*fields, "pose"));
  EXPECT_EQ("", FieldOf(*fields, "flag"));
  EXPECT_EQ(4U, fields->size());
  EXPECT_FALSE(QueryFields("a=1&a=2"));
  EXPECT_FALSE(QueryFields("a=%2"));
}

TEST(Http, HeadersAreFoundInAnyCase) {
  Head head;
  head.headers = {{"HOST", "a"}, {"host", "b"}, {"Origin", "c"}};
  EXPECT_EQ((std::vector<std::string>{"a", "b"}), head.All("Host"));
  EXPECT_EQ("", head.One("Host"));
  EXPECT_EQ("c", head.One("oRiGiN"));
  EXPECT_EQ("", head.One("Orig"));
}

}  // namespace
}  // namespace lieflat::web
