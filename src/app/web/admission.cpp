#include "app/web/admission.h"

#include <algorithm>

#include <fmt/format.h>

namespace lieflat::web {
namespace {

bool IsReading(const std::string& method) { return method == "GET" || method == "HEAD"; }

std::optional<Answer> RefusedHost(const Head& head, const DoorNames& names) {
  const auto hosts = head.All("Host");
  if (hosts.size() == 1 &&
      std::find(names.hosts.begin(), names.hosts.end(), hosts.front()) != names.hosts.end())
    return std::nullopt;
  return Refusal(403, "Host", "this page goes by another name", "open http://" + names.hosts[0]);
}

std::optional<Answer> RefusedOrigin(const Head& head, const std::string& host) {
  const auto origins = head.All("Origin");
  const bool own = origins.size() == 1 && origins.front() == "http://" + host;
  const auto site = head.All("Sec-Fetch-Site");
  const bool foreign = !site.empty() && site != std::vector<std::string>{"same-origin"} &&
                       site != std::vector<std::string>{"none"};
  const bool needed = !IsReading(head.method);
  if ((needed && !own) || (!needed && !origins.empty() && !own) || foreign) {
    return Refusal(403, "Origin", "the request comes from another page", "use the page itself");
  }
  return std::nullopt;
}

std::optional<std::size_t> Length(const std::string& text) {
  constexpr std::size_t kMostDigits = 12;
  if (text.empty() || text.size() > kMostDigits) return std::nullopt;
  std::size_t length = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    length = 10 * length + static_cast<std::size_t>(c - '0');
  }
  return length;
}

std::optional<Answer> RefusedKind(const Head& head, const Route& route) {
  if (head.method != "POST") return std::nullopt;
  const std::string type = head.One("Content-Type");
  const bool fits = route.place == Place::kPhotos
                        ? type.starts_with("image/") || type == "application/octet-stream"
                        : type.substr(0, type.find(';')) == "application/json";
  if (fits) return std::nullopt;
  return Refusal(415,
                 "Content-Type",
                 "this address takes another kind of body",
                 route.place == Place::kPhotos ? "send the photo itself" : "send JSON");
}

/// Sets `bytes`.
std::optional<Answer> RefusedBody(const Head& head, const Route& route, std::size_t& bytes) {
  if (!head.All("Transfer-Encoding").empty())
    return Refusal(
        411, "Transfer-Encoding", "a body's length must be stated", "use the page itself");
  const auto lengths = head.All("Content-Length");
  const std::size_t longest = LongestBody(route, head.method);
  if (lengths.empty()) {
    if (longest == 0) return std::nullopt;
    return Refusal(411, "Content-Length", "a body's length must be stated", "use the page itself");
  }
  const auto length = lengths.size() == 1 ? Length(lengths.front()) : std::nullopt;
  if (!length) return Refusal(400, "Content-Length", "is no length", "use the page itself");
  if (*length > longest) {
    return Refusal(413,
                   "body",
                   fmt::format("{:.1f} MB are over the limit of {:.1f} MB here",
                               static_cast<double>(*length) / 1048576.0,
                               static_cast<double>(longest) / 1048576.0),
                   "send less at a time; a photo as JPEG");
  }
  bytes = *length;
  return std::nullopt;
}

}  // namespace

std::string CookieOf(const std::string& header, const std::string& name) {
  std::string found;
  int times = 0;
  for (std::size_t start = 0; start < header.size();) {
    while (start < header.size() && header[start] == ' ') ++start;
    const auto end = std::min(header.find(';', start), header.size());
    const std::string pair = header.substr(start, end - start);
    start = end + 1;
    if (!pair.starts_with(name + "=")) continue;
    found = pair.substr(name.size() + 1);
    ++times;
  }
  return times == 1 ? found : "";
}

Admission Admit(const Head& head, const DoorNames& names, const Pairing& pairing) {
  if (auto refused = RefusedHost(head, names)) return {{}, *refused};
  if (auto refused = RefusedOrigin(head, head.One("Host"))) return {{}, *refused};
  const std::string cookie = CookieOf(head.One("Cookie"), names.cookie);
  const bool paired = head.door == Door::kLan && pairing.Knows(cookie);
  auto route = RouteOf(head);
  if (head.door == Door::kLan && !paired && !(route && IsOpenToAll(*route))) {
    return {{},
            Refusal(403,
                    "this device",
                    "is not paired",
                    "scan the code that the page on the other machine shows")};
  }
  if (!route) {
    const bool method = route.error().code == ErrorCode::kBadUse;
    return {{}, Refusal(method ? 405 : 404, route.error())};
  }
  if (head.door == Door::kLan && route->place == Place::kPairing)
    return {{}, Refusal(403, "pairing", "is offered on the machine itself only", "look there")};
  Admitted in{*route, 0, paired};
  if (auto refused = RefusedKind(head, *route)) return {{}, *refused};
  if (auto refused = RefusedBody(head, *route, in.body_bytes)) return {{}, *refused};
  return {in, {}};
}

}  // namespace lieflat::web
