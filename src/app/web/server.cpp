#include "app/web/server.h"

#include <atomic>
#include <cstring>
#include <mutex>

#include <fmt/format.h>
#include <microhttpd.h>
#include <poll.h>
#include <unistd.h>

#include "app/web/deadlines.h"

namespace lieflat::web {
namespace {

using std::chrono::milliseconds;

constexpr milliseconds kHeadTime{4500}, kBodyTime{4500}, kAnswerTime{5000};
constexpr std::size_t kBodyStep = std::size_t{64} << 10U;  // to come within kBodyTime
constexpr std::size_t kAnswerBytesASecond = std::size_t{256} << 10U;
constexpr std::size_t kConnectionMemory = std::size_t{32} << 10U;
constexpr unsigned kMostConnections = 1500;                  // a door
constexpr std::size_t kMostBodies = std::size_t{32} << 20U;  // of all requests together
constexpr std::size_t kMostAnswers = std::size_t{64} << 20U;

constexpr const char* kPolicy =
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'";

/// What an answer's bytes weigh on a bound, as long as they are held.
class Share {
 public:
  Share(std::atomic<std::size_t>& total, std::size_t bytes) : total_(&total), bytes_(bytes) {
    *total_ += bytes_;
  }
  ~Share() { *total_ -= bytes_; }
  Share(const Share&) = delete;
  Share& operator=(const Share&) = delete;

 private:
  std::atomic<std::size_t>* total_;
  std::size_t bytes_;
};

struct Held {
  std::string body;
  Share share;
};

void LetGo(void* held) { delete static_cast<Held*>(held); }

MHD_Result Collect(void* into, MHD_ValueKind /*kind*/, const char* key, const char* value) {
  static_cast<std::vector<Header>*>(into)->emplace_back(key, value == nullptr ? "" : value);
  return MHD_YES;
}

/// Addresses are decoded by us, once, after they were taken apart.
std::size_t LeaveAsSent(void* /*own*/, MHD_Connection* /*connection*/, char* text) {
  return std::strlen(text);
}

void Silent(void* /*own*/, const char* /*format*/, va_list /*values*/) {}

bool HungUp(int socket) {
  pollfd watched{socket, POLLRDHUP, 0};
  return ::poll(&watched, 1, 0) > 0 && (watched.revents & (POLLRDHUP | POLLHUP | POLLERR)) != 0;
}

/// One request, from its first line to the last byte of its answer.
struct Exchange {
  Head head;
  bool seen = false, working = false;
  std::optional<Admitted> request;
  std::string body;
  std::optional<Share> body_share;
  std::shared_ptr<Upload> upload;
  std::size_t got = 0, since_step = 0;
  bool broken_off = false;
  std::optional<Answer> answer;
};

struct Doorway {
  Server::Impl* server = nullptr;
  Door door = Door::kLoopback;
  DoorNames names;
  MHD_Daemon* daemon = nullptr;
};

}  // namespace

class Server::Impl {
 public:
  explicit Impl(Gateway& gateway) : gateway_(gateway) { gateway_.UseLanes(lanes_); }
  ~Impl() { Close(); }

  Result<void> Open(Door door, int socket, DoorNames names);
  void Close();

 private:
  static MHD_Result OnRequest(void* doorway,
                              MHD_Connection* connection,
                              const char* url,
                              const char* method,
                              const char* version,
                              const char* data,
                              std::size_t* size,
                              void** own);
  static void* OnFirstLine(void* doorway, const char* target, MHD_Connection* connection);
  static void OnCompleted(void* doorway,
                          MHD_Connection* connection,
                          void** own,
                          MHD_RequestTerminationCode code);
  static void OnConnection(void* doorway,
                           MHD_Connection* connection,
                           void** own,
                           MHD_ConnectionNotificationCode code);

  MHD_Result FirstSight(Doorway& doorway,
                        MHD_Connection* connection,
                        const char* method,
                        Exchange& exchange);
  MHD_Result TakeBody(MHD_Connection* connection,
                      Exchange& exchange,
                      const char* data,
                      std::size_t* size);
  MHD_Result Proceed(MHD_Connection* connection, Exchange& exchange);
  MHD_Result Send(MHD_Connection* connection, Answer answer);
  MHD_Response* Respond(Answer& answer);

