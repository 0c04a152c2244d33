#include "app/web/route.h"

#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

Result<Route> Of(const std::string& method, const std::string& target) {
  Head head;
  head.method = method;
  head.target = target;
  return RouteOf(head);
}

TEST(Route, EveryAddress) {
  struct Row {
    const char *method, *target;
    Place place;
    const char *board, *name;
  };
  const Row rows[] = {
      {"GET", "/", Place::kStatic, "", "index.html"},
      {"HEAD", "/page.js?x=1", Place::kStatic, "", "page.js"},
      {"GET", "/drawing.css", Place::kDrawingStyle, "", ""},
      {"GET", "/api/session", Place::kSession, "", ""},
      {"GET", "/api/lot?kept=1", Place::kLot, "", ""},
      {"POST", "/api/boards", Place::kBoards, "", ""},
      {"DELETE", "/api/jobs/17", Place::kJob, "", "17"},
      {"GET", "/api/boards/017", Place::kBoard, "017", ""},
      {"GET", "/api/boards/.", Place::kBoard, ".", ""},
      {"GET", "/api/boards/my%20board/assessment", Place::kAssessment, "my board", "assessment"},
      {"POST", "/api/boards/017/live", Place::kLive, "017", "live"},
      {"POST", "/api/boards/017/run", Place::kRun, "017", "run"},
      {"GET", "/api/boards/017/edges.svg?edge=AB", Place::kExport, "017", "edges.svg"},
      {"POST", "/api/boards/017/photos?name=a&pose=lying", Place::kPhotos, "017", "photos"},
      {"GET", "/api/boards/017/photos/a.jpg", Place::kPhoto, "017", "a.jpg"},
  };
  for (const Row& row : rows) {
    const auto route = Of(row.method, row.target);
    ASSERT_TRUE(route) << row.target;
    EXPECT_EQ(row.place, route->place) << row.target;
    EXPECT_EQ(row.board, route->board) << row.target;
    EXPECT_EQ(row.name, route->name) << row.target;
  }
}

TEST(Route, NothingElseExists) {
  for (const char* target : {"",
                             "x",
                             "*",
                             "http://a/",
                             "/..",
                             "/.",
                             "/.hidden",
                             "/a/b",
                             "//",

                             "/api",
                             "/api/",
                             "/api/session/",
                             "/api/boards/",
                             "/api/boards/..",
                             "/api/boards/%2e%2e",
                             "/api/boards/a%2Fb",
                             "/api/boards/a%5Cb",
                             "/api/boards/a/",
                             "/api/boards/a/photos/",
                             "/api/boards/a/photos/..",
                             "/api/boards/a/photos/b/c",
                             "/api/boards/a/photos/%2e",
                             "/api/boards/a/board.json",
                             "/api/boards/a%00",
                             "/api/boards/%ff",
                             "/api/boards/a%0a",
                             "/api/jobs/",
                             "/api/jobs/1x",
                             "/api/jobs/-1",
                             "/api/jobs/99999999999999",
                             "/api/session?a=1&a=2",
                             "/api/session?%zz"}) {
    const auto route = Of("GET", target);
    ASSERT_FALSE(route) << target;
    EXPECT_EQ(ErrorCode::kRefused, route.error().code) << target;
  }
  EXPECT_FALSE(Of("GET", "/" + std::string(5000, 'a')));
}

TEST(Route, MethodsBelongToAddresses) {
  for (const auto& [method, target] : {std::pair("POST", "/"),
                                       {"PUT", "/api/lot"},
                                       {"GET", "/api/boards"},
                                       {"GET", "/api/pair"},
                                       {"POST", "/api/boards/a"},
                                       {"HEAD", "/api/lot"},
                                       {"DELETE", "/api/boards/a/photos/b.jpg"},
                                       {"", "/api/lot"},
                                       {"GET HEAD", "/"}}) {
    const auto route = Of(method, target);
    ASSERT_FALSE(route) << method << target;
    EXPECT_EQ(ErrorCode::kBadUse, route.error().code) << method << target;
  }
}

TEST(Route, SafeNames) {
  for (const char* name : {"017", "my board", "b\xC3\xBCgel", "a.b", "a-b", "A_1"})
    EXPECT_TRUE(IsSafeName(name)) << name;
  for (const char* name : {"", ".", "..", ".a", "-a", "a/b", "a\\b", "a\nb", "\x7f", "\xff"})
    EXPECT_FALSE(IsSafeName(name)) << name;
  EXPECT_FALSE(IsSafeName(std::string("a\0b", 3)));
  EXPECT_FALSE(IsSafeName(std::string(121, 'a')));
}

}  // namespace
}  // namespace lieflat::web
