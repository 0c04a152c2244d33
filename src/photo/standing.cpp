#include "lieflat/photo/standing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "photo/contact_edge.h"
#include "photo/edge_covariance.h"
#include "photo/edge_curves.h"
#include "photo/hidden.h"
#include "photo/lying_set.h"
#include "photo/paper_height.h"
#include "photo/sheet_light.h"
#include "photo/standing_profile.h"
#include "photo/twist_seen.h"

namespace lieflat {
namespace {

using internal::ContactEdge;

/// One used photo's edge.
struct Traced {
  std::size_t photo = 0, shot = 0;
  ContactEdge edge;
  double elevation_deg = 0.0;
  double slope = 0.0;  ///< shift along the sheet a millimetre of height makes: cotangent
};

class Standing {
 public:
  Standing(const std::vector<StandingPhoto>& photos,
           const Board& board,
           const StandingRequest& request,
           const Printed& printed,
           const Calib& calib)
      : photos_(photos), board_(board), request_(request), printed_(printed), calib_(calib) {
    for (const StandingPhoto& photo : photos) {
      seen_.push_back(internal::Landscape(photo.seen));
      out_.photos.push_back({photo.seen.name,
                             true,
                             "",
                             static_cast<int>(photo.seen.corners.size()),
                             static_cast<int>(photo.seen.stickers.size()),
                             0.0});
    }
    out_.edge = request.edge;
    out_.seen = request.seen;
  }

  Result<StandingResult> Run() {
    JudgeEach();
    if (auto enough = Enough(); !enough) return enough.error();
    if (auto solved = Solve(); !solved) return solved.error();
    TraceEach();
    if (auto enough = Enough(); !enough) return enough.error();
    if (auto placed = Ends(); !placed) return placed.error();
    if (auto fitted = Fit(); !fitted) return fitted.error();
    SeeUpperEdge();
    Write();
    return std::move(out_);
  }

 private:
  [[nodiscard]] double Limit(const std::string& name) const {
    return calib_.Number("photo", "/standing/" + name).value;
  }
  void Drop(std::size_t photo, std::string why) {
    out_.photos[photo].used = false;
    out_.photos[photo].why_not = std::move(why);
  }
  void Warn(std::string what) { out_.warnings.push_back(std::move(what)); }

  void JudgeEach() {
    const SeenPhoto* first = nullptr;
    for (std::size_t i = 0; i < seen_.size(); ++i) {
      const ShotVerdict verdict = JudgeShot(seen_[i], printed_, true, calib_);
      if (!verdict.problem.empty()) {
        Drop(i, verdict.problem);
        continue;
      }
      for (const auto& warning : verdict.warnings) Warn(seen_[i].name + ": " + warning);
      if (first == nullptr) {
        first = &seen_[i];
        out_.sheet = first->sheet;
      } else if (seen_[i].sheet != first->sheet) {
        Drop(i,
             fmt::format("shows the sheet {}, the others {}: one sheet for all photos of a set",
                         seen_[i].sheet,
                         first->sheet));
      } else if (seen_[i].width != first->width || seen_[i].height != first->height ||
                 seen_[i].focal_35mm != first->focal_35mm) {
        Drop(i,
             "another size or lens than the first: the same lens for all, 1x, as the phone "
             "stores it");
      }
    }
  }

  Result<void> Enough() const {
    std::vector<std::string> reasons;
    for (const PhotoUse& photo : out_.photos) {
      if (photo.used) return {};
      reasons.push_back(photo.name + ": " + photo.why_not);
    }
    return Error{ErrorCode::kNoFigure, "photos", "none can be used", Join(reasons, "; ")};
  }

