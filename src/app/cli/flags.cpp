#include "app/cli/flags.h"

#include <cmath>

#include <fmt/format.h>

#include "lieflat/base/text.h"
#include "lieflat/joints/plate_draws.h"

namespace lieflat::cli {

const std::vector<std::string> kWorksWords = {"yes", "partly", "no", "untested"};
const std::vector<std::string> kNeedWords = {"case", "cards", "cooler", "sale", "none"};
const std::vector<std::string> kWorthWords = {"common", "scarce", "rare"};
const std::vector<std::string> kMountingWords = {"smt", "mixed", "through-hole"};
const std::vector<std::string> kSideWords = {"component", "solder"};
const std::vector<std::string> kRegionWords = {"top",
                                               "middle",
                                               "bottom",
                                               "top-left",
                                               "top-centre",
                                               "top-right",
                                               "middle-left",
                                               "middle-centre",
                                               "middle-right",
                                               "bottom-left",
                                               "bottom-centre",
                                               "bottom-right"};

Error BadFlag(Error error) {
  error.code = ErrorCode::kBadUse;
  return error;
}

Result<std::optional<double>> NumberFlag(const std::string& flag, const std::string& text) {
  if (text.empty()) return std::optional<double>();
  auto number = ParseNumber(text, flag, /*comma_is_decimal=*/true);
  if (!number) return BadFlag(number.error());
  return std::optional<double>(*number);
}

Result<std::optional<double>> LengthFlag(const std::string& flag, const std::string& text) {
  if (text.empty()) return std::optional<double>();
  auto length = ParseLength(text, flag, /*comma_is_decimal=*/true);
  if (!length) return BadFlag(length.error());
  return std::optional<double>(*length);
}

Result<std::optional<int>> IntegerFlag(const std::string& flag, const std::string& text) {
  LIEFLAT_TAKE(number, NumberFlag(flag, text));
  if (!number) return std::optional<int>();
  constexpr double kLargest = 1e9;  // well inside an int; every field's own range is far below
  if (*number != std::floor(*number) || std::abs(*number) > kLargest) {
    return Error{ErrorCode::kBadUse,
                 flag,
                 fmt::format("\"{}\" is no whole number", text),
                 "give it without decimals"};
  }
  return std::optional<int>(static_cast<int>(*number));
}

Result<int> SamplesFlag(const std::string& text) {
  LIEFLAT_TAKE(samples, IntegerFlag("--samples", text));
  if (!samples) return 0;
  if (auto problem = ProblemOfDraws(*samples)) {
    problem->where = "--samples";
    return *std::move(problem);
  }
  return *samples;
}

Result<std::optional<Instant>> InstantFlag(const std::string& flag, const std::string& text) {
  if (text.empty()) return std::optional<Instant>();
  auto instant = ParseInstant(text, flag);
  if (!instant) return BadFlag(instant.error());
  return std::optional<Instant>(*instant);
}

Result<std::optional<Edge>> EdgeFlag(const std::string& flag, const std::string& text) {
  if (text.empty()) return std::optional<Edge>();
  const auto edge = EdgeNamed(text);
  if (!edge) {
    return Error{
        ErrorCode::kBadUse, flag, fmt::format("no edge is named \"{}\"", text), "AB, BC, CD or DA"};
  }
  return std::optional<Edge>(*edge);
}

Result<void> CheckWord(const std::string& flag,
                       const std::string& text,
                       const std::vector<std::string>& known) {
  if (text.empty()) return {};
  for (const auto& word : known) {
    if (word == text) return {};
  }
  const auto near = Nearest(text, known);
  return Error{
      ErrorCode::kBadUse,
      flag,
      fmt::format(
          "\"{}\" is not known{}", text, near ? fmt::format(", did you mean {}?", *near) : ""),
      "one of " + Join(known, ", ")};
}

Result<std::pair<std::string, std::string>> NamedValue(const std::string& flag,
                                                       const std::string& text,
                                                       const std::string& example) {
  const auto equals = text.find('=');
  if (equals == std::string::npos || equals == 0 || equals + 1 == text.size()) {
    return Error{ErrorCode::kBadUse,
                 flag,
                 fmt::format("\"{}\" is not of the form NAME=VALUE", text),
                 fmt::format("for example {} {}", flag, example)};
  }
  return std::pair(text.substr(0, equals), text.substr(equals + 1));
}

std::vector<std::string> PartClassNames(const Calib& calib) {
  return calib.Keys("part_classes", "/classes");
}

}  // namespace lieflat::cli
