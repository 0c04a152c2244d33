#include "app/web/admission.h"

#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

const DoorNames kNames{{"127.0.0.1:4170", "localhost:4170"}, "lieflat-4170"};
const DoorNames kLanNames{{"192.0.2.5:4170"}, "lieflat-4170"};

Head Get(const std::string& target, std::vector<Header> more = {}) {
  Head head;
  head.method = "GET";
  head.target = target;
  head.headers = {{"Host", "127.0.0.1:4170"}};
  head.headers.insert(head.headers.end(), more.begin(), more.end());
  return head;
}

Head Post(const std::string& target, std::vector<Header> more) {
  Head head = Get(target, std::move(more));
  head.method = "POST";
  return head;
}

int StatusOf(const Head& head, const DoorNames& names = kNames, const Pairing& pairing = {}) {
  const Admission admission = Admit(head, names, pairing);
  return admission.in ? 200 : admission.refusal.status;
}

TEST(Admission, HostIsOneOfTheDoorsNames) {
  EXPECT_EQ(200, StatusOf(Get("/")));
  for (const char* host : {"127.0.0.1",
                           "127.0.0.1:80",
                           "LOCALHOST:4170",
                           "evil:4170",
                           "127.0.0.1:4170 ",
                           "127.0.0.1:4170, evil",
                           ""}) {
    Head head = Get("/");
    head.headers[0].second = host;
    EXPECT_EQ(403, StatusOf(head)) << host;
  }
  EXPECT_EQ(403, StatusOf(Get("/", {{"host", "127.0.0.1:4170"}})));
  Head none = Get("/");
  none.headers.clear();
  EXPECT_EQ(403, StatusOf(none));
}

TEST(Admission, OriginOnEverythingThatChanges) {
  const std::vector<Header> body{{"Content-Type", "application/json"}, {"Content-Length", "2"}};
  const auto with = [&](std::vector<Header> more) {
    more.insert(more.end(), body.begin(), body.end());
    return Post("/api/boards/017/run", more);
  };
  EXPECT_EQ(200, StatusOf(with({{"Origin", "http://127.0.0.1:4170"}})));
  EXPECT_EQ(403, StatusOf(with({})));
  EXPECT_EQ(403, StatusOf(with({{"Origin", "null"}})));
  EXPECT_EQ(403, StatusOf(with({{"Origin", "https://127.0.0.1:4170"}})));
  EXPECT_EQ(403,
            StatusOf(with({{"Origin", "http://localhost:4170"}})));  // another name than in Host
  EXPECT_EQ(403, StatusOf(with({{"Origin", "http://127.0.0.1:4170"}, {"Origin", "http://evil"}})));
  EXPECT_EQ(
      403, StatusOf(with({{"Origin", "http://127.0.0.1:4170"}, {"Sec-Fetch-Site", "cross-site"}})));
  EXPECT_EQ(
      200,
      StatusOf(with({{"Origin", "http://127.0.0.1:4170"}, {"Sec-Fetch-Site", "same-origin"}})));
  EXPECT_EQ(403, StatusOf(Get("/api/lot", {{"Origin", "http://evil"}})));
  EXPECT_EQ(403, StatusOf(Get("/api/lot", {{"Sec-Fetch-Site", "same-site"}})));
  EXPECT_EQ(200, StatusOf(Get("/", {{"Sec-Fetch-Site", "none"}})));
}

TEST(Admission, BodiesBeforeTheyAreRead) {
  const auto with =
      [](const std::string& target, const std::string& type, std::vector<Header> more) {
        more.insert(more.end(), {{"Origin", "http://127.0.0.1:4170"}, {"Content-Type", type}});
        return StatusOf(Post(target, more));
      };
  const std::string run = "/api/boards/017/run", photos = "/api/boards/017/photos",
                    json = "application/json";
  EXPECT_EQ(200, with(run, json, {{"Content-Length", "1048576"}}));
  EXPECT_EQ(413, with(run, json, {{"Content-Length", "1048577"}}));
  EXPECT_EQ(200, with(run, "application/json; charset=utf-8", {{"Content-Length", "2"}}));
  EXPECT_EQ(415, with(run, "text/plain", {{"Content-Length", "2"}}));
  EXPECT_EQ(415, with(run, "image/jpeg", {{"Content-Length", "2"}}));
  EXPECT_EQ(411, with(run, json, {}));
  EXPECT_EQ(411, with(run, json, {{"Content-Length", "2"}, {"Transfer-Encoding", "chunked"}}));
  EXPECT_EQ(400, with(run, json, {{"Content-Length", "2"}, {"Content-Length", "2"}}));
  for (const char* length : {"-1", "+2", "0x10", "2 ", "", "99999999999999999999", "1e3"})
    EXPECT_EQ(400, with(run, json, {{"Content-Length", length}})) << length;
  EXPECT_EQ(200, with(photos, "image/heic", {{"Content-Length", "41943040"}}));
  EXPECT_EQ(413, with(photos, "image/heic", {{"Content-Length", "41943041"}}));
  EXPECT_EQ(413, StatusOf(Get("/api/lot", {{"Content-Length", "1"}})));
}

TEST(Admission, TheNetworksDoorIsForThePaired) {
  Pairing pairing;
  const std::string cookie = *pairing.Redeem(pairing.Offer());
  const auto from = [&](Head head, const std::string& cookies) {
    head.door = Door::kLan;
    head.headers[0].second = "192.0.2.5:4170";
    for (auto& [name, value] : head.headers) {
      if (name == "Origin") value = "http://192.0.2.5:4170";
    }
    if (!cookies.empty()) head.headers.emplace_back("Cookie", cookies);
    return StatusOf(head, kLanNames, pairing);
  };
  const Head pair =
      Post("/api/pair",
           {{"Origin", ""}, {"Content-Type", "application/json"}, {"Content-Length", "60"}});
  for (const char* open : {"/", "/page.js", "/page.css"})
    EXPECT_EQ(200, from(Get(open), "")) << open;
  EXPECT_EQ(200, from(pair, ""));
  for (const char* closed : {"/api/session",
                             "/api/lot",
                             "/api/boards/017",
                             "/drawing.css",
                             "/api/nothing",
                             "/api/boards/017/photos/a.jpg",
                             "/api/pairing",
                             "/api/jobs/1"}) {
    EXPECT_EQ(403, from(Get(closed), "")) << closed;
    EXPECT_EQ(403, from(Get(closed), "lieflat-4170=" + FreshSecret())) << closed;
    EXPECT_EQ(403, from(Get(closed), "lieflat-4170=")) << closed;
    EXPECT_EQ(403, from(Get(closed), "lieflat-4171=" + cookie)) << closed;
    EXPECT_EQ(403, from(Get(closed), "lieflat-4170=" + cookie + "; lieflat-4170=" + cookie))
        << closed;
  }
  EXPECT_EQ(200, from(Get("/api/lot"), "lieflat-4170=" + cookie));
  EXPECT_EQ(200, from(Get("/api/lot"), "a=b; lieflat-4170=" + cookie));
  EXPECT_EQ(404, from(Get("/api/nothing"), "lieflat-4170=" + cookie));
  // Who is in may not let others in: the secret is shown on the machine itself.
  EXPECT_EQ(403, from(Get("/api/pairing"), "lieflat-4170=" + cookie));
  EXPECT_EQ(200, StatusOf(Get("/api/pairing")));
}

}  // namespace
}  // namespace lieflat::web
