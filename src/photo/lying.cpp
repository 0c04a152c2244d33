#include "lieflat/photo/lying.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "lieflat/base/text.h"

#include "photo/lying_set.h"
#include "photo/place.h"
#include "photo/plane.h"

namespace lieflat {
namespace {

using internal::SetProblem;

class Measurement {
 public:
  Measurement(const std::vector<SeenPhoto>& photos,
              const Board& board,
              const LyingRequest& request,
              const Printed& printed,
              const Calib& calib)
      : board_(board), request_(request), printed_(printed), calib_(calib) {
    for (const SeenPhoto& photo : photos) {
      photos_.push_back(internal::Landscape(photo));
      out_.photos.push_back({photo.name,
                             true,
                             "",
                             static_cast<int>(photo.corners.size()),
                             static_cast<int>(photo.stickers.size()),
                             0.0});
    }
  }

  Result<LyingResult> Run() {
    JudgeEach();
    SameSheet();
    SameSize();
    if (auto enough = Enough(); !enough) return enough.error();
    if (auto solved = SolveUntilSound(); !solved) return solved.error();
    if (auto jackknifed = LeaveOneOut(); !jackknifed) return jackknifed.error();
    if (auto placed = Place(); !placed) return placed.error();
    Describe();
    return std::move(out_);
  }

 private:
  [[nodiscard]] double Limit(const char* pointer) const {
    return calib_.Number("photo", pointer).value;
  }
  [[nodiscard]] int Used() const {
    return static_cast<int>(std::count_if(
        out_.photos.begin(), out_.photos.end(), [](const PhotoUse& p) { return p.used; }));
  }
  [[nodiscard]] std::vector<bool> UsedMask() const {
    std::vector<bool> mask;
    for (const PhotoUse& photo : out_.photos) mask.push_back(photo.used);
    return mask;
  }
  [[nodiscard]] std::string NameOf(int id) const { return printed_.stickers.NameOf(id); }
  void Drop(std::size_t photo, std::string why) {
    out_.photos[photo].used = false;
    out_.photos[photo].why_not = std::move(why);
  }

  void JudgeEach() {
    for (std::size_t i = 0; i < photos_.size(); ++i) {
      const ShotVerdict verdict = JudgeShot(photos_[i], printed_, false, calib_);
      if (!verdict.problem.empty()) Drop(i, verdict.problem);
      for (const auto& warning : verdict.warnings)
        out_.warnings.push_back(photos_[i].name + ": " + warning);
    }
  }

  /// The value that most used photos share.
  template <typename Key>
  [[nodiscard]] Key Commonest(Key (*key)(const SeenPhoto&)) const {
    std::map<Key, int> counts;
    for (std::size_t i = 0; i < photos_.size(); ++i) {
      if (out_.photos[i].used) ++counts[key(photos_[i])];
    }
    Key best{};
    int most = 0;
    for (const auto& [value, count] : counts) {
      if (count > most) {
        most = count;
        best = value;
      }
    }
    return best;
  }

  void SameSheet() {
    out_.sheet = Commonest<std::string>([](const SeenPhoto& p) { return p.sheet; });
    for (std::size_t i = 0; i < photos_.size(); ++i) {
      if (out_.photos[i].used && photos_[i].sheet != out_.sheet) {
        Drop(i,
             fmt::format("shows the sheet {}, the others {}: one sheet for all photos of a set",
                         photos_[i].sheet,
                         out_.sheet));
      }
    }
  }

  void SameSize() {
    const auto size = Commonest<std::pair<int, int>>(
        [](const SeenPhoto& p) { return std::pair(p.width, p.height); });
    const double focal =
        Commonest<double>([](const SeenPhoto& p) { return p.focal_35mm.value_or(0.0); });
    for (std::size_t i = 0; i < photos_.size(); ++i) {
      if (!out_.photos[i].used) continue;
      const SeenPhoto& photo = photos_[i];
      if (std::pair(photo.width, photo.height) != size) {
        Drop(i,
             fmt::format("{} x {} pixels, the others {} x {}: give the photos as the phone took "
                         "them, all at one size",
                         photo.width,
                         photo.height,
                         size.first,
                         size.second));
      } else if (focal > 0.0 && photo.focal_35mm &&
                 std::abs(*photo.focal_35mm / focal - 1.0) > Limit("/photos/largest_zoom_share")) {
        Drop(i,
             fmt::format("another lens or zoom ({:g} mm, the others {:g} mm): the same lens for "
                         "all, 1x, no zoom",
                         *photo.focal_35mm,
                         focal));
      }
    }
  }

