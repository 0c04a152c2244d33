#include "lieflat/photo/board_picture.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "photo/board_place.h"
#include "photo/decoders.h"
#include "photo/homography.h"
#include "photo/lying_set.h"
#include "photo/sheet_pattern.h"

namespace lieflat {

using internal::BoardFace;
using internal::BoardPlace;
using internal::Camera;
using internal::SolvedPhoto;

Eigen::Vector2d BoardPicture::ToPx(const Eigen::Vector2d& at_mm) const {
  const Eigen::Vector2d p = (at_mm - low_mm) / mm_per_px;
  return {p.x(), picture.height - 1 - p.y()};
}

Eigen::Vector2d BoardPicture::ToMm(const Eigen::Vector2d& at_px) const {
  return low_mm + mm_per_px * Eigen::Vector2d(at_px.x(), picture.height - 1 - at_px.y());
}

Result<BoardPhoto> TakeBoardPhoto(std::string_view bytes,
                                  const std::string& name,
                                  const Printed& printed) {
  auto colour_taken = DecodePicture(bytes, name, Colours::kColour);
  if (!colour_taken) return colour_taken.error();
  auto& colour = *colour_taken;
  constexpr int kQuarterBack = 8;  // EXIF: to be turned counter-clockwise
  if (colour.width < colour.height) colour = Oriented(colour, kQuarterBack);
  Picture grey = colour;
  internal::ToGrey(grey);
  BoardPhoto photo{name, std::move(colour), LookAt(grey, name, printed)};
  return photo;
}

std::string WhyNoPicture(const SeenPhoto& photo, const Printed& printed, const Calib& calib) {
  const auto limit = [&](const char* name) { return calib.Number("photo", name).value; };
  const MatLayout* const mat = printed.Find(photo.sheet);
  const int own = mat == nullptr ? 0 : photo.markers_of_sheet.at(photo.sheet);
  if (photo.mirrored_markers > std::max(5, own))
    return "the sheet is printed mirrored: print it again without \"mirror\", at 100 %";
  if (mat == nullptr) {
    return "no marker of a printed sheet is seen: lay the board on the lay sheet (lieflat sheet), "
           "the whole sheet in the frame, more light, hold still";
  }
  if (mat->stand) return fmt::format("shows the {}: lay the board on the lay sheet", mat->plain);
  if (mat->tile != 0) {
    return fmt::format(
        "shows {}: a picture to scale is painted from a lay sheet of one page; tiles "
        "are for heights (lieflat photo)",
        mat->plain);
  }
  const double width_px = std::max(photo.edge_width_px, photo.wider_edge_px);
  const bool blurred = width_px > limit("/picture/widest_edge_px");
  if (static_cast<double>(photo.corners.size()) < limit("/picture/least_corners")) {
    return fmt::format(
        "{} sheet corners, {} needed: {}",
        photo.corners.size(),
        limit("/picture/least_corners"),
        blurred ? "it is blurred; hold the phone still, tap the board to focus"
                : "move back until the sheet shows on all sides of the board, and hold still");
  }
  if (photo.paper_light < limit("/picture/darkest_paper"))
    return "too dark: more light, from two sides, no flash";
  if (blurred || photo.edge_width_px == 0.0) {
    return fmt::format(
        "blurred: edges are {:.0f} px wide, {} at most; hold the phone still, tap the board to "
        "focus, more light",
        width_px,
        limit("/picture/widest_edge_px"));
  }
  return "";
}

namespace {

class Maker {
 public:
  Maker(const std::vector<BoardPhoto>& photos,
        const Board& board,
        const BoardPictureRequest& request,
        const Printed& printed,
        const Calib& calib)
      : photos_(photos),
        board_(board),
        request_(request),
        printed_(printed),
        calib_(calib),
        face_(board, request.side, request.warp) {}

  Result<BoardPicture> Run() {
    if (auto done = Choose(); !done) return done.error();
    if (auto done = SolveCameras(); !done) return done.error();
    if (auto done = Place(); !done) return done.error();
    if (auto done = Paint(); !done) return done.error();
    return std::move(out_);
  }

 private:
  [[nodiscard]] double Limit(const char* name) const {
    return calib_.Number("photo", std::string("/picture/") + name).value;
  }

  Result<void> Choose() {
    std::vector<std::string> reasons;
    for (const BoardPhoto& photo : photos_) {
      PhotoUse use{photo.name,
                   true,
                   WhyNoPicture(photo.seen, printed_, calib_),
                   static_cast<int>(photo.seen.corners.size()),
                   0,
                   0.0};
      if (use.why_not.empty()) {
        if (out_.sheet.empty()) out_.sheet = photo.seen.sheet;
        if (photo.seen.sheet != out_.sheet) use.why_not = "shows another sheet than the first";
        if (!used_.empty() && (photo.colour.width != used_.front()->colour.width ||
                               photo.colour.height != used_.front()->colour.height))
          use.why_not = "is of another size than the first: give photos as the phone took them";
      }
      use.used = use.why_not.empty();
      if (use.used) used_.push_back(&photo);
      if (!use.used) reasons.push_back(use.name + ": " + use.why_not);
      out_.photos.push_back(use);
    }
    if (!used_.empty()) return {};
    return Error{ErrorCode::kNoFigure,
                 "photos",
                 fmt::format("none of {} can become a picture", photos_.size()),
                 Join(reasons, "; ")};
  }

