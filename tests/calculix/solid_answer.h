#pragma once
// What CalculiX leaves behind: tables (.dat), nodal strain (.frd) and its words while it iterates.

#include <filesystem>
#include <string>
#include <unordered_map>
#include <vector>

#include <Eigen/Core>

#include "lieflat/base/result.h"

namespace lieflat::testing {

/// Node to three numbers.
using NodeTable = std::unordered_map<int, Eigen::Vector3d>;

/// The last table in a .dat file whose title holds both words, such as "displacements" and
/// "MIDDLE".
/// @error kInternal when there is none.
Result<NodeTable> LastTable(const std::filesystem::path& dat,
                            const std::string& what,
                            const std::string& set);

/// The last field of total strain in a .frd file, by node: xx, yy, zz, xy, yz, zx.
/// @error kInternal when there is none.
Result<std::unordered_map<int, Eigen::Matrix<double, 6, 1>>> LastStrains(
    const std::filesystem::path& frd);

struct Iterations {
  int count = 0;
  /// Of the last one: largest residual force over the average force, at most this (it prints few
  /// digits).
  double residual = 0.0;
  bool finished = false;
};
Iterations ReadWords(const std::filesystem::path& words);

/// The last few lines of a text, for an error.
std::string LastWords(const std::filesystem::path& words);

}  // namespace lieflat::testing