  Result<void> Enough() const {
    const int needed = static_cast<int>(Limit("/photos/least_lying"));
    if (Used() >= needed) return {};
    std::vector<std::string> reasons;
    for (const PhotoUse& photo : out_.photos) {
      if (!photo.used) reasons.push_back(photo.name + ": " + photo.why_not);
    }
    const std::string remedy = reasons.empty() ? "take five: one from each side, looking down by "
                                                 "half a right angle, and one from above"
                                               : Join(reasons, "; ");
    return Error{ErrorCode::kNoFigure,
                 "photos",
                 fmt::format("{} of {} can be used, {} needed", Used(), photos_.size(), needed),
                 remedy};
  }

  /// Stickers seen in two used photos at least, and not found bad before.
  [[nodiscard]] std::vector<int> UsableStickers() const {
    std::map<int, int> seen;
    for (std::size_t i = 0; i < photos_.size(); ++i) {
      if (!out_.photos[i].used) continue;
      for (const SeenSticker& sticker : photos_[i].stickers) ++seen[sticker.id];
    }
    std::vector<int> ids;
    for (const auto& [id, count] : seen) {
      if (count >= 2 && !bad_.contains(id)) ids.push_back(id);
    }
    return ids;
  }

  Result<void> Solve() {
    const auto stickers = UsableStickers();
    constexpr std::size_t kLeastStickers = 4;  // three lie in a plane always
    if (stickers.size() < kLeastStickers) {
      return Error{
          ErrorCode::kNoFigure,
          "stickers",
          fmt::format(
              "{} are seen in two photos or more, {} needed", stickers.size(), kLeastStickers),
          "put A to D into the corners and AB, BC, CD, DA against the edges; every one in three "
          "photos"};
    }
    set_ =
        internal::BuildProblem(photos_, UsedMask(), stickers, *printed_.Find(out_.sheet), calib_);
    wanted_.clear();
    for (std::size_t k = 0; k < stickers.size(); ++k) {
      for (int c = 0; c < 4; ++c) wanted_.push_back(set_.index.StickerPoint(k, c));
    }
    auto bundle = SolveBundle(set_.bundle, wanted_);
    if (!bundle) return bundle.error();
    out_.bundle = std::move(*bundle);
    return {};
  }

  /// Solves, takes out what contradicts the rest, until nothing does.
  Result<void> SolveUntilSound() {
    for (std::size_t pass = 0; pass <= photos_.size() + 4; ++pass) {
      if (auto enough = Enough(); !enough) return enough;
      if (auto solved = Solve(); !solved) return solved;
      if (!DropForeignPhoto() && !DropBadStickers()) return {};
    }
    return Error{ErrorCode::kNoFigure,
                 "photos",
                 "they contradict each other",
                 "take the set again without moving board or sheet"};
  }

