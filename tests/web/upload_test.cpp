#include "app/web/upload.h"

#include <fstream>

#include <gmock/gmock.h>
#include <unistd.h>

namespace lieflat::web {
namespace {

using namespace std::string_view_literals;

class UploadTest : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "lieflat-upload-XXXXXX").string();
    ASSERT_NE(nullptr, ::mkdtemp(name.data()));
    board_ = name;
  }
  void TearDown() override { std::filesystem::remove_all(board_); }

  [[nodiscard]] std::vector<std::string> Names() const {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(board_ / "photos"))
      names.push_back(entry.path().filename().string());
    return names;
  }

  Disk::Path board_;
};

constexpr auto kJpeg = "\xFF\xD8\xFF\xE0 sixteen bytes and more"sv;

TEST_F(UploadTest, HiddenUntilItIsWhole) {
  auto upload = Upload::Begin(board_);
  ASSERT_TRUE(upload) << upload.error().Text();
  for (const char byte : kJpeg) ASSERT_TRUE((*upload)->Add({&byte, 1}));
  ASSERT_EQ(1U, Names().size());
  EXPECT_TRUE(Names()[0].starts_with(".upload-"));
  const auto name = (*upload)->Keep("../../IMG 20.01.JPG");
  ASSERT_TRUE(name);
  EXPECT_EQ("photos/IMG-20-01.jpg", *name);
  upload->reset();
  EXPECT_THAT(Names(), ::testing::ElementsAre("IMG-20-01.jpg"));
  std::ifstream file(board_ / *name, std::ios::binary);
  const std::string kept{std::istreambuf_iterator<char>(file), {}};
  EXPECT_EQ(kJpeg, kept);
}

TEST_F(UploadTest, NothingIsReplaced) {
  for (const char* want : {"photos/a.jpg", "photos/a-2.jpg", "photos/a-3.jpg"}) {
    auto upload = Upload::Begin(board_);
    ASSERT_TRUE((*upload)->Add(kJpeg));
    EXPECT_EQ(want, *(*upload)->Keep("a.jpg"));
  }
}

TEST_F(UploadTest, BrokenOffIsGone) {
  auto upload = Upload::Begin(board_);
  ASSERT_TRUE((*upload)->Add(kJpeg));
  upload->reset();
  EXPECT_TRUE(Names().empty());
}

TEST_F(UploadTest, OnlyPhotos) {
  auto text = Upload::Begin(board_);
  EXPECT_FALSE((*text)->Add("GIF89a and what else there is"));
  EXPECT_EQ("is no JPEG, PNG or HEIC photo", (*text)->problem().message);
  auto cut = Upload::Begin(board_);
  EXPECT_TRUE((*cut)->Add("\xFF\xD8\xFF"sv));
  EXPECT_FALSE((*cut)->Keep("a"));
}

TEST_F(UploadTest, NotThroughALink) {
  std::filesystem::create_directory(board_ / "elsewhere");
  std::filesystem::create_directory_symlink(board_ / "elsewhere", board_ / "photos");
  EXPECT_FALSE(Upload::Begin(board_));
}

TEST_F(UploadTest, SweepsWhatIsOld) {
  std::filesystem::create_directory(board_ / "photos");
  for (const char* name : {".upload-old", ".upload-new", "old.jpg"})
    std::ofstream(board_ / "photos" / name) << "x";
  const auto past = std::filesystem::file_time_type::clock::now() - std::chrono::hours(2);
  std::filesystem::last_write_time(board_ / "photos/.upload-old", past);
  std::filesystem::last_write_time(board_ / "photos/old.jpg", past);
  SweepUploads(board_);
  EXPECT_THAT(Names(), ::testing::UnorderedElementsAre(".upload-new", "old.jpg"));
}

// First bytes: ITU-T T.81 B.1.1.3 (SOI, then a marker); PNG specification 5.2; ISO/IEC
// 14496-12, 4.3 (ftyp) with the brands of ISO/IEC 23008-12.
TEST(PhotoEnding, ByTheFirstBytes) {
  EXPECT_STREQ("jpg", PhotoEnding(kJpeg));
  EXPECT_STREQ("png", PhotoEnding("\x89PNG\r\n\x1A\n        "sv));
  EXPECT_STREQ("heic",
               PhotoEnding("\0\0\0\x18"
                           "ftypheic    "sv));
  EXPECT_STREQ("heic",
               PhotoEnding("\0\0\0\x18"
                           "ftypmif1    "sv));
  for (const auto other : {""sv,
                           "\xFF\xD8"sv,
                           "\x89PNG"sv,
                           "\0\0\0\x18"
                           "ftypisom    "sv,
                           "<svg"sv,
                           "BM"sv})
    EXPECT_EQ(nullptr, PhotoEnding(other)) << other;
}

TEST(PlainName, WhatIsLeft) {
  const std::pair<const char*, const char*> table[] = {{"", "photo"},
                                                       {".", "photo"},
                                                       {"..", "photo"},
                                                       {"/etc/passwd", "etc-passwd"},
                                                       {"-rf.jpg", "rf"},
                                                       {"a\nb.jpg", "a-b"},
                                                       {"IMG_1.HEIC", "IMG_1"},
                                                       {"\xC3\xA4.png", "photo"},
                                                       {"a.b.jpg", "a-b"},
                                                       {"....jpg", "photo"}};
  for (const auto& [wished, name] : table) EXPECT_EQ(name, PlainName(wished)) << wished;
  EXPECT_EQ(40U, PlainName(std::string(500, 'a')).size());
}

}  // namespace
}  // namespace lieflat::web
