#pragma once
// The addresses of the page's server, as a closed list: what is not here does not exist. Nothing of
// an address ever becomes part of a path but a board's folder name and a photo's name, each one
// segment that is held against a strict form.

#include <optional>
#include <string>
#include <vector>

#include "app/web/http.h"

namespace lieflat::web {

enum class Place {
  kStatic,        ///< the page itself: /, /page.js, ...; `name`
  kDrawingStyle,  ///< /drawing.css
  kSession,
  kCatalog,
  kLot,
  kBoards,  ///< POST: a new board
  kGlance,  ///< POST: a first look that is not kept
  kPairing,
  kPair,
  kJob,  ///< `name` is its number
  kBoard,
  kAssessment,
  kLive,
  kRun,
  kExport,  ///< drawings, report, readings, ...; `name`
  kPhotos,
  kPhoto,  ///< `name`
};

struct Route {
  Place place = Place::kStatic;
  std::string board;  ///< the folder's name in the lot, or "." for the one board
  std::string name;
  std::vector<Header> query;
};

/// @error kRefused: no such address (404); kBadUse: the method does not go with it (405).
Result<Route> RouteOf(const Head& head);

/// The longest body that the address takes; 0: none.
std::size_t LongestBody(const Route& route, const std::string& method);

/// True for what a browser needs before it is paired: the page's own files and POST /api/pair.
bool IsOpenToAll(const Route& route);

/// A folder's or a file's name that can stand in a path as one segment.
bool IsSafeName(const std::string& name);

inline constexpr std::size_t kLongestJson = std::size_t{1} << 20U;
inline constexpr std::size_t kLongestPhoto = std::size_t{40} << 20U;

}  // namespace lieflat::web