  /// A photo whose own sightings do not fit: moved board, other board, other lens. The worst one
  /// only.
  bool DropForeignPhoto() {
    const auto shots = set_.bundle.shots.size();
    std::vector<int> stickers(shots, 0), stickers_cut(shots, 0), corners_cut(shots, 0),
        corners(shots, 0);
    std::vector<double> squares(shots, 0.0);
    const int first = static_cast<int>(set_.index.corners.size());
    for (std::size_t i = 0; i < set_.bundle.sightings.size(); ++i) {
      const Sighting& s = set_.bundle.sightings[i];
      const auto shot = static_cast<std::size_t>(s.shot);
      const bool cut = !out_.bundle.used[i];
      if (s.point >= first) {
        ++stickers[shot];
        stickers_cut[shot] += cut ? 1 : 0;
      } else {
        ++corners[shot];
        corners_cut[shot] += cut ? 1 : 0;
      }
      if (!cut) squares[shot] += out_.bundle.residuals_px[i].squaredNorm();
    }
    const double foreign = Limit("/photos/foreign_share");
    const double residual = Limit("/photos/largest_residual_px");
    std::size_t worst = shots;
    double most = 0.0;
    std::string why;
    for (std::size_t shot = 0; shot < shots; ++shot) {
      const int kept = stickers[shot] + corners[shot] - stickers_cut[shot] - corners_cut[shot];
      const double rms = std::sqrt(squares[shot] / std::max(1, 2 * kept));
      out_.photos[set_.photo_of_shot[shot]].rms_px = rms;
      const double cut_stickers =
          static_cast<double>(stickers_cut[shot]) / std::max(1, stickers[shot]);
      const double cut_corners =
          static_cast<double>(corners_cut[shot]) / std::max(1, corners[shot]);
      if (cut_stickers > foreign && cut_stickers > most) {
        most = cut_stickers;
        worst = shot;
        why =
            "its stickers lie elsewhere than in the others: another board, or the board was moved; "
            "do not touch board or sheet between photos";
      }
      if (cut_corners > foreign && cut_corners > most) {
        most = cut_corners;
        worst = shot;
        why =
            "the sheet does not fit the others: another lens, zoom or crop; the same lens for all, "
            "1x, as the phone stores it";
      }
      if (rms > residual && 0.01 * rms > most) {
        most = 0.01 * rms;
        worst = shot;
        why = fmt::format(
            "its corners are off by {:.2f} px where {:.2f} are allowed: blurred; hold still, tap "
            "to focus",
            rms,
            residual);
      }
    }
    if (worst == shots) return false;
    Drop(set_.photo_of_shot[worst], why);
    return true;
  }

  /// Stickers that are no flat squares, or whose rays meet too flat, or that few photos agree on.
  bool DropBadStickers() {
    bool dropped = false;
    const auto drop = [&](int id, const std::string& why) {
      bad_.insert(id);
      out_.dropped.push_back(fmt::format("sticker {}: {}", NameOf(id), why));
      dropped = true;
    };
    for (std::size_t k = 0; k < set_.index.stickers.size(); ++k) {
      const int id = set_.index.stickers[k];
      const int shots = internal::ShotsOf(set_.bundle, out_.bundle.used, set_.index, k);
      if (shots < 2) {
        drop(id, "the photos do not agree where it is: is it loose, or there twice?");
        continue;
      }
      std::array<Eigen::Vector3d, 4> c;
      for (int i = 0; i < 4; ++i)
        c[static_cast<std::size_t>(i)] =
            out_.bundle.points_mm[static_cast<std::size_t>(set_.index.StickerPoint(k, i))];
      double shortest = 1e9, longest = 0.0, sum = 0.0;
      for (std::size_t i = 0; i < 4; ++i) {
        const double side = (c[(i + 1) % 4] - c[i]).norm();
        shortest = std::min(shortest, side);
        longest = std::max(longest, side);
        sum += side;
      }
      const double allowed = Limit("/stickers/square_mm");
      const double bent = std::abs((c[0] - c[1] + c[2] - c[3]).z());
      if (longest - shortest > allowed || bent > 2.0 * allowed) {
        drop(id,
             fmt::format("its sides differ by {:.2f} mm: it does not lie flat; press it on, off "
                         "parts and solder",
                         std::max(longest - shortest, bent)));
        continue;
      }
      size_of_[id] = sum / 4.0;
      if (const double angle = MeetingAngle(k); angle < Limit("/photos/least_meeting_angle_deg")) {
        drop(id, fmt::format("seen under {:.0f} degrees only: photos from more sides", angle));
      }
    }
    return dropped;
  }

  /// Largest angle between two rays to a sticker, degrees.
  [[nodiscard]] double MeetingAngle(std::size_t k) const {
    const int point = set_.index.StickerPoint(k, 0);
    const Eigen::Vector3d at = out_.bundle.points_mm[static_cast<std::size_t>(point)];
    std::vector<Eigen::Vector3d> rays;
    for (std::size_t i = 0; i < set_.bundle.sightings.size(); ++i) {
      const Sighting& s = set_.bundle.sightings[i];
      if (s.point != point || !out_.bundle.used[i]) continue;
      const Shot& shot = out_.bundle.shots[static_cast<std::size_t>(s.shot)];
      rays.push_back((at + shot.rotation.transpose() * shot.position).normalized());
    }
    double least = 1.0;
    for (std::size_t i = 0; i < rays.size(); ++i) {
      for (std::size_t j = i + 1; j < rays.size(); ++j)
        least = std::min(least, rays[i].dot(rays[j]));
    }
    return std::acos(std::clamp(least, -1.0, 1.0)) * 180.0 / std::numbers::pi;
  }

