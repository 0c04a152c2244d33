#pragma once
// A folder of a test's own on the machine's disk, removed at the end.

#include <filesystem>
#include <string>
#include <system_error>

#include <gtest/gtest.h>
#include <unistd.h>

namespace lieflat::testing {

class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "lieflat-test-XXXXXX").string();
    const char* const made = ::mkdtemp(pattern.data());
    EXPECT_NE(made, nullptr) << "no folder " << pattern;
    path_ = pattern;
  }
  ~TemporaryFolder() {
    std::error_code fault;
    std::filesystem::remove_all(path_, fault);
    EXPECT_FALSE(fault) << fault.message();
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace lieflat::testing
