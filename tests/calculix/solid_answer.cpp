#include "calculix/solid_answer.h"

#include <deque>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace lieflat::testing {
namespace {

Error Missing(const std::filesystem::path& file, const std::string& what) {
  return Error{ErrorCode::kInternal, file.string(), fmt::format("holds no {}", what), ""};
}

/// The number after a mark in a line, if it is there.
bool NumberAfter(const std::string& line, const std::string& mark, double& number) {
  const std::size_t at = line.find(mark);
  if (at == std::string::npos) {
    return false;
  }
  std::istringstream rest(line.substr(at + mark.size()));
  return static_cast<bool>(rest >> number);
}

}  // namespace

Result<NodeTable> LastTable(const std::filesystem::path& dat,
                            const std::string& what,
                            const std::string& set) {
  std::ifstream file(dat);
  NodeTable table;
  bool inside = false;
  for (std::string line; std::getline(file, line);) {
    if (line.find(" for set ") != std::string::npos) {
      inside = line.find(what) != std::string::npos && line.find(set) != std::string::npos;
      if (inside) {
        table.clear();
      }
      continue;
    }
    std::istringstream row(line);
    int node = 0;
    Eigen::Vector3d values;
    if (inside && row >> node >> values.x() >> values.y() >> values.z()) {
      table[node] = values;
    }
  }
  if (table.empty()) {
    return Missing(dat, fmt::format("{} of set {}", what, set));
  }
  return table;
}

Result<std::unordered_map<int, Eigen::Matrix<double, 6, 1>>> LastStrains(
    const std::filesystem::path& frd) {
  constexpr std::size_t kKey = 3, kNode = 10, kWidth = 12;  // columns are fixed and may touch
  std::ifstream file(frd);
  std::unordered_map<int, Eigen::Matrix<double, 6, 1>> strains;
  bool inside = false;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with(" -4")) {
      inside = line.find("TOSTRAIN") != std::string::npos;
    }
    if (!inside || !line.starts_with(" -1") || line.size() < kKey + kNode + 6 * kWidth) {
      continue;
    }
    Eigen::Matrix<double, 6, 1> strain;
    for (std::size_t i = 0; i < 6; ++i) {
      strain[static_cast<Eigen::Index>(i)] =
          std::stod(line.substr(kKey + kNode + i * kWidth, kWidth));
    }
    strains[std::stoi(line.substr(kKey, kNode))] = strain;
  }
  if (strains.empty()) {
    return Missing(frd, "strain");
  }
  return strains;
}

Iterations ReadWords(const std::filesystem::path& words) {
  std::ifstream file(words);
  Iterations said;
  double average = 0.0, largest = 0.0;
  for (std::string line; std::getline(file, line);) {
    double number = 0.0;
    if (NumberAfter(line, "average force=", number)) {
      average = number;
    } else if (NumberAfter(line, "largest residual force=", number)) {
      largest = number;
      ++said.count;
    }
    said.finished = said.finished || line.find("Job finished") != std::string::npos;
  }
  constexpr double kHalfDigitN = 5e-7;  // it prints six decimals
  said.residual = average > 0.0 ? (largest + kHalfDigitN) / average : 0.0;
  return said;
}

std::string LastWords(const std::filesystem::path& words) {
  constexpr std::size_t kLines = 8;
  std::ifstream file(words);
  std::deque<std::string> last;
  for (std::string line; std::getline(file, line);) {
    if (line.find_first_not_of(' ') != std::string::npos) {
      last.push_back(line);
    }
    if (last.size() > kLines) {
      last.pop_front();
    }
  }
  return fmt::format("{}", fmt::join(last, " | "));
}

}  // namespace lieflat::testing
