#include "app/web/pairing.h"

#include <array>

#include <fmt/format.h>
#include <sys/random.h>

#include "lieflat/base/check.h"

namespace lieflat::web {

std::string FreshSecret() {
  std::array<unsigned char, 16> bytes{};
  // Sixteen bytes come whole or not at all, see getrandom(2).
  const ssize_t got = ::getrandom(bytes.data(), bytes.size(), 0);
  LIEFLAT_CHECK(got == static_cast<ssize_t>(bytes.size()), "the system gives random bytes");
  std::string text;
  for (const unsigned char byte : bytes) text += fmt::format("{:02x}", byte);
  return text;
}

bool SameSecret(const std::string& a, const std::string& b) {
  if (a.size() != b.size()) return false;
  unsigned different = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    different |= static_cast<unsigned>(a[i] ^ b[i]) & 0xFFU;
  return different == 0;
}

std::string Pairing::Offer(Clock::time_point now) {
  const std::lock_guard lock(mutex_);
  if (secret_.empty() || now >= secret_until_) {
    secret_ = FreshSecret();
    secret_until_ = now + kSecretLasts;
  }
  return secret_;
}

std::optional<std::string> Pairing::Redeem(const std::string& secret, Clock::time_point now) {
  const std::lock_guard lock(mutex_);
  if (secret_.empty() || now >= secret_until_ || !SameSecret(secret, secret_)) return std::nullopt;
  secret_.clear();
  if (sessions_.size() == kMostSessions) sessions_.erase(sessions_.begin());
  sessions_.push_back({FreshSecret(), now + kSessionLasts});
  return sessions_.back().cookie;
}

bool Pairing::Knows(const std::string& cookie, Clock::time_point now) const {
  const std::lock_guard lock(mutex_);
  bool known = false;
  for (const Session& session : sessions_)
    known = (SameSecret(session.cookie, cookie) && now < session.until) || known;
  return known;
}

}  // namespace lieflat::web
