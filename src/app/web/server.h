#pragma once
// The sockets: libmicrohttpd, one thread for each door, nothing that waits on it. Bounds on
// connections, on memory for each and for all, and on how long anybody may take.
//
//   a head           4.5 s from the connection, or from the end of the request before
//   a body           64 KiB at least every 4.5 s
//   an answer        5 s, and a second for every 256 KiB, to be taken
//   what is computed its own limits; it ends when nobody waits

#include <memory>
#include <string>
#include <vector>

#include "app/web/gateway.h"

namespace lieflat::web {

struct DoorAddress {
  Door door = Door::kLoopback;
  std::string address;  ///< "127.0.0.1", an IPv6 address without brackets
};

/// A bound, listening socket. @error kRefused: the port is taken, the address is not this
/// machine's.
Result<int> Listen(const std::string& address, int port);
/// The port of a socket that was bound to port 0.
int PortOf(int socket);
/// "127.0.0.1:4170", "[fe80::1]:4170"
std::string HostName(const std::string& address, int port);
/// True for a numeric address of a network interface of this machine, neither loopback nor all.
bool IsLanAddress(const std::string& address);
/// The machine's addresses that --lan could name.
std::vector<std::string> LanAddresses();

class Server {
 public:
  explicit Server(Gateway& gateway);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  /// Serves on a socket from Listen, which it takes over. @error kInternal.
  Result<void> Open(Door door, int socket, DoorNames names);
  /// Ends what runs, answers what waits, closes.
  void Close();

  class Impl;  ///< of server.cpp alone

 private:
  std::unique_ptr<Impl> impl_;
};

}  // namespace lieflat::web