  Result<void> Solve() {
    std::vector<bool> used;
    for (const PhotoUse& photo : out_.photos) used.push_back(photo.used);
    mat_ = printed_.Find(out_.sheet);
    set_ = internal::BuildProblem(seen_, used, {}, {{mat_}}, calib_);
    // One photo shows heights only where the print is believed to be true.
    const bool single = set_.bundle.shots.size() == 1;
    for (SheetPoint& point : set_.bundle.sheet) {
      point.u_height_mm = Limit("sheet_height_u_mm");
      if (single) point.u_mm = Limit("sheet_u_single_mm");
    }
    BundleOptions options;
    options.max_passes = 200;  // one photo holds heights weakly: slow to settle
    auto bundle = SolveBundle(set_.bundle, {}, options);
    if (!bundle) {
      Error error = bundle.error();
      error.remedy = "take them again: the whole sheet in the frame, sharp, from 55 to 70 degrees";
      return error;
    }
    bundle_ = std::move(*bundle);
    out_.rms_px = bundle_.rms_px;
    for (const Shot& shot : bundle_.shots) {
      mm_per_px_ +=
          ToCamera(shot).norm() / bundle_.lens.f / static_cast<double>(bundle_.shots.size());
    }
    std::vector<Eigen::Vector3d> points(bundle_.points_mm.begin(), bundle_.points_mm.end());
    paper_ = internal::PaperHeight(
        points,
        Limit(single ? "paper_u_single_mm" : "paper_u_mm"),
        Limit("paper_wave_mm"),
        mm_per_px_ * Limit(single ? "corner_height_u_single_px" : "corner_height_u_px"));
    out_.sheet_height_rms_mm = paper_.rms_mm();
    if (out_.sheet_height_rms_mm > Limit("largest_waviness_mm")) {
      return Error{
          ErrorCode::kNoFigure,
          "sheet",
          fmt::format("it is wavy, {:.2f} mm, and the edge stands on it", out_.sheet_height_rms_mm),
          "tape it to glass or another flat plate, on all sides"};
    }
    if (out_.sheet_height_rms_mm > Limit("warn_waviness_mm")) {
      Warn(fmt::format("the sheet is wavy, {:.2f} mm: tape it to glass", out_.sheet_height_rms_mm));
    }
    return {};
  }

  void TraceEach() {
    for (std::size_t shot = 0; shot < set_.photo_of_shot.size(); ++shot) {
      const std::size_t photo = set_.photo_of_shot[shot];
      Traced traced;
      traced.photo = photo;
      if (!LookDown(bundle_.shots[shot], traced)) continue;
      traced.shot = shot;
      auto edge = internal::FindContactEdge(LightOf(traced),
                                            Window(),
                                            mat_->LineY() * bundle_.print_y,
                                            Limit("least_column_strength"));
      if (!edge || edge->strength < Limit("least_strength")) {
        Drop(photo,
             "no sharp edge is seen on the blank band: stand the board on the grey line, lamp "
             "behind the phone so that its shadow falls behind the board");
        continue;
      }
      if (!SheetBeyond(photo, *edge)) continue;
      traced.edge = std::move(*edge);
      traced_.push_back(std::move(traced));
    }
  }

  [[nodiscard]] internal::SheetLight LightOf(const Traced& traced) const {
    return internal::LightOfSheet(
        photos_[traced.photo].weakest, bundle_.lens, bundle_.shots[traced.shot], paper_, *mat_);
  }

  /// From the middle of the line to the camera, sheet's frame.
  [[nodiscard]] Eigen::Vector3d ToCamera(const Shot& shot) const {
    const Eigen::Vector3d camera = -(shot.rotation.transpose() * shot.position);
    return camera - Eigen::Vector3d(0.5 * mat_->width_mm(), mat_->LineY(), 0.0);
  }

  /// How steeply the camera looks down at the line.
  bool LookDown(const Shot& shot, Traced& traced) {
    const Eigen::Vector3d off = ToCamera(shot);
    traced.elevation_deg = std::asin(off.z() / off.norm()) * 180.0 / std::numbers::pi;
    traced.slope = std::abs(off.y()) / off.z();
    if (off.y() > 0.0) {
      Drop(traced.photo, "taken from behind: the side with the arrow is the phone's");
      return false;
    }
    if (traced.elevation_deg < Limit("least_elevation_deg")) {
      Drop(traced.photo,
           fmt::format("the phone looks down by {:.0f} degrees only, {:.0f} needed: hold it higher",
                       traced.elevation_deg,
                       Limit("least_elevation_deg")));
      return false;
    }
    if (traced.elevation_deg < Limit("warn_elevation_deg")) {
      Warn(fmt::format("{}: the phone looks down by {:.0f} degrees: 55 to 70 are better",
                       seen_[traced.photo].name,
                       traced.elevation_deg));
    }
    return true;
  }

  [[nodiscard]] internal::BandWindow Window() const {
    const Band& band = *mat_->band;
    const double s = mat_->square_mm;
    // A blurred black square beside the band must not be taken for the board.
    constexpr double kMarginMm = 2.5;
    return {band.from_column * s + kMarginMm,
            band.to_column * s - kMarginMm,
            band.from_row * s + kMarginMm,
            mat_->LineY() + Limit("search_behind_mm")};
  }

  /// Corners of the sheet must show beyond both ends of the edge.
  bool SheetBeyond(std::size_t photo, const ContactEdge& edge) {
    int left = 0, right = 0;
    for (const SeenCorner& corner : seen_[photo].corners) {
      const double x = mat_->Corner(corner.column, corner.row).x();
      left += x < edge.first_mm.x() ? 1 : 0;
      right += x > edge.last_mm.x() ? 1 : 0;
    }
    constexpr int kEnough = 3;
    if (left >= kEnough && right >= kEnough) return true;
    Drop(photo,
         fmt::format("the sheet does not show beyond the board's {} end: aim so that it does",
                     left < kEnough ? "left" : "right"));
    return false;
  }

