#include "photo/board_place.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/edge_profile.h"
#include "photo/in_ring.h"
#include "photo/order_statistics.h"
#include "photo/sheet_pattern.h"

namespace lieflat::internal {
namespace {

using Line = std::vector<Eigen::Vector2d>;

/// What the sheet shows, by the millimetre: 1 white is hidden there, -1 white is seen, 0 nothing
/// to tell.
class Hidden {
 public:
  Hidden(const SolvedPhoto& from, const Printed& printed, const MatLayout& mat)
      : columns_(static_cast<int>(mat.width_mm())), rows_(static_cast<int>(mat.height_mm())) {
    const Colours3 colour(from.photo->colour);
    const Eigen::Vector4d paper = PaperLight(from, mat, colour);
    const SheetPattern pattern(mat, printed.mat_markers);
    told_.assign(static_cast<std::size_t>(columns_ * rows_), 0);
    for (int j = 0; j < rows_; ++j) {
      for (int i = 0; i < columns_; ++i) {
        const Eigen::Vector2d at(i + 0.5, j + 0.5);
        if (!pattern.White(at)) continue;
        const Eigen::Vector2d px = from.camera.See({at.x(), at.y(), 0.0});
        if (!colour.Inside(px, 2.0)) continue;
        const double light = colour(px).mean();
        const double full = paper[0] + paper[1] * at.x() + paper[2] * at.y();
        constexpr double kHiddenShare = 0.35;  // a shadow on white leaves more
        told_[static_cast<std::size_t>(j * columns_ + i)] = light < kHiddenShare * full ? 1 : -1;
      }
    }
  }
  [[nodiscard]] int At(const Eigen::Vector2d& mat_mm) const {
    const int i = static_cast<int>(std::floor(mat_mm.x())),
              j = static_cast<int>(std::floor(mat_mm.y()));
    if (i < 0 || j < 0 || i >= columns_ || j >= rows_) return 0;
    return told_[static_cast<std::size_t>(j * columns_ + i)];
  }
  [[nodiscard]] Eigen::Vector2d Middle() const {
    Eigen::Vector2d sum = Eigen::Vector2d::Zero();
    double count = 1e-9;
    for (int j = 0; j < rows_; ++j) {
      for (int i = 0; i < columns_; ++i) {
        if (told_[static_cast<std::size_t>(j * columns_ + i)] != 1) continue;
        sum += Eigen::Vector2d(i + 0.5, j + 0.5);
        count += 1.0;
      }
    }
    return sum / count;
  }

 private:
  /// A plane through the paper's light beside the corners seen.
  static Eigen::Vector4d PaperLight(const SolvedPhoto& from,
                                    const MatLayout& mat,
                                    const Colours3& colour) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    const double out = 0.12 * mat.square_mm;  // inside a marker's white margin
    for (const SeenCorner& corner : from.photo->seen.corners) {
      const Eigen::Vector2d c = mat.Corner(corner.column, corner.row);
      double most = 0.0;
      for (const double sx : {-1.0, 1.0}) {
        for (const double sy : {-1.0, 1.0}) {
          const Eigen::Vector2d px = from.camera.See({c.x() + sx * out, c.y() + sy * out, 0.0});
          if (colour.Inside(px, 2.0)) most = std::max(most, colour(px).mean());
        }
      }
      const Eigen::Vector3d row(1.0, c.x(), c.y());
      normal += row * row.transpose();
      right += most * row;
    }
    Eigen::Vector4d plane;
    plane << normal.ldlt().solve(right), 0.0;
    return plane;
  }

