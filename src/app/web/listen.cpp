// Sockets and the machine's addresses.

#include <array>
#include <cerrno>
#include <cstring>
#include <system_error>

#include <arpa/inet.h>
#include <fmt/format.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netdb.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include "app/web/server.h"

namespace lieflat::web {
namespace {

struct Address {
  sockaddr_storage storage{};
  socklen_t size = 0;
};

bool Numeric(const std::string& text, int port, Address& out) {
  addrinfo hints{};
  hints.ai_family = AF_UNSPEC;
  hints.ai_socktype = SOCK_STREAM;
  hints.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV;
  addrinfo* found = nullptr;
  if (::getaddrinfo(text.c_str(), std::to_string(port).c_str(), &hints, &found) != 0) return false;
  std::memcpy(&out.storage, found->ai_addr, found->ai_addrlen);
  out.size = found->ai_addrlen;
  ::freeaddrinfo(found);
  return true;
}

}  // namespace

Result<int> Listen(const std::string& address, int port) {
  constexpr int kBacklog = 1024;
  Address bound;
  if (!Numeric(address, port, bound))
    return Error{ErrorCode::kBadUse, address, "is no numeric address", "such as 192.168.1.5"};
  const int socket =
      ::socket(bound.storage.ss_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
  const int yes = 1;
  if (socket >= 0) ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  if (socket < 0 ||
      ::bind(socket, reinterpret_cast<const sockaddr*>(&bound.storage), bound.size) != 0 ||
      ::listen(socket, kBacklog) != 0) {
    const int fault = errno;
    if (socket >= 0) ::close(socket);
    return Error{ErrorCode::kRefused,
                 HostName(address, port),
                 "cannot be served: " + std::generic_category().message(fault),
                 fault == EADDRINUSE ? "another program has this port; give --port another number"
                                     : "give another address or --port"};
  }
  return socket;
}

int PortOf(int socket) {
  sockaddr_storage storage{};
  socklen_t size = sizeof storage;
  if (::getsockname(socket, reinterpret_cast<sockaddr*>(&storage), &size) != 0) return 0;
  return ntohs(storage.ss_family == AF_INET6
                   ? reinterpret_cast<const sockaddr_in6*>(&storage)->sin6_port
                   : reinterpret_cast<const sockaddr_in*>(&storage)->sin_port);
}

std::string HostName(const std::string& address, int port) {
  return address.find(':') == std::string::npos ? fmt::format("{}:{}", address, port)
                                                : fmt::format("[{}]:{}", address, port);
}

std::vector<std::string> LanAddresses() {
  std::vector<std::string> addresses;
  ifaddrs* all = nullptr;
  if (::getifaddrs(&all) != 0) return addresses;
  for (const ifaddrs* one = all; one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
    const bool four = one->ifa_addr->sa_family == AF_INET;
    if (!four && one->ifa_addr->sa_family != AF_INET6) continue;
    std::array<char, NI_MAXHOST> text{};
    const socklen_t size = four ? sizeof(sockaddr_in) : sizeof(sockaddr_in6);
    if (::getnameinfo(one->ifa_addr, size, text.data(), text.size(), nullptr, 0, NI_NUMERICHOST) !=
        0)
      continue;
    const std::string address = text.data();
    if (address.find('%') == std::string::npos) addresses.push_back(address);  // no link-local ones
  }
  ::freeifaddrs(all);
  return addresses;
}

bool IsLanAddress(const std::string& address) {
  for (const auto& known : LanAddresses()) {
    if (known == address) return true;
  }
  return false;
}

}  // namespace lieflat::web
