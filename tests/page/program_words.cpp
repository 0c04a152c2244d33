// The program's own words for its names and its digits for figures, as JSON: what the page's script
// must say too.

#include <array>
#include <cstdio>
#include <cstdlib>

#include "lieflat/base/json.h"
#include "lieflat/damage/judge.h"
#include "lieflat/report/shares.h"

#include "report/words.h"

namespace {

using lieflat::Json;

Json Verdicts() {
  Json words;
  for (const auto verdict : {lieflat::Verdict::kWithin,
                             lieflat::Verdict::kOver,
                             lieflat::Verdict::kUndecided,
                             lieflat::Verdict::kNotMeasured})
    words[Name(verdict)] = Plain(verdict);
  return words;
}

/// Whether the stack of blades goes in, at the limit itself.
Json Stacks() {
  Json words;
  lieflat::Limit limit;
  limit.percent = 1.0;
  lieflat::EdgeBow edge;
  edge.known = true;
  edge.length_mm = 100.0;
  edge.gap_mm = 1.0;
  for (const auto verdict :
       {lieflat::Verdict::kWithin, lieflat::Verdict::kOver, lieflat::Verdict::kUndecided}) {
    edge.verdict = verdict;
    words[Name(verdict)] = lieflat::report::EdgeSentence(edge, limit);
  }
  return words;
}

Json Outcomes() {
  Json words;
  for (const auto outcome : {lieflat::Outcome::kAcceptable,
                             lieflat::Outcome::kProcessIndicator,
                             lieflat::Outcome::kCannotTell,
                             lieflat::Outcome::kDefect})
    words[Name(outcome)] = Plain(outcome);
  return words;
}

/// Value, decimals, text: halves of a last digit that are exact in binary and some that are not,
/// both signs, nothing left but zeros.
Json Figures() {
  Json rows = Json::array();
  for (const double value :
       {0.0,   0.004, 0.005, 0.125, 0.375, 0.625, 0.875, 0.5,  1.5,   2.5,    0.285, 1.005,
        1.115, 8.345, 12.5,  99.5,  0.745, 0.75,  0.755, 3.47, 100.0, 1234.5, 1e-7,  0.0449}) {
    for (const double sign : {1.0, -1.0}) {
      for (const int decimals : {0, 1, 2, 3})
        rows.push_back({sign * value, decimals, lieflat::report::Rounded(sign * value, decimals)});
    }
  }
  return rows;
}

Json Kept() {
  Json rows = Json::array();
  for (const auto& [p5, p50, p95] : {std::array{0.004, 0.009, 0.021},
                                     {0.0, 0.01, 0.0999},
                                     {0.02, 0.05, 0.1},
                                     {0.125, 0.335, 0.625},
                                     {0.4, 0.6, 1.0}})
    rows.push_back({{p5, p50, p95},
                    lieflat::report::KeptWords({p5, p50, p95}),
                    lieflat::PercentWords({p5, p50, p95})});
  return rows;
}

}  // namespace

int main() {
  Json works;
  for (const char* state : {"yes", "partly", "no", "untested"})
    works[state] = lieflat::report::WorksWords(state);
  const Json all = {{"verdicts", Verdicts()},
                    {"stacks", Stacks()},
                    {"outcomes", Outcomes()},
                    {"works", works},
                    {"figures", Figures()},
                    {"kept", Kept()}};
  std::fputs(lieflat::DumpJson(all).c_str(), stdout);
  return EXIT_SUCCESS;
}