  int columns_, rows_;
  std::vector<std::int8_t> told_;
};

/// Points well inside the outline and just outside it.
struct Probes {
  Line inside, outside;
};
Probes ProbesOf(const Board& board) {
  Probes probes;
  const auto [low, high] = board.Box();
  constexpr double kStep = 3.0, kRing = 9.0;
  for (double y = low.y() - kRing; y <= high.y() + kRing; y += kStep) {
    for (double x = low.x() - kRing; x <= high.x() + kRing; x += kStep) {
      const Eigen::Vector2d p(x, y);
      (InRing(board.outline_mm, p) ? probes.inside : probes.outside).push_back(p);
    }
  }
  return probes;
}

double Score(const Hidden& hidden,
             const Probes& probes,
             const BoardFace& face,
             const BoardPlace& place,
             const Eigen::Vector3d& eye) {
  const auto on_sheet = [&](const Eigen::Vector2d& p) {
    const Eigen::Vector3d w = face.World(place, p);
    const double share = eye.z() / (eye.z() - w.z());
    return Eigen::Vector2d(eye.head<2>() + share * (w.head<2>() - eye.head<2>()));
  };
  double inside = 0.0, outside = 0.0;
  for (const auto& p : probes.inside) inside += hidden.At(on_sheet(p));
  for (const auto& p : probes.outside) outside += hidden.At(on_sheet(p));
  return inside - outside;
}

}  // namespace

std::optional<BoardPlace> SeekBoard(const SolvedPhoto& from,
                                    const Board& board,
                                    const BoardFace& face,
                                    const BoardPlace& start,
                                    const Printed& printed,
                                    const MatLayout& mat) {
  const Hidden hidden(from, printed, mat);
  const Probes probes = ProbesOf(board);
  Probes few;  // for the wide search
  for (std::size_t i = 0; i < probes.inside.size(); i += 7) few.inside.push_back(probes.inside[i]);
  for (std::size_t i = 0; i < probes.outside.size(); i += 3)
    few.outside.push_back(probes.outside[i]);
  const Eigen::Vector3d eye = from.camera.Centre();
  BoardPlace best = start;
  best.at_mm = hidden.Middle();
  double most = -1e18;
  const BoardPlace middle = best;
  for (int k = -15; k <= 15; ++k) {
    for (int i = -6; i <= 6; ++i) {
      for (int j = -6; j <= 6; ++j) {
        BoardPlace place = middle;
        place.turned_rad += 3.0 * k * std::numbers::pi / 180.0;
        place.at_mm += 5.0 * Eigen::Vector2d(i, j);
        const double score = Score(hidden, few, face, place, eye);
        if (score > most) {
          most = score;
          best = place;
        }
      }
    }
  }
  double step = 2.0;
  most = Score(hidden, probes, face, best, eye);
  for (int pass = 0; pass < 5; ++pass, step *= 0.6) {
    const BoardPlace about = best;
    for (int k = -2; k <= 2; ++k) {
      for (int i = -2; i <= 2; ++i) {
        for (int j = -2; j <= 2; ++j) {
          BoardPlace place = about;
          place.turned_rad += 0.5 * step * k * std::numbers::pi / 180.0;
          place.at_mm += step * Eigen::Vector2d(i, j);
          const double score = Score(hidden, probes, face, place, eye);
          if (score > most) {
            most = score;
            best = place;
          }
        }
      }
    }
  }
  // A third of the places inside are the sheet's white: most of those must be hidden.
  constexpr double kLeastShare = 0.15;
  if (most < kLeastShare * static_cast<double>(probes.inside.size())) return std::nullopt;
  return best;
}

namespace {

/// A place on the rim where the photo shows it.
struct Seen {
  std::size_t photo;
  Eigen::Vector2d at_mm, across_px, found_px;  ///< rim place; unit normal in the photo; where seen
  double px_per_mm;
};

class PlaceFit {
 public:
  PlaceFit(const std::vector<SolvedPhoto>& photos,
           const Board& board,
           const BoardFace& face,
           double blur_mm,
           const Calib& calib)
      : photos_(photos), board_(board), face_(face), blur_mm_(blur_mm), calib_(calib) {}

