#pragma once
// Order statistics of a few values, as the finding of edges and lines takes them: no mean of two.

#include <algorithm>
#include <cstddef>
#include <vector>

namespace lieflat::internal {

/// The middle one in order, the upper of two; 0 of none.
template <typename T>
[[nodiscard]] T Median(std::vector<T> values) {
  if (values.empty()) return T(0);
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The one that stands `share` of the way from the least to the greatest, the lower of two.
/// @param share  0 to 1.
/// @param values  at least one.
[[nodiscard]] inline double AtShare(std::vector<double> values, double share) {
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

}  // namespace lieflat::internal
