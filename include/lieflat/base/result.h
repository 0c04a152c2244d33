#pragma once
// A value or the reason why there is none. Bad input is a value of this kind; a broken promise of
// our own throws (see check.h); "over the limit" is neither, it is a verdict. The member names are
// those of std::expected, so that it can take this type's place later.

#include <string>
#include <utility>
#include <variant>

#include "lieflat/base/check.h"

namespace lieflat {

enum class ErrorCode {
  kBadUse,    ///< unknown verb or flag, a value missing or malformed on the command line
  kRefused,   ///< an input is wrong: file, line, field, value out of range
  kNoFigure,  ///< an input is well formed but carries no figure: too few points, nothing read yet
  kBusy,      ///< somebody else holds the folder's lock
  kInternal,  ///< our fault, or the machine's: out of disk, cannot write
};

struct Error {
  ErrorCode code = ErrorCode::kInternal;
  std::string where;    ///< "readings.csv:14, column height_mm"
  std::string message;  ///< value and rule: "height 912 mm is outside 0 to 50 mm"
  std::string remedy;   ///< what to do: "check the decimal mark, or the unit in the column's name"

  /// where: message (remedy), the parts that are there.
  [[nodiscard]] std::string Text() const;
};

template <typename T>
class [[nodiscard]] Result {
 public:
  // NOLINTNEXTLINE(google-explicit-constructor): a value or an error is returned as it is, as with
  // std::expected
  Result(T value) : state_(std::move(value)) {}
  // NOLINTNEXTLINE(google-explicit-constructor)
  Result(Error error) : state_(std::move(error)) {}

  [[nodiscard]] bool has_value() const { return state_.index() == 0; }
  explicit operator bool() const { return has_value(); }

  [[nodiscard]] T& value() & { return Value(); }
  [[nodiscard]] const T& value() const& { return const_cast<Result*>(this)->Value(); }
  [[nodiscard]] T&& value() && { return std::move(Value()); }
  T& operator*() & { return Value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(Value()); }
  T* operator->() { return &Value(); }
  const T* operator->() const { return &value(); }

  [[nodiscard]] const Error& error() const {
    LIEFLAT_CHECK(!has_value(), "error() of a Result that holds a value");
    return std::get<1>(state_);
  }

 private:
  T& Value() {
    LIEFLAT_CHECK(has_value(),
                  "value() of a Result that holds an error: " + std::get<1>(state_).Text());
    return std::get<0>(state_);
  }
  std::variant<T, Error> state_;
};

template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  // NOLINTNEXTLINE(google-explicit-constructor)
  Result(Error error) : error_(std::move(error)), failed_(true) {}
  [[nodiscard]] bool has_value() const { return !failed_; }
  explicit operator bool() const { return has_value(); }
  [[nodiscard]] const Error& error() const {
    LIEFLAT_CHECK(failed_, "error() of a Result that succeeded");
    return error_;
  }

 private:
  Error error_;
  bool failed_ = false;
};

}  // namespace lieflat