  [[nodiscard]] Eigen::MatrixX3d Centres(const std::vector<Eigen::Vector3d>& points,
                                         const std::vector<std::size_t>& which) const {
    Eigen::MatrixX3d centres(static_cast<Eigen::Index>(which.size()), 3);
    for (std::size_t i = 0; i < which.size(); ++i) {
      Eigen::Vector3d sum = Eigen::Vector3d::Zero();
      for (int c = 0; c < 4; ++c)
        sum += points[static_cast<std::size_t>(set_.index.StickerPoint(which[i], c))];
      centres.row(static_cast<Eigen::Index>(i)) = 0.25 * sum.transpose();
    }
    return centres;
  }
  [[nodiscard]] std::vector<std::size_t> AllStickers() const {
    std::vector<std::size_t> all(set_.index.stickers.size());
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
    return all;
  }

  /// Covariance of the centres' heights over their own plane, mm2.
  [[nodiscard]] Eigen::MatrixXd HeightCovariance(const internal::OwnPlane& plane,
                                                 const Eigen::MatrixX3d& own) const {
    const Eigen::Index n = own.rows();
    Eigen::MatrixXd to_height = Eigen::MatrixXd::Zero(n, 12 * n);
    for (Eigen::Index i = 0; i < n; ++i) {
      for (Eigen::Index c = 0; c < 4; ++c) {
        to_height.block<1, 3>(i, 12 * i + 3 * c) = 0.25 * plane.axes.col(2).transpose();
      }
    }
    const Eigen::MatrixXd p = internal::WithoutPlane(own.leftCols<2>());
    return p * to_height * out_.bundle.covariance_mm2 * to_height.transpose() * p;
  }

  /// The set without each photo in turn: how far each height moves. A photo that moves one far too
  /// far goes, and all is solved again.
  Result<void> LeaveOneOut() {
    while (true) {
      const auto all = AllStickers();
      const Eigen::MatrixX3d centres = Centres(out_.bundle.points_mm, all);
      const auto plane = internal::FitPlane(centres);
      const Eigen::MatrixX3d own = internal::OnPlane(centres, plane);
      const Eigen::VectorXd sd = HeightCovariance(plane, own).diagonal().cwiseMax(0.0).cwiseSqrt();
      const auto shots = static_cast<int>(set_.bundle.shots.size());
      Eigen::VectorXd squares = Eigen::VectorXd::Zero(centres.rows());
      Eigen::VectorXd counts = Eigen::VectorXd::Zero(centres.rows());
      int worst = -1;
      double most = 1.0;
      bool unsettled = false;
      for (int shot = 0; shot < shots; ++shot) {
        const BundleProblem without = internal::WithoutShot(set_.bundle, out_.bundle, shot);
        BundleOptions options;
        options.cuts = 0;
        options.max_passes = 25;
        const auto solved = SolveBundle(without, {}, options);
        if (!solved) {
          unsettled = true;
          continue;
        }
        std::vector<std::size_t> kept;
        for (const std::size_t k : all) {
          if (internal::ShotsOf(without, solved->used, set_.index, k) >= 2) kept.push_back(k);
        }
        if (kept.size() < 4) continue;
        const Eigen::MatrixX3d before = Centres(out_.bundle.points_mm, kept);
        const Eigen::MatrixX3d after = Centres(solved->points_mm, kept);
        const Eigen::MatrixX3d b = internal::OnPlane(before, internal::FitPlane(before));
        const Eigen::MatrixX3d a = internal::OnPlane(after, internal::FitPlane(after));
        for (std::size_t i = 0; i < kept.size(); ++i) {
          const auto row = static_cast<Eigen::Index>(kept[i]);
          const double moved =
              a(static_cast<Eigen::Index>(i), 2) - b(static_cast<Eigen::Index>(i), 2);
          squares(row) += moved * moved;
          counts(row) += 1.0;
          const double sigma = std::max(sd(row), Limit("/photos/moved_floor_mm"));
          const double share = std::abs(moved) / (Limit("/photos/moved_sigma") * sigma);
          if (share > most) {
            most = share;
            worst = shot;
          }
        }
      }
      if (worst < 0 || Used() <= static_cast<int>(Limit("/photos/least_lying"))) {
        jackknife_.resize(centres.rows());
        for (Eigen::Index i = 0; i < centres.rows(); ++i) {
          const double n = counts(i);
          // Jackknife estimate of a standard error (Efron, 1982): (n - 1) / n times the sum of
          // squares.
          jackknife_(i) = n >= 2.0 ? std::sqrt(squares(i) * (n - 1.0) / n) : 0.0;
        }
        if (unsettled) {
          // What leaving a photo out does is not known: taken for three times the covariance's
          // share.
          jackknife_ = jackknife_.cwiseMax(3.0 * sd);
          out_.warnings.push_back(
              "the set hangs on a single photo: take five, from all four sides and from above");
        }
        if (worst >= 0) {
          out_.warnings.push_back(
              fmt::format("{} moves a height by over {:g} times its uncertainty: take five photos",
                          photos_[set_.photo_of_shot[static_cast<std::size_t>(worst)]].name,
                          Limit("/photos/moved_sigma")));
        }
        return {};
      }
      Drop(set_.photo_of_shot[static_cast<std::size_t>(worst)],
           fmt::format("without it heights move by over {:g} times their uncertainty: it does not "
                       "belong to the set",
                       Limit("/photos/moved_sigma")));
      if (auto solved = SolveUntilSound(); !solved) return solved;
    }
  }