  Result<FittedPlace> Run(const BoardPlace& start) {
    FittedPlace out;
    out.place = start;
    for (const double range : {8.0, 4.0, 2.0, 2.0}) {
      Look(out.place, range);
      constexpr std::size_t kLeastProfiles = 40;
      if (seen_.size() < kLeastProfiles || sides_ < 3) {
        return Error{ErrorCode::kNoFigure,
                     "board",
                     fmt::format("its edges are told from the sheet at {} places on {} edges only",
                                 seen_.size(),
                                 sides_),
                     "lay it so that the sheet's pattern shows all round, even light without "
                     "reflections, and check the described size"};
      }
      for (int pass = 0; pass < 4; ++pass) Step(out);
    }
    out.profiles = static_cast<int>(seen_.size());
    return out;
  }

 private:
  /// Profiles across the described rim in every photo, edge by edge.
  void Look(const BoardPlace& place, double range_mm) {
    seen_.clear();
    sides_ = 0;
    const auto& ring = board_.outline_mm;
    for (std::size_t e = 0; e < ring.size(); ++e) {
      const Eigen::Vector2d a = ring[e], b = ring[(e + 1) % ring.size()];
      const double length = (b - a).norm();
      constexpr double kLeastEdge = 12.0, kFromCorner = 4.0, kEvery = 2.0;
      if (length < kLeastEdge) continue;
      const Eigen::Vector2d along = (b - a) / length, out(along.y(), -along.x());
      const std::size_t before = seen_.size();
      for (std::size_t i = 0; i < photos_.size(); ++i) {
        const Eigen::Vector3d eye = photos_[i].camera.Centre();
        const Eigen::Vector3d rim = face_.World(place, 0.5 * (a + b));
        const Eigen::Vector3d beyond = face_.World(place, 0.5 * (a + b) + out);
        // Where the camera sees the board's side wall, the rim is not what ends it.
        if ((eye - rim).head<2>().dot((beyond - rim).head<2>()) > 0.0) continue;
        std::vector<RimProfile> profiles;
        Line at;
        for (double s = kFromCorner; s <= length - kFromCorner; s += kEvery) {
          at.emplace_back(a + s * along);
          profiles.push_back(Profile(i, place, at.back(), out, range_mm));
        }
        AddFound(i, place, out, at, profiles);
      }
      if (seen_.size() > before + 4) ++sides_;
    }
  }

  RimProfile Profile(std::size_t photo,
                     const BoardPlace& place,
                     const Eigen::Vector2d& rim,
                     const Eigen::Vector2d& out,
                     double range) const {
    RimProfile profile;
    profile.first_mm = range;
    const Colours3 colour(photos_[photo].photo->colour);
    constexpr double kInside = 4.0;
    for (double t = range; t >= -std::max(range, kInside); t -= profile.step_mm) {
      const Eigen::Vector2d px = photos_[photo].camera.See(face_.World(place, rim + t * out));
      if (!colour.Inside(px, 2.0)) {
        profile.colours.clear();
        profile.first_mm = t - profile.step_mm;
        continue;
      }
      profile.colours.push_back(colour(px));
    }
    return profile;
  }

  void AddFound(std::size_t photo,
                const BoardPlace& place,
                const Eigen::Vector2d& out,
                const Line& at,
                const std::vector<RimProfile>& profiles) {
    const auto board = BoardColours(profiles, 1.5);
    const Camera& camera = photos_[photo].camera;
    for (std::size_t k = 0; k < at.size(); ++k) {
      const auto found = FindRim(profiles[k], board[k], blur_mm_);
      if (!found) continue;
      const auto see = [&](const Eigen::Vector2d& p) { return camera.See(face_.World(place, p)); };
      const Eigen::Vector2d along(-out.y(), out.x());
      const Eigen::Vector2d tangent = (see(at[k] + along) - see(at[k] - along)).normalized();
      Seen seen{photo,
                at[k],
                {-tangent.y(), tangent.x()},
                see(at[k] + found->outside_mm * out),
                (see(at[k] + out) - see(at[k])).norm()};
      seen_.push_back(seen);
    }
  }

