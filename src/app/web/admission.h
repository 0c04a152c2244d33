#pragma once
// Whether a request is let in, from its head alone, before any of its body is read.
//
//   Host      exactly one, exactly one of the names of the door it came through
//   Origin    on everything but GET and HEAD: exactly one, of this page
//   fetched   a browser that says the request comes from another site is refused
//   session   through the network's door: a paired client, but for the page's own files and pairing
//   body      its length is stated, within what the address takes; nothing chunked

#include <optional>
#include <string>
#include <vector>

#include "app/web/pairing.h"
#include "app/web/route.h"

namespace lieflat::web {

struct DoorNames {
  std::vector<std::string> hosts;  ///< "127.0.0.1:4170"
  std::string cookie;              ///< its name: cookies of two ports would mix otherwise
};

struct Admitted {
  Route route;
  std::size_t body_bytes = 0;
  bool paired = false;
};

/// @return the request's route, or the answer that refuses it.
struct Admission {
  std::optional<Admitted> in;
  Answer refusal;
};
Admission Admit(const Head& head, const DoorNames& names, const Pairing& pairing);

/// The value of a cookie in a Cookie header; empty when absent or given twice.
std::string CookieOf(const std::string& header, const std::string& name);

}  // namespace lieflat::web