  Gateway& gateway_;
  Deadlines deadlines_;
  std::atomic<std::size_t> bodies_{0}, answers_{0};
  std::vector<std::unique_ptr<Doorway>> doorways_;
  Lanes lanes_;  // the last: its threads end before what they use
  bool closed_ = false;
};

Result<void> Server::Impl::Open(Door door, int socket, DoorNames names) {
  auto doorway = std::make_unique<Doorway>();
  doorway->server = this;
  doorway->door = door;
  doorway->names = std::move(names);
  doorway->daemon =
      MHD_start_daemon(MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG,
                       0,
                       nullptr,
                       nullptr,
                       &Impl::OnRequest,
                       doorway.get(),
                       MHD_OPTION_EXTERNAL_LOGGER,
                       &Silent,
                       nullptr,
                       MHD_OPTION_LISTEN_SOCKET,
                       socket,
                       MHD_OPTION_CONNECTION_LIMIT,
                       kMostConnections,
                       MHD_OPTION_CONNECTION_MEMORY_LIMIT,
                       kConnectionMemory,
                       MHD_OPTION_CONNECTION_TIMEOUT,
                       30U,  // the deadlines are shorter
                       MHD_OPTION_STRICT_FOR_CLIENT,
                       1,
                       MHD_OPTION_UNESCAPE_CALLBACK,
                       &LeaveAsSent,
                       nullptr,
                       MHD_OPTION_URI_LOG_CALLBACK,
                       &Impl::OnFirstLine,
                       doorway.get(),
                       MHD_OPTION_NOTIFY_COMPLETED,
                       &Impl::OnCompleted,
                       doorway.get(),
                       MHD_OPTION_NOTIFY_CONNECTION,
                       &Impl::OnConnection,
                       doorway.get(),
                       MHD_OPTION_END);
  if (doorway->daemon == nullptr) {
    ::close(socket);
    return Error{ErrorCode::kInternal, "server", "cannot start", "see that the machine has room"};
  }
  doorways_.push_back(std::move(doorway));
  return {};
}

void Server::Impl::Close() {
  if (closed_) return;
  closed_ = true;
  for (const auto& doorway : doorways_) ::close(MHD_quiesce_daemon(doorway->daemon));
  gateway_.Stop();
  lanes_.Close();  // everybody who waits is answered
  for (const auto& doorway : doorways_) MHD_stop_daemon(doorway->daemon);
}

void* Server::Impl::OnFirstLine(void* /*doorway*/,
                                const char* target,
                                MHD_Connection* /*connection*/) {
  auto exchange = std::make_unique<Exchange>();
  exchange->head.target = target;
  return exchange.release();  // OnCompleted takes it back
}

void Server::Impl::OnCompleted(void* doorway,
                               MHD_Connection* connection,
                               void** own,
                               MHD_RequestTerminationCode /*code*/) {
  delete static_cast<Exchange*>(*own);
  *own = nullptr;
  static_cast<Doorway*>(doorway)->server->deadlines_.Extend(connection, kHeadTime);
}

void Server::Impl::OnConnection(void* doorway,
                                MHD_Connection* connection,
                                void** /*own*/,
                                MHD_ConnectionNotificationCode code) {
  Deadlines& deadlines = static_cast<Doorway*>(doorway)->server->deadlines_;
  if (code == MHD_CONNECTION_NOTIFY_CLOSED) return deadlines.Closed(connection);
  const auto* info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
  if (info != nullptr) deadlines.Open(connection, info->connect_fd, kHeadTime);
}

MHD_Result Server::Impl::OnRequest(void* doorway,
                                   MHD_Connection* connection,
                                   const char* /*url*/,
                                   const char* method,
                                   const char* /*version*/,
                                   const char* data,
                                   std::size_t* size,
                                   void** own) {
  auto& door = *static_cast<Doorway*>(doorway);
  auto* exchange = static_cast<Exchange*>(*own);
  if (exchange == nullptr) return MHD_NO;
  Impl& self = *door.server;
  try {
    if (!exchange->seen) return self.FirstSight(door, connection, method, *exchange);
    if (*size > 0) return self.TakeBody(connection, *exchange, data, size);
    return self.Proceed(connection, *exchange);
  } catch (const std::exception&) {
    return MHD_NO;  // out of memory, or our own mistake: this connection ends, the others go on
  }
}

MHD_Result Server::Impl::FirstSight(Doorway& doorway,
                                    MHD_Connection* connection,
                                    const char* method,
                                    Exchange& exchange) {
  exchange.seen = true;
  exchange.head.method = method;
  exchange.head.door = doorway.door;
  MHD_get_connection_values(connection, MHD_HEADER_KIND, &Collect, &exchange.head.headers);
  Admission admission = Admit(exchange.head, doorway.names, gateway_.pairing());
  if (!admission.in) return Send(connection, std::move(admission.refusal));
  exchange.request = std::move(admission.in);
  const std::size_t bytes = exchange.request->body_bytes;
  if (bytes == 0) return MHD_YES;
  if (exchange.request->route.place == Place::kPhotos) {
    auto upload = gateway_.BeginUpload(exchange.request->route);
    if (!upload) {
      const bool absent = upload.error().code == ErrorCode::kRefused;
      return Send(connection, Refusal(absent ? 404 : 500, upload.error()));
    }
    exchange.upload = std::move(*upload);
  } else {
    if (bodies_ + bytes > kMostBodies)
      return Send(connection, Refusal(503, "server", "is busy", "try again"));
    exchange.body_share.emplace(bodies_, bytes);
  }
  deadlines_.Extend(connection, kBodyTime);
  return MHD_YES;
}

MHD_Result Server::Impl::TakeBody(MHD_Connection* connection,
                                  Exchange& exchange,
                                  const char* data,
                                  std::size_t* size) {
  exchange.got += *size;
  exchange.since_step += *size;
  if (!exchange.request || exchange.got > exchange.request->body_bytes) return MHD_NO;
  if (exchange.since_step >= kBodyStep) {
    exchange.since_step = 0;
    deadlines_.Extend(connection, kBodyTime);
  }
  // What is no photo is read to its end within the bounds above and then refused: an answer in the
  // midst of a body would be lost with the connection.
  if (!exchange.upload) {
    exchange.body.append(data, *size);
  } else if (!exchange.broken_off) {
    exchange.broken_off = !exchange.upload->Add({data, *size});
  }
  *size = 0;
  return MHD_YES;
}

MHD_Result Server::Impl::Proceed(MHD_Connection* connection, Exchange& exchange) {
  if (exchange.answer) return Send(connection, std::move(*exchange.answer));
  if (!exchange.request || exchange.working) return MHD_NO;
  if (exchange.broken_off) {
    const Error& problem = exchange.upload->problem();
    return Send(connection, Refusal(problem.code == ErrorCode::kRefused ? 400 : 500, problem));
  }
  if (exchange.request->route.place == Place::kPhotos && !exchange.upload)
    return Send(connection, Refusal(400, "photo", "is empty", "send it again"));
  if (auto answer = gateway_.AtOnce(*exchange.request, exchange.head, exchange.body))
    return Send(connection, std::move(*answer));
  Work work = gateway_.Plan(*exchange.request, std::move(exchange.body), exchange.upload);
  const auto* info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
  const int socket = info != nullptr ? info->connect_fd : -1;
  exchange.working = true;
  deadlines_.Hold(connection);
  MHD_suspend_connection(connection);
  // Until it is resumed nobody else touches the exchange, and the socket stays open.
  const bool put =
      lanes_.Put(work.lane, [this, connection, &exchange, socket, run = std::move(work.run)] {
        Answer answer;
        try {
          answer = run([socket] { return HungUp(socket); });
        } catch (const std::exception& fault) {
          answer = Refusal(
              500, "lieflat", std::string("a fault of the program: ") + fault.what(), "try again");
        }
        exchange.answer = std::move(answer);
        deadlines_.Extend(connection, kAnswerTime);
        MHD_resume_connection(connection);
      });
  if (!put) {
    exchange.answer = Refusal(503, "server", "is busy", "try again");
    MHD_resume_connection(connection);
  }
  return MHD_YES;
}

MHD_Response* Server::Impl::Respond(Answer& answer) {
  if (answer.file.descriptor >= 0) {
    MHD_Response* response = MHD_create_response_from_fd(answer.file.bytes, answer.file.descriptor);
    if (response == nullptr) ::close(answer.file.descriptor);
    return response;
  }
  if (answers_ + answer.body.size() > kMostAnswers) {
    answer = Refusal(503, "server", "is busy", "try again");
  }
  const std::size_t size = answer.body.size();
  auto held = std::unique_ptr<Held>(new Held{std::move(answer.body), {answers_, size}});
  MHD_Response* response = MHD_create_response_from_buffer_with_free_callback_cls(
      size, held->body.data(), &LetGo, held.get());
  if (response != nullptr) held.release();  // NOLINT(bugprone-unused-return-value): LetGo has it
  return response;
}

MHD_Result Server::Impl::Send(MHD_Connection* connection, Answer answer) {
  const std::size_t bytes = answer.file.descriptor >= 0 ? answer.file.bytes : answer.body.size();
  MHD_Response* response = Respond(answer);
  if (response == nullptr) return MHD_NO;
  const auto put = [&](const char* name, const std::string& value) {
    MHD_add_response_header(response, name, value.c_str());
  };
  bool policy = false, caching = false;
  for (const auto& [name, value] : answer.headers) {
    put(name.c_str(), value);
    policy = policy || name == "Content-Security-Policy";
    caching = caching || name == "Cache-Control";
  }
  if (!answer.type.empty()) put("Content-Type", answer.type);
  if (!policy) put("Content-Security-Policy", kPolicy);
  if (!caching) put("Cache-Control", "no-store");
  put("X-Content-Type-Options", "nosniff");
  put("X-Frame-Options", "DENY");
  put("Referrer-Policy", "no-referrer");
  // Browsers heed it where an address can be trusted, and complain of it elsewhere.
  const char* host = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Host");
  if (host != nullptr && std::string_view(host).starts_with("127.")) {
    put("Cross-Origin-Opener-Policy", "same-origin");
  }
  put("Cross-Origin-Resource-Policy", "same-origin");
  constexpr int kBusy = 503;
  if (answer.status == kBusy) put("Retry-After", "1");
  deadlines_.Extend(connection, kAnswerTime + milliseconds(1000 * bytes / kAnswerBytesASecond));
  const MHD_Result queued =
      MHD_queue_response(connection, static_cast<unsigned>(answer.status), response);
  MHD_destroy_response(response);
  return queued;
}

Server::Server(Gateway& gateway) : impl_(std::make_unique<Impl>(gateway)) {}
Server::~Server() = default;
Result<void> Server::Open(Door door, int socket, DoorNames names) {
  return impl_->Open(door, socket, std::move(names));
}
void Server::Close() { impl_->Close(); }

}  // namespace lieflat::web
