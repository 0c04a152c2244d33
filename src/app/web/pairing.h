#pragma once
// Who may use the page over the network: a single-use secret of 128 bits, handed over by a QR code
// in the address's fragment (which no browser sends), is exchanged for a session cookie.

#include <chrono>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace lieflat::web {

/// 128 bits from the system's generator, as 32 hexadecimal digits.
std::string FreshSecret();

/// Takes as long whatever the first letter that differs.
bool SameSecret(const std::string& a, const std::string& b);

class Pairing {
 public:
  using Clock = std::chrono::steady_clock;
  static constexpr std::chrono::minutes kSecretLasts{15};
  static constexpr std::chrono::hours kSessionLasts{12};
  static constexpr std::size_t kMostSessions = 16;  ///< the oldest gives way

  /// The secret to hand out: the one not used yet, a fresh one when there is none or it is old.
  std::string Offer(Clock::time_point now = Clock::now());
  /// The cookie's value for a secret; nothing when it is not the one offered, used or too old.
  std::optional<std::string> Redeem(const std::string& secret,
                                    Clock::time_point now = Clock::now());
  [[nodiscard]] bool Knows(const std::string& cookie, Clock::time_point now = Clock::now()) const;

 private:
  struct Session {
    std::string cookie;
    Clock::time_point until;
  };
  mutable std::mutex mutex_;
  std::string secret_;
  Clock::time_point secret_until_;
  std::vector<Session> sessions_;
};

}  // namespace lieflat::web
