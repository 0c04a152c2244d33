#include "app/web/pairing.h"

#include <set>

#include <gmock/gmock.h>

namespace lieflat::web {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

const Pairing::Clock::time_point kStart{hours(1000)};

TEST(Pairing, SecretsHave128Bits) {
  std::set<std::string> seen;
  for (int i = 0; i < 1000; ++i) {
    const std::string secret = FreshSecret();
    EXPECT_EQ(32U, secret.size());
    EXPECT_EQ(std::string::npos, secret.find_first_not_of("0123456789abcdef"));
    seen.insert(secret);
  }
  EXPECT_EQ(1000U, seen.size());  // two alike: chance 1.5e-33
}

TEST(Pairing, ASecretServesOnce) {
  Pairing pairing;
  const std::string secret = pairing.Offer(kStart);
  EXPECT_EQ(secret, pairing.Offer(kStart + minutes(1)));
  EXPECT_FALSE(pairing.Redeem("", kStart));
  EXPECT_FALSE(pairing.Redeem(secret.substr(1), kStart));
  const auto cookie = pairing.Redeem(secret, kStart);
  ASSERT_TRUE(cookie);
  EXPECT_NE(secret, *cookie);
  EXPECT_FALSE(pairing.Redeem(secret, kStart));
  EXPECT_FALSE(pairing.Redeem("", kStart));
  EXPECT_NE(secret, pairing.Offer(kStart));
  EXPECT_TRUE(pairing.Knows(*cookie, kStart));
  EXPECT_FALSE(pairing.Knows(secret, kStart));
  EXPECT_FALSE(pairing.Knows("", kStart));
}

TEST(Pairing, BothGrowOld) {
  Pairing pairing;
  const std::string secret = pairing.Offer(kStart);
  EXPECT_FALSE(pairing.Redeem(secret, kStart + Pairing::kSecretLasts));
  const std::string fresh = pairing.Offer(kStart + Pairing::kSecretLasts);
  EXPECT_NE(secret, fresh);
  const auto cookie = pairing.Redeem(fresh, kStart + Pairing::kSecretLasts);
  ASSERT_TRUE(cookie);
  EXPECT_TRUE(pairing.Knows(*cookie, kStart + Pairing::kSecretLasts + hours(11)));
  EXPECT_FALSE(pairing.Knows(*cookie, kStart + Pairing::kSecretLasts + Pairing::kSessionLasts));
}

TEST(Pairing, TheOldestGivesWay) {
  Pairing pairing;
  const std::string first = *pairing.Redeem(pairing.Offer(kStart), kStart);
  std::string last;
  for (std::size_t i = 0; i < Pairing::kMostSessions; ++i)
    last = *pairing.Redeem(pairing.Offer(kStart), kStart);
  EXPECT_FALSE(pairing.Knows(first, kStart));
  EXPECT_TRUE(pairing.Knows(last, kStart));
}

}  // namespace
}  // namespace lieflat::web
