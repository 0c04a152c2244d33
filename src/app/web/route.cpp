#include "app/web/route.h"

#include <algorithm>
#include <array>

#include "lieflat/base/text.h"

namespace lieflat::web {
namespace {

struct Fixed {
  const char* path;
  Place place;
  const char* methods;
};

constexpr Fixed kFixed[] = {
    {"/drawing.css", Place::kDrawingStyle, "GET HEAD"},
    {"/api/session", Place::kSession, "GET"},
    {"/api/catalog", Place::kCatalog, "GET"},
    {"/api/lot", Place::kLot, "GET"},
    {"/api/boards", Place::kBoards, "POST"},
    {"/api/glance", Place::kGlance, "POST"},
    {"/api/pairing", Place::kPairing, "GET"},
    {"/api/pair", Place::kPair, "POST"},
};

/// Below /api/boards/ID/.
constexpr Fixed kOfBoard[] = {
    {"", Place::kBoard, "GET"},
    {"assessment", Place::kAssessment, "GET"},
    {"live", Place::kLive, "POST"},
    {"run", Place::kRun, "POST"},
    {"photos", Place::kPhotos, "POST"},
    {"surface", Place::kExport, "GET"},
    {"edges.svg", Place::kExport, "GET"},
    {"sheet.svg", Place::kExport, "GET"},
    {"trend.svg", Place::kExport, "GET"},
    {"report.html", Place::kExport, "GET"},
    {"report-sale.txt", Place::kExport, "GET"},
    {"assessment.json", Place::kExport, "GET"},
    {"readings.csv", Place::kExport, "GET"},
};

constexpr std::size_t kLongestTarget = 2048;

Error NoSuchPlace() {
  return {ErrorCode::kRefused, "address", "there is nothing at this address", "start again at /"};
}

Error WrongMethod(const std::string& methods) {
  return {ErrorCode::kBadUse, "method", "this address takes " + methods, "start again at /"};
}

Result<Route> Checked(Route route, const std::string& methods, const std::string& method) {
  std::string rest = methods + " ";
  while (!rest.empty()) {
    const auto space = rest.find(' ');
    if (rest.substr(0, space) == method) return route;
    rest = rest.substr(space + 1);
  }
  return WrongMethod(methods);
}

Result<Route> OfBoard(Route route, const std::string& below, const std::string& method) {
  const auto slash = std::min(below.find('/'), below.size());
  const auto board = PercentDecoded(below.substr(0, slash));
  if (!board || (*board != "." && !IsSafeName(*board))) return NoSuchPlace();
  route.board = *board;
  const std::string what = slash < below.size() ? below.substr(slash + 1) : "";
  if (slash + 1 == below.size()) return NoSuchPlace();  // a slash with nothing behind it
  for (const Fixed& fixed : kOfBoard) {
    if (what != fixed.path) continue;
    route.place = fixed.place;
    route.name = what;
    return Checked(std::move(route), fixed.methods, method);
  }
  const std::string photos = "photos/";
  if (what.starts_with(photos)) {
    const auto name = PercentDecoded(what.substr(photos.size()));
    if (!name || !IsSafeName(*name)) return NoSuchPlace();
    route.place = Place::kPhoto;
    route.name = *name;
    return Checked(std::move(route), "GET HEAD", method);
  }
  return NoSuchPlace();
}

bool IsNumber(const std::string& text) {
  return !text.empty() && text.size() <= 9 &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace

bool IsSafeName(const std::string& name) {
  constexpr std::size_t kLongestName = 120;
  if (name.empty() || name.size() > kLongestName || name.front() == '.' || name.front() == '-')
    return false;
  return std::all_of(name.begin(),
                     name.end(),
                     [](char c) {
                       return static_cast<unsigned char>(c) >= 0x20 && c != 0x7f && c != '/' &&
                              c != '\\';
                     }) &&
         IsUtf8(name);
}

Result<Route> RouteOf(const Head& head) {
  if (head.target.size() > kLongestTarget || head.target.empty() || head.target.front() != '/')
    return NoSuchPlace();
  const auto question = std::min(head.target.find('?'), head.target.size());
  const std::string path = head.target.substr(0, question);
  Route route;
  auto query = QueryFields(head.target.substr(std::min(question + 1, head.target.size())));
  if (!query) return NoSuchPlace();
  route.query = std::move(*query);
  for (const Fixed& fixed : kFixed) {
    if (path != fixed.path) continue;
    route.place = fixed.place;
    return Checked(std::move(route), fixed.methods, head.method);
  }
  const std::string boards = "/api/boards/", jobs = "/api/jobs/";
  if (path.starts_with(boards))
    return OfBoard(std::move(route), path.substr(boards.size()), head.method);
  if (path.starts_with(jobs) && IsNumber(path.substr(jobs.size()))) {
    route.place = Place::kJob;
    route.name = path.substr(jobs.size());
    return Checked(std::move(route), "GET DELETE", head.method);
  }
  if (path.starts_with("/api")) return NoSuchPlace();
  route.place = Place::kStatic;
  route.name = path == "/" ? "index.html" : path.substr(1);
  if (!IsSafeName(route.name)) return NoSuchPlace();
  return Checked(std::move(route), "GET HEAD", head.method);
}

std::size_t LongestBody(const Route& route, const std::string& method) {
  if (method != "POST") return 0;
  return route.place == Place::kPhotos ? kLongestPhoto
         : route.place == Place::kPair ? std::size_t{1024}
                                       : kLongestJson;
}

bool IsOpenToAll(const Route& route) {
  return route.place == Place::kStatic || route.place == Place::kPair;
}

}  // namespace lieflat::web