  Result<void> SolveCameras() {
    std::vector<SeenPhoto> seen;
    for (const BoardPhoto* photo : used_) seen.push_back(photo->seen);
    const std::vector<bool> all(seen.size(), true);
    const auto set = internal::BuildProblem(seen, all, {}, {{printed_.Find(out_.sheet)}}, calib_);
    auto bundle_taken = SolveBundle(set.bundle, {});
    if (!bundle_taken) {
      return Error{ErrorCode::kNoFigure,
                   used_.front()->name,
                   fmt::format("the sheet's corners do not agree with each other ({})",
                               bundle_taken.error().message),
                   "it may be blurred: hold the phone still, tap the board to focus; lay the "
                   "sheet flat"};
    }
    auto& bundle = *bundle_taken;
    for (std::size_t i = 0; i < used_.size(); ++i) {
      const Picture& colour = used_[i]->colour;
      solved_.push_back(
          {used_[i],
           {bundle.lens, bundle.shots[i], {0.5 * (colour.width - 1), 0.5 * (colour.height - 1)}}});
    }
    // The most upright look at the sheet is painted.
    double most = -1.0;
    for (const SolvedPhoto& one : solved_) {
      const double upright = one.camera.shot.rotation(2, 2) < 0.0 ? -one.camera.shot.rotation(2, 2)
                                                                  : one.camera.shot.rotation(2, 2);
      if (upright > most) {
        most = upright;
        painter_ = &one;
      }
    }
    return {};
  }

  Result<void> Place() {
    const MatLayout& mat = *printed_.Find(out_.sheet);
    BoardPlace start;
    start.height_mm = board_.thickness_mm.value + Limit("rest_mm");
    start.turned_rad = request_.turned_deg * std::numbers::pi / 180.0;
    const auto found = internal::SeekBoard(*painter_, board_, face_, start, printed_, mat);
    if (!found) {
      return Error{ErrorCode::kNoFigure,
                   painter_->photo->name,
                   "no board of the described size is seen on the sheet",
                   "lay it on the sheet with AB along the sheet's lower edge (or say --turned), "
                   "or correct the board's size"};
    }
    const double px_per_mm = PxPerMm(*found);
    constexpr double kSigmas = 2.563;  // of a Gauss, from 10 to 90 %
    out_.blur_mm = std::max(0.4, painter_->photo->seen.edge_width_px / kSigmas) / px_per_mm;
    auto fitted_taken = internal::FitPlace(solved_, board_, face_, *found, out_.blur_mm, calib_);
    if (!fitted_taken) return fitted_taken.error();
    auto& fitted = *fitted_taken;
    place_ = fitted.place;
    if (std::abs(place_.scale - 1.0) > Limit("largest_scale_error")) {
      return Error{ErrorCode::kRefused,
                   "board",
                   fmt::format("measures {:.1f} % {} on the sheet than described",
                               100.0 * std::abs(place_.scale - 1.0),
                               place_.scale > 1.0 ? "more" : "less"),
                   "correct the board's size (lieflat set), or print the sheet at 100 %"};
    }
    if (fitted.rms_mm > Limit("largest_outline_rms_mm")) {
      out_.warnings.push_back(
          fmt::format("the outline found strays by {:.2f} mm from the described one: is the "
                      "outline right, is something over its edges?",
                      fitted.rms_mm));
    }
    StateErrors(fitted);
    FindSheetBehind();
    return {};
  }

  [[nodiscard]] double PxPerMm(const BoardPlace& place) const {
    const Eigen::Vector2d m = face_.middle();
    const auto see = [&](const Eigen::Vector2d& p) {
      return painter_->camera.See(face_.World(place, p));
    };
    return std::min((see(m + Eigen::Vector2d(1, 0)) - see(m)).norm(),
                    (see(m + Eigen::Vector2d(0, 1)) - see(m)).norm());
  }