  Result<std::optional<double>> RulersScale() {
    const double nominal = printed_.Find(out_.sheet)->ruler_mm;
    std::optional<double> scale;
    for (const auto* ruler : {&request_.ruler_x_mm, &request_.ruler_y_mm}) {
      if (!*ruler) continue;
      const double ratio = **ruler / nominal;
      if (std::abs(ratio - 1.0) > Limit("/print/largest_scale_error")) {
        return Error{
            ErrorCode::kRefused,
            "rulers",
            fmt::format(
                "a ruler of {:g} mm was measured as {:g} mm: the sheet was fitted to the page",
                nominal,
                **ruler),
            "print it again at 100 %"};
      }
      if (!scale) scale = ratio;
    }
    if (request_.ruler_x_mm && request_.ruler_y_mm &&
        std::abs(*request_.ruler_x_mm - *request_.ruler_y_mm) > 0.005 * nominal) {
      out_.warnings.push_back("the two rulers differ by over half a percent; both were used");
    }
    return scale;
  }

  Result<void> Place() {
    auto rulers = RulersScale();
    if (!rulers) return rulers.error();
    const auto all = AllStickers();
    const Eigen::MatrixX3d centres = Centres(out_.bundle.points_mm, all);
    const auto plane = internal::FitPlane(centres);
    const Eigen::MatrixX3d own = internal::OnPlane(centres, plane);
    std::vector<internal::Measured> measured;
    for (const std::size_t k : all) {
      const int id = set_.index.stickers[k];
      measured.push_back({id, own.row(static_cast<Eigen::Index>(k)).head<2>(), size_of_[id]});
    }
    auto placing = internal::PlaceOnBoard(
        measured, board_, request_.held.down, request_.table, printed_.stickers, *rulers, calib_);
    if (!placing) return placing.error();
    out_.scale = placing->scale;
    out_.scale_u = placing->scale_u;
    out_.warnings.insert(out_.warnings.end(), placing->doubts.begin(), placing->doubts.end());

    const double up = request_.held.down == Side::kSolder ? 1.0 : -1.0;
    Eigen::MatrixXd covariance = placing->scale * placing->scale * HeightCovariance(plane, own);
    const Eigen::VectorXd heights = up * placing->scale * own.col(2);
    const double seating = Limit("/stickers/seating_u_mm");
    // Where the jackknife shows more than the covariance, that point's row and column are widened.
    Eigen::VectorXd widen(heights.size());
    for (Eigen::Index i = 0; i < heights.size(); ++i) {
      const double sd = std::sqrt(std::max(1e-12, covariance(i, i)));
      const double jackknife = placing->scale * jackknife_(i);
      widen(i) = std::max(1.0, jackknife / sd);
      Station station;
      station.name = NameOf(measured[static_cast<std::size_t>(i)].id);
      station.at_mm = placing->places[static_cast<std::size_t>(i)];
      station.height_mm = heights(i);
      station.covariance_u_mm = sd;
      station.jackknife_u_mm = jackknife;
      station.photos =
          internal::ShotsOf(set_.bundle, out_.bundle.used, set_.index, static_cast<std::size_t>(i));
      station.size_mm = measured[static_cast<std::size_t>(i)].size_mm;
      out_.stations.push_back(station);
    }
    covariance = widen.asDiagonal() * covariance * widen.asDiagonal();
    const double scale_share = placing->scale_u / placing->scale;
    covariance += scale_share * scale_share * heights * heights.transpose();
    covariance.diagonal().array() += seating * seating;
    for (Eigen::Index i = 0; i < heights.size(); ++i) {
      out_.stations[static_cast<std::size_t>(i)].u_mm = std::sqrt(covariance(i, i));
    }
    PhotoReading& reading = out_.reading;
    reading.pose = "lying";
    reading.held = request_.held;
    reading.covariance_mm2 = covariance;
    reading.sheet = fmt::format("{}/{}", out_.sheet, printed_.Find(out_.sheet)->version);
    reading.photos = Used();
    for (const Station& station : out_.stations)
      reading.points.push_back({station.name, station.at_mm, station.height_mm});
    return {};
  }