  static BoardPlace Moved(const BoardPlace& place, const Eigen::Matrix<double, 7, 1>& by) {
    BoardPlace moved = place;
    moved.at_mm += by.head<2>();
    moved.turned_rad += 1e-2 * by[2];
    moved.height_mm += by[3];
    moved.slope_x += 1e-2 * by[4];
    moved.slope_y += 1e-2 * by[5];
    moved.scale += 1e-2 * by[6];
    return moved;
  }

  /// One robust step; mm on the board throughout.
  void Step(FittedPlace& out) {
    using Vector7 = Eigen::Matrix<double, 7, 1>;
    const auto n = static_cast<Eigen::Index>(seen_.size());
    const auto residuals = [&](const BoardPlace& place) {
      Eigen::VectorXd r(n);
      for (Eigen::Index i = 0; i < n; ++i) {
        const Seen& s = seen_[static_cast<std::size_t>(i)];
        const Eigen::Vector2d px = photos_[s.photo].camera.See(face_.World(place, s.at_mm));
        r[i] = (s.found_px - px).dot(s.across_px) / s.px_per_mm;
      }
      return r;
    };
    const Eigen::VectorXd r = residuals(out.place);
    Eigen::MatrixXd j(n, 7);
    for (int k = 0; k < 7; ++k) {
      Vector7 by = Vector7::Zero();
      by[k] = 1e-3;
      j.col(k) = -(residuals(Moved(out.place, by)) - r) / 1e-3;
    }
    std::vector<double> size(r.data(), r.data() + n);
    for (double& one : size) one = std::abs(one);
    const double sigma = std::max(0.02, 1.4826 * Median(std::move(size)));
    const auto limit = [&](const char* name) {
      return calib_.Number("photo", std::string("/picture/") + name).value;
    };
    Eigen::Matrix<double, 7, 7> normal = Eigen::Matrix<double, 7, 7>::Zero();
    Vector7 right = Vector7::Zero();
    double squares = 0.0, weights = 0.0;
    for (Eigen::Index i = 0; i < n; ++i) {
      const double off = r[i] / (3.0 * sigma);  // Tukey: nicks and connectors do not count
      const double w = std::abs(off) < 1.0 ? std::pow(1.0 - off * off, 2) : 0.0;
      normal += w / (sigma * sigma) * j.row(i).transpose() * j.row(i);
      right += w / (sigma * sigma) * r[i] * j.row(i).transpose();
      squares += w * r[i] * r[i];
      weights += w;
    }
    // What is believed beforehand: how high a board lies, how level, how true the print is.
    const auto prior = [&](int k, double off, double u) {
      normal(k, k) += 1.0 / (u * u);
      right[k] -= off / (u * u);
    };
    prior(
        3, out.place.height_mm - board_.thickness_mm.value - limit("rest_mm"), limit("rest_u_mm"));
    prior(4, 1e2 * out.place.slope_x, 1e2 * limit("slope_u"));
    prior(5, 1e2 * out.place.slope_y, 1e2 * limit("slope_u"));
    prior(6, 1e2 * (out.place.scale - 1.0), 1e2 * limit("print_scale_u"));
    out.place = Moved(out.place, normal.ldlt().solve(right));
    out.rms_mm = std::sqrt(squares / std::max(1.0, weights));
    // Neighbouring profiles share their faults: a quarter of them counts.
    const Eigen::Matrix<double, 7, 7> covariance = 4.0 * normal.inverse();
    out.place_u_mm = std::sqrt(covariance(0, 0) + covariance(1, 1));
  }

  const std::vector<SolvedPhoto>& photos_;
  const Board& board_;
  const BoardFace& face_;
  double blur_mm_;
  const Calib& calib_;
  std::vector<Seen> seen_;
  int sides_ = 0;
};

}  // namespace

Result<FittedPlace> FitPlace(const std::vector<SolvedPhoto>& photos,
                             const Board& board,
                             const BoardFace& face,
                             const BoardPlace& start,
                             double blur_mm,
                             const Calib& calib) {
  return PlaceFit(photos, board, face, blur_mm, calib).Run(start);
}

}  // namespace lieflat::internal