  /// The chord of all photos; the edge's length against the board's.
  Result<void> Ends() {
    const auto n = static_cast<double>(traced_.size());
    start_.setZero();
    end_.setZero();
    for (const Traced& traced : traced_) {
      start_ += traced.edge.first_mm / n;
      end_ += traced.edge.last_mm / n;
      if (traced.edge.cut_off) {
        return Error{ErrorCode::kNoFigure,
                     out_.photos[traced.photo].name,
                     "the board reaches beyond the blank band",
                     "use the next larger stand sheet, or stand it between the band's ends"};
      }
    }
    out_.length_mm = (end_ - start_).norm();
    const double board = board_.EdgeLength(request_.edge);
    scale_ = board / out_.length_mm;
    const double off = std::abs(scale_ - 1.0);
    if (off > Limit("largest_length_error")) {
      return Error{ErrorCode::kNoFigure,
                   "--edge",
                   fmt::format("the edge on the sheet is {:.0f} mm long, the board's {} is {:.0f}",
                               out_.length_mm,
                               Name(request_.edge),
                               board),
                   "is it that edge, are both its ends free of legs, and was the sheet printed at "
                   "100 %?"};
    }
    if (off > Limit("warn_length_error")) {
      Warn(fmt::format("the edge looks {:.1f} mm {} than {}: is an end hidden?",
                       std::abs(out_.length_mm - board),
                       out_.length_mm < board ? "shorter" : "longer",
                       Name(request_.edge)));
    }
    return {};
  }

  /// One smooth curve a photo and their mean; what stands before the edge is found beside a first
  /// one, named and left out of the second.
  Result<void> Fit() {
    std::vector<std::vector<Eigen::Vector2d>> places;
    for (const Traced& traced : traced_) places.push_back(traced.edge.places_mm);
    const internal::Chord chord{start_, end_};
    const double clear = Limit("clear_of_ends_mm");
    curves_ = internal::FitEdgeCurves(places, chord, clear, {});
    const std::vector<internal::EdgeBody> bodies = FindBodies(chord);
    // Named by the first fit: what was found in a body's place tells on which side it lies.
    std::vector<Hidden> hidden = internal::NameHidden(bodies, curves_, calib_);
    if (!bodies.empty()) curves_ = internal::FitEdgeCurves(places, chord, clear, bodies);
    for (Hidden& one : hidden) AddHidden(std::move(one));
    if (!FirstIsLeft()) std::reverse(out_.hidden.begin(), out_.hidden.end());
    out_.scatter_mm = curves_.scatter_mm;
    out_.traces_mm = curves_.traces;
    out_.inlier_share = curves_.covered_share;
    return Covered();
  }

  [[nodiscard]] std::vector<internal::EdgeBody> FindBodies(const internal::Chord& chord) const {
    std::vector<internal::LightBefore> photos;
    for (std::size_t i = 0; i < traced_.size(); ++i) {
      const auto light = LightOf(traced_[i]);
      const Eigen::VectorXd& curve = curves_.each[i];
      photos.push_back([=, &curve](double along, double before) {
        const auto k = std::min(static_cast<Eigen::Index>(along), curve.size() - 1);
        const Eigen::Vector2d at =
            chord.start + along * chord.along() + (curve(k) - before) * chord.away();
        return light(at.x(), at.y());
      });
    }
    return internal::WithoutShadows(
        internal::FindEdgeBodies(
            photos, out_.length_mm, Limit("body_light_share"), Limit("leg_narrowest_mm")),
        curves_);
  }

  Result<void> Covered() {
    std::vector<std::string> names;
    for (const Hidden& one : out_.hidden) names.push_back(Describe(one));
    const std::string left_out = names.empty() ? "" : "; left out: " + Join(names, "; ");
    const std::string seen = fmt::format(
        "{:.0f} % of it is seen to meet the paper{}", 100.0 * out_.inlier_share, left_out);
    if (out_.inlier_share < Limit("least_inliers")) {
      return Error{ErrorCode::kNoFigure,
                   "edge",
                   "only " + seen,
                   "turn the face with fewer legs and connectors to the phone, or stand it on the "
                   "other edge"};
    }
    if (out_.inlier_share < Limit("warn_inliers"))
      Warn(seen + ": turn the face with fewer legs and connectors to the phone");
    if (out_.scatter_mm > Limit("warn_scatter_mm"))
      Warn(fmt::format("the edge is rough, {:.2f} mm: clean it, more light", out_.scatter_mm));
    return {};
  }