  void StateErrors(const internal::FittedPlace& fitted) {
    const auto [low, high] = board_.Box();
    const double length = (high - low).maxCoeff();
    const Eigen::Vector3d eye = painter_->camera.Centre();
    const double away = eye.z() - place_.height_mm;
    out_.warp_known = static_cast<bool>(request_.warp);
    // A face that stands dz nearer looks dz / distance larger; the rim's own is fitted.
    const double warp_u =
        out_.warp_known ? Limit("warp_known_u_mm") : Limit("warp_u_share") * length;
    const double side_u = board_.size_u_mm.value_or(Limit("size_u_mm"));
    const double size_u = side_u / length;
    const double print_u = Limit("print_scale_u");
    const double size_or_print = size_u * print_u / std::hypot(size_u, print_u);
    out_.scale_u = std::hypot(size_or_print, warp_u / away);
    for (const auto& corner : board_.outline_mm) {
      const Eigen::Vector3d w = face_.World(place_, corner);
      const double parallax = (w - eye).head<2>().norm() / (eye.z() - w.z());
      out_.parallax_most = std::max(out_.parallax_most, parallax);
    }
    const Eigen::Vector2d off = (eye.head<2>() - place_.at_mm) / place_.scale;
    const double c = std::cos(place_.turned_rad), s = std::sin(place_.turned_rad);
    const double mirror = request_.side == Side::kComponent ? 1.0 : -1.0;
    const Eigen::Vector2d own(mirror * (c * off.x() + s * off.y()), -s * off.x() + c * off.y());
    const Eigen::Vector2d foot = face_.middle() + own;
    out_.eye_mm = {foot.x(), foot.y(), away};
    out_.place_u_mm = std::sqrt(std::pow(fitted.place_u_mm, 2) +
                                std::pow(out_.parallax_most * warp_u, 2) + side_u * side_u / 4.0);
    for (const Part& part : board_.parts) {
      if (!part.height_mm || !part.centre_mm || part.side != request_.side) continue;
      const Eigen::Vector3d w = face_.World(place_, *part.centre_mm);
      const double top = w.z() + *part.height_mm;
      const double moved =
          (w - eye).head<2>().norm() / std::max(1.0, eye.z() - top) * *part.height_mm;
      out_.parts.push_back({part.ref, moved});
    }
    if (out_.parallax_most > Limit("largest_parallax")) {
      out_.warnings.push_back(
          fmt::format("taken at a slant: what stands 10 mm high is displaced by up to {:.1f} mm; "
                      "add a photo from right above",
                      10.0 * out_.parallax_most));
    }
  }

  void FindSheetBehind() {
    const Eigen::Vector3d eye = painter_->camera.Centre();
    const auto [low, high] = board_.Box();
    std::vector<internal::PointPair> pairs;
    for (const double sx : {0.0, 0.5, 1.0}) {
      for (const double sy : {0.0, 0.5, 1.0}) {
        const Eigen::Vector2d p = low + Eigen::Vector2d(sx, sy).cwiseProduct(high - low);
        pairs.push_back({p, internal::SheetBehind(eye, face_.World(place_, p))});
      }
    }
    out_.sheet_of_face = internal::FitHomography(pairs);
  }

  Result<void> Paint() {
    const double px_per_mm = PxPerMm(place_);
    if (px_per_mm < Limit("least_px_per_mm")) {
      return Error{
          ErrorCode::kNoFigure,
          painter_->photo->name,
          fmt::format(
              "shows {:.1f} pixels a millimetre, {} needed", px_per_mm, Limit("least_px_per_mm")),
          "go nearer so that the sheet fills the frame, and take it at the phone's full "
          "size"};
    }
    for (const auto& corner : board_.outline_mm) {
      const Eigen::Vector2d px = painter_->camera.See(face_.World(place_, corner));
      if (px.x() < 0 || px.y() < 0 || px.x() > painter_->photo->colour.width - 1 ||
          px.y() > painter_->photo->colour.height - 1) {
        return Error{ErrorCode::kNoFigure,
                     painter_->photo->name,
                     "the board is cropped: a corner lies outside the frame",
                     "move back until board and sheet are in the frame"};
      }
    }
    const double margin = Limit("margin_mm");
    const auto [low, high] = board_.Box();
    out_.mm_per_px = Limit("mm_per_px");
    out_.low_mm = low - Eigen::Vector2d(margin, margin);
    const Eigen::Vector2d size = high - low + 2.0 * Eigen::Vector2d(margin, margin);
    const int width = static_cast<int>(std::lround(size.x() / out_.mm_per_px)) + 1;
    const int height = static_cast<int>(std::lround(size.y() / out_.mm_per_px)) + 1;
    out_.side = request_.side;
    out_.painted_from = painter_->photo->name;
    out_.picture = internal::PaintFace(painter_->photo->colour,
                                       painter_->camera,
                                       face_,
                                       place_,
                                       out_.low_mm,
                                       out_.mm_per_px,
                                       width,
                                       height);
    return {};
  }

  const std::vector<BoardPhoto>& photos_;
  const Board& board_;
  const BoardPictureRequest& request_;
  const Printed& printed_;
  const Calib& calib_;
  BoardFace face_;
  std::vector<const BoardPhoto*> used_;
  std::vector<SolvedPhoto> solved_;
  const SolvedPhoto* painter_ = nullptr;
  BoardPlace place_;
  BoardPicture out_;
};

}  // namespace

Result<BoardPicture> MakeBoardPicture(const std::vector<BoardPhoto>& photos,
                                      const Board& board,
                                      const BoardPictureRequest& request,
                                      const Printed& printed,
                                      const Calib& calib) {
  return Maker(photos, board, request, printed, calib).Run();
}

}  // namespace lieflat
