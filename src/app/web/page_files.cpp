#include "app/web/page_files.h"

#include <fmt/format.h>
#include <zlib.h>

#include "lieflat/base/check.h"
#include "lieflat/base/embedded.h"
#include "lieflat/report/html.h"

namespace lieflat {
// NOLINTNEXTLINE(readability-identifier-naming): cmake/embed.cmake makes the name from its prefix
extern const EmbeddedFile page_table[];
}  // namespace lieflat

namespace lieflat::web {
namespace {

std::string TypeOf(const std::string& name) {
  const auto dot = name.rfind('.');
  const std::string ending = dot == std::string::npos ? "" : name.substr(dot + 1);
  if (ending == "html") return "text/html; charset=utf-8";
  if (ending == "js") return "text/javascript; charset=utf-8";
  if (ending == "css") return "text/css; charset=utf-8";
  if (ending == "svg") return "image/svg+xml";
  if (ending == "webmanifest") return "application/manifest+json";
  return "application/octet-stream";
}

/// FNV-1a, 64 bits: it only has to differ from one build to the next.
std::string Tag(const char* begin, const char* end) {
  std::uint64_t hash = 14695981039346656037U;
  for (const char* at = begin; at != end; ++at)
    hash = (hash ^ static_cast<unsigned char>(*at)) * 1099511628211U;
  return fmt::format("\"{:016x}\"", hash);
}

/// For the rare client that takes no gzip.
std::string Unpacked(const char* begin, const char* end) {
  z_stream stream{};
  constexpr int kGzip = 15 + 16;
  LIEFLAT_CHECK(inflateInit2(&stream, kGzip) == Z_OK, "zlib starts");
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-*): zlib reads through a pointer to unsigned char
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(begin));
  stream.avail_in = static_cast<uInt>(end - begin);
  std::string out;
  int state = Z_OK;
  while (state == Z_OK) {
    char block[65536];
    stream.next_out = reinterpret_cast<Bytef*>(block);  // NOLINT
    stream.avail_out = sizeof block;
    state = inflate(&stream, Z_NO_FLUSH);
    out.append(block, sizeof block - stream.avail_out);
  }
  inflateEnd(&stream);
  LIEFLAT_CHECK(state == Z_STREAM_END, "the page's files are whole");
  return out;
}

}  // namespace

std::optional<Answer> PageFile(const std::string& name, const Head& head) {
  for (const EmbeddedFile* file = page_table; file->name != nullptr; ++file) {
    if (name + ".gz" != file->name) continue;
    Answer answer;
    const std::string tag = Tag(file->begin, file->end);
    answer.headers = {{"ETag", tag}, {"Cache-Control", "no-cache"}, {"Vary", "Accept-Encoding"}};
    if (head.One("If-None-Match") == tag) {
      answer.status = 304;
      answer.type = "";
      return answer;
    }
    answer.type = TypeOf(name);
    if (head.One("Accept-Encoding").find("gzip") != std::string::npos) {
      answer.headers.emplace_back("Content-Encoding", "gzip");
      answer.body.assign(file->begin, file->end);
    } else {
      answer.body = Unpacked(file->begin, file->end);
    }
    return answer;
  }
  return std::nullopt;
}

Answer DrawingStyleFile() {
  Answer answer;
  answer.type = "text/css; charset=utf-8";
  answer.headers = {{"Cache-Control", "no-cache"}};
  answer.body = DrawingStyle();
  return answer;
}

}  // namespace lieflat::web
