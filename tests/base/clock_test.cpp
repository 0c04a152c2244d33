#include "lieflat/base/clock.h"

#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace lieflat {
namespace {

// 2026-03-02T19:00:00Z = 1772478000: 56 years of 365 days and 14 leap days from 1970 to 2026 are 20
// 454 days; 60 days on to 2 March: 20 514 x 86 400 + 19 x 3 600.
constexpr std::int64_t kSeconds = 20514LL * 86400 + 19 * 3600;

TEST(Clock, InstantsAreReadAndWritten) {
  struct Case {
    const char* text;
    std::int64_t seconds;
    int offset;
    const char* iso;
  };
  const std::vector<Case> cases = {
      {"2026-03-02T20:00:00+01:00", kSeconds, 60, "2026-03-02T20:00:00+01:00"},
      {"2026-03-02T19:00:00Z", kSeconds, 0, "2026-03-02T19:00:00+00:00"},
      {"2026-03-02 20:00+0100", kSeconds, 60, "2026-03-02T20:00:00+01:00"},
      {"2026-03-02T15:30:05.75-03:30", kSeconds + 5, -210, "2026-03-02T15:30:05-03:30"},
      {"1970-01-01T00:00:00Z", 0, 0, "1970-01-01T00:00:00+00:00"},
      {"1969-12-31T23:00:00-01:00", 0, -60, "1969-12-31T23:00:00-01:00"},
      {"2024-02-29T12:00:00Z", 1709208000, 0, "2024-02-29T12:00:00+00:00"},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.text);
    const auto instant = ParseInstant(c.text, "at");
    ASSERT_TRUE(instant) << instant.error().Text();
    EXPECT_EQ(instant->unix_seconds, c.seconds);
    EXPECT_EQ(instant->offset_minutes, c.offset);
    EXPECT_EQ(instant->Iso(), c.iso);
  }
  EXPECT_EQ(ParseInstant("2026-03-02T20:00:00+01:00", "at")->Short(), "2026-03-02 20:00");
}

TEST(Clock, WhatIsNoInstantIsRefused) {
  for (const char* text : {"",
                           "2026-03-02",
                           "2026-03-02T20:00:00",
                           "2026-03-02T20:00:00+1:00",
                           "02.03.2026 20:00+01:00",
                           "2026-03-02T20:00:00+01:00x",
                           "2026-03-02T20:00:00.Z"}) {
    const auto instant = ParseInstant(text, "log.jsonl:3, at");
    ASSERT_FALSE(instant) << text;
    EXPECT_EQ(instant.error().Text(),
              "log.jsonl:3, at: \"" + std::string(text) +
                  "\" is not a date, a time and an offset from UTC (write it as "
                  "2026-03-02T20:00:00+01:00)");
  }
  for (const char* text : {"2026-02-29T20:00:00Z",
                           "2026-13-01T20:00:00Z",
                           "1899-12-31T20:00:00Z",
                           "2026-03-02T24:00:00Z",
                           "2026-03-02T20:60:00Z",
                           "2026-03-02T20:00:60Z",
                           "2026-03-02T20:00:00+15:00",
                           "2026-03-02T20:00:00+01:99"}) {
    const auto instant = ParseInstant(text, "at");
    ASSERT_FALSE(instant) << text;
    EXPECT_EQ(instant.error().Text(),
              "at: \"" + std::string(text) +
                  "\" is no point in time between the years 1900 and 9999 (write it as "
                  "2026-03-02T20:00:00+01:00)");
  }
}

TEST(Clock, EveryHourOfManyYearsSurvivesARoundTrip) {
  constexpr std::int64_t kStep = 3600 * 7 + 61;
  for (std::int64_t seconds = 0; seconds < 4102444800; seconds += kStep * 97) {
    const Instant instant{seconds, static_cast<int>(seconds % 29) * 30 - 420};
    const auto back = ParseInstant(instant.Iso(), "at");
    ASSERT_TRUE(back) << instant.Iso();
    ASSERT_EQ(*back, instant);
  }
}

TEST(Clock, TheEnvironmentCanFixTheTime) {
  ASSERT_EQ(::setenv("SOURCE_DATE_EPOCH", "1772478000", 1), 0);
  EXPECT_EQ(RealClock().Now(), (Instant{kSeconds, 0}));
  ASSERT_EQ(::setenv("SOURCE_DATE_EPOCH", "yesterday", 1), 0);
  EXPECT_LE(std::abs(RealClock().Now().unix_seconds - std::time(nullptr)), 2);
  ASSERT_EQ(::unsetenv("SOURCE_DATE_EPOCH"), 0);
  EXPECT_LE(std::abs(RealClock().Now().unix_seconds - std::time(nullptr)), 2);
}

}  // namespace
}  // namespace lieflat
