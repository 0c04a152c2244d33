#include "lieflat/base/clock.h"

#include <array>
#include <charconv>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <optional>

#include <fmt/format.h>

#include "lieflat/base/text.h"

namespace lieflat {
namespace {

constexpr int kSecondsADay = 86400;
constexpr int kFirstYear = 1900;
constexpr int kLastYear = 9999;
constexpr int kLargestOffsetMinutes = 14 * 60;

struct Civil {
  int year = 0;
  unsigned month = 0, day = 0;
  int hour = 0, minute = 0, second = 0;
};

Civil InPlace(const Instant& instant) {
  const std::chrono::seconds since(instant.unix_seconds + 60LL * instant.offset_minutes);
  const std::chrono::sys_seconds time(since);
  const auto midnight = std::chrono::floor<std::chrono::days>(time);
  const std::chrono::year_month_day date(midnight);
  const auto rest = static_cast<int>((time - midnight).count());
  return {static_cast<int>(date.year()),
          static_cast<unsigned>(date.month()),
          static_cast<unsigned>(date.day()),
          rest / 3600,
          rest / 60 % 60,
          rest % 60};
}

/// Reads a text from left to right; any misfit makes it fail for good.
class Cursor {
 public:
  explicit Cursor(std::string_view text) : rest_(text) {}

  int Digits(std::size_t count) {
    if (rest_.size() < count) return Fail();
    int value = 0;
    for (const char c : rest_.substr(0, count)) {
      if (c < '0' || c > '9') return Fail();
      value = 10 * value + (c - '0');
    }
    rest_.remove_prefix(count);
    return value;
  }
  /// Takes one of the characters and says which; 0 when none is next.
  char Take(std::string_view any) {
    if (rest_.empty() || any.find(rest_.front()) == std::string_view::npos) return '\0';
    const char c = rest_.front();
    rest_.remove_prefix(1);
    return c;
  }
  void Need(std::string_view any) {
    if (Take(any) == '\0') Fail();
  }
  void SkipDigits() {
    Digits(1);
    while (Take("0123456789") != '\0') {
    }
  }
  [[nodiscard]] bool Ended() const { return ok_ && rest_.empty(); }

 private:
  int Fail() {
    ok_ = false;
    return 0;
  }
  std::string_view rest_;
  bool ok_ = true;
};

int ReadOffset(Cursor& cursor) {
  const char sign = cursor.Take("Zz+-");
  if (sign == 'Z' || sign == 'z') return 0;
  if (sign == '\0') {
    cursor.Need("+");
    return 0;
  }
  const int hours = cursor.Digits(2);
  cursor.Take(":");
  const int minutes = cursor.Digits(2);
  const int total = minutes > 59 ? kLargestOffsetMinutes + 1 : 60 * hours + minutes;
  return sign == '-' ? -total : total;
}

class MachineClock : public Clock {
 public:
  [[nodiscard]] Instant Now() const override {
    if (const auto fixed = FixedSeconds()) return {*fixed, 0};
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    if (localtime_r(&now, &local) == nullptr) return {now, 0};
    return {now, static_cast<int>(local.tm_gmtoff / 60)};
  }

 private:
  /// A malformed value counts as absent: a time of one's own choosing is for tests and samples, and
  /// the entry shows it.
  static std::optional<std::int64_t> FixedSeconds() {
    // NOLINTNEXTLINE(concurrency-mt-unsafe): nothing in the program changes the environment
    const char* const text = std::getenv("SOURCE_DATE_EPOCH");
    if (text == nullptr) return std::nullopt;
    const std::string_view view(text);
    std::int64_t seconds = 0;
    const auto [end, fault] = std::from_chars(view.data(), view.data() + view.size(), seconds);
    constexpr std::int64_t kLast = 253402214400;  // 9999-12-31T00:00Z
    if (fault != std::errc() || end != view.data() + view.size()) return std::nullopt;
    if (seconds < 0 || seconds > kLast) return std::nullopt;
    return seconds;
  }
};

}  // namespace

std::string Instant::Iso() const {
  const Civil c = InPlace(*this);
  const int offset = offset_minutes < 0 ? -offset_minutes : offset_minutes;
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}{}{:02}:{:02}",
                     c.year,
                     c.month,
                     c.day,
                     c.hour,
                     c.minute,
                     c.second,
                     offset_minutes < 0 ? '-' : '+',
                     offset / 60,
                     offset % 60);
}

std::string Instant::Short() const {
  const Civil c = InPlace(*this);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", c.year, c.month, c.day, c.hour, c.minute);
}

Result<Instant> ParseInstant(std::string_view text, const std::string& where) {
  Cursor cursor(text);
  Civil c;
  c.year = cursor.Digits(4);
  cursor.Need("-");
  c.month = static_cast<unsigned>(cursor.Digits(2));
  cursor.Need("-");
  c.day = static_cast<unsigned>(cursor.Digits(2));
  cursor.Need("Tt ");
  c.hour = cursor.Digits(2);
  cursor.Need(":");
  c.minute = cursor.Digits(2);
  if (cursor.Take(":") != '\0') {
    c.second = cursor.Digits(2);
    if (cursor.Take(".,") != '\0') cursor.SkipDigits();  // fractions of a second are dropped
  }
  const int offset = ReadOffset(cursor);
  const char* const remedy = "write it as 2026-03-02T20:00:00+01:00";
  if (!cursor.Ended()) {
    return Error{ErrorCode::kRefused,
                 where,
                 Quoted(text) + " is not a date, a time and an offset from UTC",
                 remedy};
  }
  const std::chrono::year_month_day date{
      std::chrono::year(c.year), std::chrono::month(c.month), std::chrono::day(c.day)};
  const bool offset_ok = offset >= -kLargestOffsetMinutes && offset <= kLargestOffsetMinutes;
  if (!date.ok() || c.year < kFirstYear || c.year > kLastYear || c.hour > 23 || c.minute > 59 ||
      c.second > 59 || !offset_ok) {
    return Error{ErrorCode::kRefused,
                 where,
                 Quoted(text) + " is no point in time between the years 1900 and 9999",
                 remedy};
  }
  const std::int64_t days = std::chrono::sys_days(date).time_since_epoch().count();
  const std::int64_t seconds = 3600LL * c.hour + 60LL * c.minute + c.second;
  return Instant{days * kSecondsADay + seconds - 60LL * offset, offset};
}

const Clock& RealClock() {
  static const MachineClock clock;
  return clock;
}

}  // namespace lieflat