  /// From along the chord to along the board's edge.
  void AddHidden(Hidden hidden) {
    const double clear = Limit("clear_of_ends_mm") + 1.0;
    const bool at_end = hidden.from_mm < clear || hidden.to_mm > out_.length_mm - clear;
    const bool is_long = hidden.to_mm - hidden.from_mm > Limit("longest_run_mm");
    const double length = board_.EdgeLength(request_.edge);
    const auto own = [&](double along) {
      const double at = std::clamp(scale_ * along, 0.0, length);
      return FirstIsLeft() ? at : length - at;
    };
    for (double& leg : hidden.legs_mm) leg = own(leg);
    std::sort(hidden.legs_mm.begin(), hidden.legs_mm.end());
    const double a = own(hidden.from_mm), b = own(hidden.to_mm);
    hidden.from_mm = std::min(a, b);
    hidden.to_mm = std::max(a, b);
    if (at_end || is_long)
      Warn(fmt::format(
          "{}, counted from {}: nothing is read there", Describe(hidden), Name(request_.edge)[0]));
    out_.hidden.push_back(std::move(hidden));
  }

  [[nodiscard]] bool FirstIsLeft() const { return request_.seen == Side::kComponent; }

  /// The upper edge against the lower one: only looked at.
  void SeeUpperEdge() {
    std::vector<internal::UpperShot> shots;
    for (const Traced& traced : traced_)
      shots.push_back({&photos_[traced.photo].weakest, &bundle_.shots[traced.shot]});
    out_.upper = internal::SeeUpperEdge(
        shots,
        {bundle_, *mat_, printed_.mat_markers, paper_, {start_, end_}, curves_, scale_},
        board_,
        request_.edge,
        calib_);
  }

  /// What the paper's height under the line leaves, and a bend of the view that nothing shows.
  [[nodiscard]] Eigen::MatrixXd PlaneCovariance() const {
    double slope = 0.0;
    for (const Traced& traced : traced_)
      slope += traced.slope / static_cast<double>(traced_.size());
    const double bend_u =
        std::hypot(mm_per_px_ * Limit(traced_.size() == 1 ? "bend_u_single_px" : "bend_u_px"),
                   Limit("bend_u_mm"));
    return internal::ViewCovariance(
        paper_, start_, end_, curves_.mean.size(), {slope, bend_u, Limit("end_u_mm")});
  }

  void Write() {
    PhotoReading& reading = out_.reading;
    reading.pose = "standing";
    reading.held = request_.held;
    reading.edge = request_.edge;
    reading.sheet = fmt::format("{}/{}", out_.sheet, mat_->version);
    reading.photos = static_cast<int>(traced_.size());
    internal::WriteProfile({curves_, out_.length_mm, scale_, FirstIsLeft()},
                           PlaneCovariance(),
                           Limit("scale_u"),
                           board_,
                           out_);
    DescribePhotos();
  }

  void DescribePhotos() {
    out_.elevation_deg = 90.0;
    for (const Traced& traced : traced_) {
      out_.elevation_deg = std::min(out_.elevation_deg, traced.elevation_deg);
    }
    for (std::size_t shot = 0; shot < set_.photo_of_shot.size(); ++shot) {
      double sum = 0.0;
      int count = 0;
      for (std::size_t i = 0; i < set_.bundle.sightings.size(); ++i) {
        if (set_.bundle.sightings[i].shot != static_cast<int>(shot) || !bundle_.used[i]) continue;
        sum += bundle_.residuals_px[i].squaredNorm();
        ++count;
      }
      out_.photos[set_.photo_of_shot[shot]].rms_px = std::sqrt(sum / std::max(1, 2 * count));
    }
    if (traced_.size() == 1) Warn("one photo: three, one from each side, halve the uncertainty");
  }

  const std::vector<StandingPhoto>& photos_;
  const Board& board_;
  const StandingRequest& request_;
  const Printed& printed_;
  const Calib& calib_;
  std::vector<SeenPhoto> seen_;
  const MatLayout* mat_ = nullptr;
  internal::SetProblem set_;
  Bundle bundle_;
  internal::PaperHeight paper_;
  std::vector<Traced> traced_;
  Eigen::Vector2d start_ = Eigen::Vector2d::Zero(), end_ = Eigen::Vector2d::Zero();
  double scale_ = 1.0, mm_per_px_ = 0.0;
  internal::EdgeCurves curves_;
  StandingResult out_;
};

}  // namespace

Result<StandingResult> MeasureStanding(const std::vector<StandingPhoto>& photos,
                                       const Board& board,
                                       const StandingRequest& request,
                                       const Printed& printed,
                                       const Calib& calib) {
  return Standing(photos, board, request, printed, calib).Run();
}

}  // namespace lieflat
