#pragma once
// Reading the values of flags. A malformed value is bad use; an absent flag is absent.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "lieflat/base/clock.h"
#include "lieflat/base/result.h"
#include "lieflat/board/board.h"

namespace lieflat::cli {

/// The words that several verbs share.
extern const std::vector<std::string> kWorksWords, kNeedWords, kWorthWords, kMountingWords,
    kSideWords, kRegionWords;

/// A malformed value of a flag: `error` as found by one of the base's readers, made bad use.
Error BadFlag(Error error);

/// Empty text is an absent flag. @error kBadUse naming the flag.
Result<std::optional<double>> NumberFlag(const std::string& flag, const std::string& text);
Result<std::optional<double>> LengthFlag(const std::string& flag, const std::string& text);
Result<std::optional<int>> IntegerFlag(const std::string& flag, const std::string& text);
Result<std::optional<Instant>> InstantFlag(const std::string& flag, const std::string& text);
Result<std::optional<Edge>> EdgeFlag(const std::string& flag, const std::string& text);

/// Number of nonlinear samples; absent: 0. @error kBadUse out of range.
Result<int> SamplesFlag(const std::string& text);

/// One of `known`, or empty. @error kBadUse with the nearest word and the whole list.
Result<void> CheckWord(const std::string& flag,
                       const std::string& text,
                       const std::vector<std::string>& known);
/// "AB=1.8" -> {"AB", "1.8"}. @error kBadUse.
Result<std::pair<std::string, std::string>> NamedValue(const std::string& flag,
                                                       const std::string& text,
                                                       const std::string& example);

/// Names of the part classes in calib/.
std::vector<std::string> PartClassNames(const Calib& calib);

}  // namespace lieflat::cli

/// Takes the value of a Result into a new variable, or returns its error.
// NOLINTBEGIN(bugprone-macro-parentheses): the name of a variable cannot stand in parentheses
#define LIEFLAT_TAKE(variable, expression)          \
  auto variable##_or = (expression);                \
  if (!variable##_or) return variable##_or.error(); \
  auto& variable = *variable##_or
// NOLINTEND(bugprone-macro-parentheses)
/// Returns the error of a Result, if it holds one.
#define LIEFLAT_TRY(expression)                                  \
  do {                                                           \
    if (auto tried = (expression); !tried) return tried.error(); \
  } while (false)
