#include "app/web/upload.h"

#include <cerrno>
#include <chrono>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "app/web/pairing.h"

namespace lieflat::web {
namespace {

constexpr std::size_t kHeadBytes = 16;
constexpr const char* kHiddenStart = ".upload-";

Error CannotWrite(const Disk::Path& path) {
  return {ErrorCode::kInternal,
          path.string(),
          "cannot be written: " + std::generic_category().message(errno),
          "see that the disk has room and the folder may be written to"};
}

bool SyncFolder(const Disk::Path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return false;
  const bool synced = ::fsync(descriptor) == 0 || errno == EINVAL;
  ::close(descriptor);
  return synced;
}

}  // namespace

const char* PhotoEnding(std::string_view head) {
  using namespace std::string_view_literals;
  if (head.starts_with("\xFF\xD8\xFF"sv)) return "jpg";
  if (head.starts_with("\x89PNG\r\n\x1A\n"sv)) return "png";
  if (head.size() >= 12 && head.substr(4, 4) == "ftyp"sv) {
    for (const auto brand : {"heic"sv, "heix"sv, "hevc"sv, "mif1"sv, "msf1"sv, "heim"sv}) {
      if (head.substr(8, 4) == brand) return "heic";
    }
  }
  return nullptr;
}

std::string PlainName(const std::string& wished) {
  constexpr std::size_t kLongest = 40;
  std::string name;
  for (const char c : wished.substr(0, wished.rfind('.'))) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '_';
    if (name.size() < kLongest && (plain || (!name.empty() && name.back() != '-')))
      name += plain ? c : '-';
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  while (!name.empty() && name.front() == '-') name.erase(0, 1);
  return name.empty() ? "photo" : name;
}

Upload::Upload(Disk::Path folder, Disk::Path hidden, int descriptor)
    : folder_(std::move(folder)), hidden_(std::move(hidden)), descriptor_(descriptor) {}

Result<std::unique_ptr<Upload>> Upload::Begin(const Disk::Path& board) {
  const Disk::Path folder = board / "photos";
  std::error_code failed;
  std::filesystem::create_directory(folder, failed);
  if (failed || std::filesystem::is_symlink(folder, failed)) return CannotWrite(folder);
  const Disk::Path hidden = folder / (kHiddenStart + FreshSecret());
  const int descriptor =
      ::open(hidden.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
  if (descriptor < 0) return CannotWrite(hidden);
  return std::unique_ptr<Upload>(new Upload(folder, hidden, descriptor));
}

Upload::~Upload() {
  if (descriptor_ >= 0) ::close(descriptor_);
  if (!kept_) ::unlink(hidden_.c_str());
}

bool Upload::Add(std::string_view bytes) {
  if (head_.size() < kHeadBytes) {
    head_ += bytes.substr(0, kHeadBytes - head_.size());
    if (head_.size() == kHeadBytes) {
      ending_ = PhotoEnding(head_);
      if (ending_ == nullptr) {
        problem_ = {ErrorCode::kRefused,
                    "photo",
                    "is no JPEG, PNG or HEIC photo",
                    "give the photo file itself, as the phone stores it"};
        return false;
      }
    }
  }
  while (!bytes.empty()) {
    const ssize_t wrote = ::write(descriptor_, bytes.data(), bytes.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote < 0) {
      problem_ = CannotWrite(folder_);
      return false;
    }
    bytes.remove_prefix(static_cast<std::size_t>(wrote));
  }
  return true;
}

Result<std::string> Upload::Keep(const std::string& wished) {
  if (ending_ == nullptr) return Error{ErrorCode::kRefused, "photo", "is cut off", "send it again"};
  if (::fsync(descriptor_) != 0) return CannotWrite(hidden_);
  const std::string plain = PlainName(wished);
  constexpr int kMostOfOneName = 1000;
  for (int number = 1; number <= kMostOfOneName; ++number) {
    const std::string name = number == 1 ? fmt::format("{}.{}", plain, ending_)
                                         : fmt::format("{}-{}.{}", plain, number, ending_);
    // A link never replaces what is there; where the disk has none, a rename under a fresh name
    // does.
    if (::link(hidden_.c_str(), (folder_ / name).c_str()) != 0) {
      if (errno == EEXIST) continue;
      if (errno != EPERM && errno != ENOTSUP) return CannotWrite(folder_ / name);
      if (::access((folder_ / name).c_str(), F_OK) == 0) continue;
      if (::rename(hidden_.c_str(), (folder_ / name).c_str()) != 0)
        return CannotWrite(folder_ / name);
    } else {
      ::unlink(hidden_.c_str());
    }
    kept_ = true;
    if (!SyncFolder(folder_)) return CannotWrite(folder_);
    return "photos/" + name;
  }
  return Error{
      ErrorCode::kRefused, "photo", "there are a thousand of this name", "name it otherwise"};
}

void SweepUploads(const Disk::Path& board) {
  constexpr std::chrono::hours kOld{1};  // another server may be at work on a younger one
  std::error_code failed;
  const auto now = std::filesystem::file_time_type::clock::now();
  for (const auto& entry : std::filesystem::directory_iterator(board / "photos", failed)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with(kHiddenStart) || !entry.is_regular_file(failed)) continue;
    const auto written = entry.last_write_time(failed);
    if (!failed && now - written > kOld) std::filesystem::remove(entry.path(), failed);
  }
}

}  // namespace lieflat::web