  void Describe() {
    out_.sightings = set_.bundle.sightings;
    const Eigen::MatrixX3d centres = Centres(out_.bundle.points_mm, AllStickers());
    for (Eigen::Index i = 0; i < centres.rows(); ++i)
      out_.station_on_sheet_mm.emplace_back(centres.row(i).head<2>());
    out_.rms_px = out_.bundle.rms_px;
    out_.s0 = out_.bundle.s0;
    out_.print_y = out_.bundle.print_y;
    Eigen::MatrixX3d sheet(static_cast<Eigen::Index>(set_.index.corners.size()), 3);
    for (Eigen::Index i = 0; i < sheet.rows(); ++i)
      sheet.row(i) = out_.bundle.points_mm[static_cast<std::size_t>(i)].transpose();
    const Eigen::MatrixX3d own = internal::OnPlane(sheet, internal::FitPlane(sheet));
    out_.sheet_height_rms_mm =
        std::sqrt(own.col(2).squaredNorm() / static_cast<double>(own.rows()));
    if (out_.sheet_height_rms_mm > 1.0) {
      out_.warnings.push_back(
          fmt::format("the sheet is wavy, {:.1f} mm: no harm to the heights, but tape it down",
                      out_.sheet_height_rms_mm));
    }
    if (std::abs(out_.print_y - 1.0) > Limit("/print/unequal_scale")) {
      out_.warnings.push_back(fmt::format("the print is {:.1f} % longer one way than the other",
                                          100.0 * std::abs(out_.print_y - 1.0)));
    }
    double worst = 0.0, ratio = 0.0;
    for (const Station& station : out_.stations) {
      worst = std::max(worst, station.jackknife_u_mm);
      ratio = std::max(ratio, station.jackknife_u_mm / std::max(0.003, station.covariance_u_mm));
    }
    constexpr double kModelRatio = 3.0;
    if (worst > Limit("/photos/largest_jackknife_mm")) {
      out_.warnings.push_back(
          fmt::format("leaving a photo out moves heights by up to {:.2f} mm: the lens is not "
                      "understood; turn the phone's own corrections off, or use its main camera",
                      worst));
    } else if (ratio > kModelRatio) {
      out_.warnings.push_back(
          "the photos agree less well than their corners promise; the uncertainties say so");
    }
  }

  const Board& board_;
  const LyingRequest& request_;
  const Printed& printed_;
  const Calib& calib_;
  std::vector<SeenPhoto> photos_;
  std::set<int> bad_;
  std::map<int, double> size_of_;
  SetProblem set_;
  std::vector<int> wanted_;
  Eigen::VectorXd jackknife_;
  LyingResult out_;
};

}  // namespace

Result<LyingResult> MeasureLying(const std::vector<SeenPhoto>& photos,
                                 const Board& board,
                                 const LyingRequest& request,
                                 const Printed& printed,
                                 const Calib& calib) {
  return Measurement(photos, board, request, printed, calib).Run();
}

}  // namespace lieflat
