#include "app/cli/kept_picture.h"

#include <fmt/format.h>

#include "lieflat/base/base64.h"
#include "lieflat/base/statistics.h"

#include "app/cli/flags.h"

namespace lieflat::cli {

KeptPicture KeptPicture::Of(const Disk::Path& folder, Side side) {
  const std::string stem = std::string("picture-") + Name(side);
  return {folder / (stem + ".png"), folder / (stem + ".json")};
}

Result<BoardPicture> OpenKeptPicture(Session& session,
                                     const KeptPicture& kept,
                                     const std::string& folder) {
  if (!session.disk.IsFile(kept.json)) {
    return Error{ErrorCode::kRefused,
                 folder,
                 "has no picture to scale of that side",
                 fmt::format("make it first: lieflat picture {} IMG...", folder)};
  }
  LIEFLAT_TAKE(text, session.disk.Read(kept.json));
  LIEFLAT_TAKE(json, ParseJson(text, kept.json.string()));
  LIEFLAT_TAKE(png, session.disk.Read(kept.png));
  return ParseBoardPicture(json, png, kept.png.string());
}

Result<std::vector<FacePicture>> FacesForPage(Session& session, const Disk::Path& folder) {
  constexpr int kMostPx = 1700;  // on A4 some 250 an inch
  std::vector<FacePicture> faces;
  for (const Side side : {Side::kComponent, Side::kSolder}) {
    const KeptPicture kept = KeptPicture::Of(folder, side);
    if (!session.disk.IsFile(kept.json)) continue;
    LIEFLAT_TAKE(picture, OpenKeptPicture(session, kept, folder.string()));
    LIEFLAT_TAKE(jpeg, EncodeSmallJpeg(picture.picture, kMostPx));
    const Eigen::Vector2d half(0.5, 0.5);
    FacePicture face;
    face.side = side;
    face.data_uri = "data:image/jpeg;base64," + Base64(jpeg);
    face.low_mm = picture.low_mm - picture.mm_per_px * half;
    face.high_mm = face.low_mm + picture.mm_per_px *
                                     Eigen::Vector2d(picture.picture.width, picture.picture.height);
    face.scale_u95_percent = 100.0 * kNormal95 * picture.scale_u;
    face.place_u95_mm = kNormal95 * picture.place_u_mm;
    face.parallax_most = picture.parallax_most;
    faces.push_back(std::move(face));
  }
  return faces;
}

std::string SeenPictureName(const std::string& entry) { return "photos/" + entry + "-seen.svg"; }

namespace {

/// The content of the drawing's <desc>, as plain text; nothing where it has none.
std::string MeaningOf(const std::string& svg) {
  const std::string open = "<desc>", close = "</desc>";
  const auto from = svg.find(open);
  const auto to = svg.find(close);
  if (from == std::string::npos || to == std::string::npos || to < from) return "";
  std::string text = svg.substr(from + open.size(), to - from - open.size());
  for (const auto& [entity, letter] :
       {std::pair("&lt;", "<"), std::pair("&gt;", ">"), std::pair("&amp;", "&")}) {
    for (std::size_t at = 0; (at = text.find(entity, at)) != std::string::npos; ++at)
      text.replace(at, std::string_view(entity).size(), letter);
  }
  return text;
}

}  // namespace

Result<std::vector<SeenPicture>> SeenForPage(Session& session,
                                             const Disk::Path& folder,
                                             const Log& log) {
  constexpr std::size_t kMostPictures = 4;  // four edges, one after the other
  constexpr std::size_t kMostBytes = 300000;
  std::vector<SeenPicture> pictures;
  for (auto entry = log.entries.rbegin(); entry != log.entries.rend(); ++entry) {
    if (!entry->photo || entry->voided || !entry->fields.contains("seen")) continue;
    if (pictures.size() == kMostPictures) break;
    SeenPicture picture{entry->id, entry->at.Short(), SeenPictureName(entry->id), "", ""};
    if (!session.disk.IsFile(folder / picture.file)) {
      picture.words = "it is not in the board's folder any more";
    } else {
      LIEFLAT_TAKE(svg, session.disk.Read(folder / picture.file));
      if (!svg.starts_with("<svg")) {
        picture.words = "it is no drawing of lieflat's any more";
      } else if (svg.size() > kMostBytes) {
        picture.words = "it is too large for a page";
      } else {
        picture.data_uri = "data:image/svg+xml;base64," + Base64(svg);
        picture.words = MeaningOf(svg);
      }
    }
    pictures.push_back(std::move(picture));
  }
  return pictures;
}

}  // namespace lieflat::cli
