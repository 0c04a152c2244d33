#include "lieflat/photo/bundle.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "photo/camera.h"
#include "photo/order_statistics.h"

// Levenberg-Marquardt with the points eliminated (Triggs et al., "Bundle adjustment - a modern
// synthesis", 2000, sections 6 and 7).

namespace lieflat {
namespace {

using internal::kOwn;
using internal::kPage;
using internal::kPrint;
using internal::kRest;
using internal::kShared;
using internal::Unknowns;

/// The normal equations, the points' blocks kept apart.
struct Normal {
  Eigen::MatrixXd cameras;        // c x c
  Eigen::VectorXd cameras_right;  // c
  std::vector<Eigen::Matrix3d> points;
  std::vector<Eigen::Vector3d> points_right;
  std::vector<Eigen::MatrixXd> mixed;  // c x 3 a point
  double cost = 0.0;
};

class Solver {
 public:
  Solver(const BundleProblem& problem, const BundleOptions& options)
      : problem_(problem), options_(options), used_(problem.sightings.size(), true) {
    now_ = {problem.lens, 1.0, 0.0, problem.shots, problem.pages, problem.points_mm};
  }

  Result<Bundle> Run(const std::vector<int>& wanted) {
    for (int cut = 0;; ++cut) {
      if (auto done = Descend(); !done) return done.error();
      if (cut == options_.cuts || !CutOutliers()) break;
    }
    return Finish(wanted);
  }

 private:
  [[nodiscard]] int Columns() const { return PageColumn(static_cast<int>(problem_.pages.size())); }
  /// Where the unknowns of a page begin; the first has none.
  [[nodiscard]] int PageColumn(int page) const {
    return kShared + kOwn * static_cast<int>(problem_.shots.size()) + kPage * (page - 1);
  }

  /// The believed values' residuals, in their own standard deviations.
  [[nodiscard]] Eigen::VectorXd PriorResiduals(const Unknowns& u) const {
    const BundlePriors& p = problem_.priors;
    Eigen::VectorXd r = Eigen::VectorXd::Zero(Columns());
    r.head<kRest>() << (u.lens.f - problem_.lens.f) / (p.f_share * problem_.lens.f),
        u.lens.cx / p.centre_px, u.lens.cy / p.centre_px, u.lens.k1 / p.k, u.lens.k2 / p.k,
        u.lens.p1 / p.p, u.lens.p2 / p.p, (u.print_y - 1.0) / p.print_y_share,
        u.print_shear / p.print_shear;
    for (int i = 0; i < kRestTerms; ++i) {
      r.segment<2>(kRest + 2 * i) = u.lens.rest_px.col(i) / (p.rest_px * internal::RestScale(i));
    }
    for (std::size_t i = 0; i < u.shots.size(); ++i) {
      const auto at = kShared + kOwn * static_cast<Eigen::Index>(i) + 6;
      r.segment<3>(at) << u.shots[i].df_share / p.df_share, u.shots[i].dcx / p.dc_px,
          u.shots[i].dcy / p.dc_px;
    }
    for (std::size_t i = 1; i < u.pages.size(); ++i) {
      const SheetPage& page = u.pages[i];
      const Eigen::Vector2d moved = page.at_mm - problem_.pages[i].at_mm;
      r.segment<kPage>(PageColumn(static_cast<int>(i))) << moved / p.page_place_mm,
          (page.turned_rad - problem_.pages[i].turned_rad) / p.page_turn_rad,
          (page.scale - 1.0) / p.page_scale_share;
    }
    return r;
  }

  [[nodiscard]] Eigen::Vector3d SheetResidual(const Unknowns& u, std::size_t i) const {
    const SheetPoint& sheet = problem_.sheet[i];
    const Eigen::Vector2d n = internal::PlaceOf(u, sheet, problem_.priors).at;
    return {(u.points[i].x() - n.x()) / sheet.u_mm,
            (u.points[i].y() - n.y()) / sheet.u_mm,
            u.points[i].z() / sheet.u_height_mm};
  }

  /// Weight and cost of a sighting that is `off` sigmas away (Huber).
  [[nodiscard]] std::pair<double, double> Robust(double off) const {
    const double h = options_.huber;
    if (off <= h) return {1.0, off * off};
    return {h / off, 2.0 * h * off - h * h};
  }

  [[nodiscard]] double Cost(const Unknowns& u) const {
    double cost = PriorResiduals(u).squaredNorm();
    for (std::size_t i = 0; i < problem_.sheet.size(); ++i)
      cost += SheetResidual(u, i).squaredNorm();
    for (std::size_t i = 0; i < problem_.sightings.size(); ++i) {
      if (!used_[i]) continue;
      const Sighting& s = problem_.sightings[i];
      const auto at = Project(u.lens,
                              u.shots[static_cast<std::size_t>(s.shot)],
                              u.points[static_cast<std::size_t>(s.point)]);
      constexpr double kBehindPx = 1e4;
      const double off = (at ? (*at - s.at_px).norm() : kBehindPx) / problem_.sigma_px;
      cost += Robust(off).second;
    }
    return cost;
  }

  [[nodiscard]] Normal Build(const Unknowns& u, bool robust) const {
    const int c = Columns();
    Normal n;
    n.cameras = Eigen::MatrixXd::Zero(c, c);
    n.points.assign(u.points.size(), Eigen::Matrix3d::Zero());
    n.points_right.assign(u.points.size(), Eigen::Vector3d::Zero());
    n.mixed.assign(u.points.size(), Eigen::MatrixXd::Zero(c, 3));
    AddPriors(u, n);
    const double w0 = 1.0 / (problem_.sigma_px * problem_.sigma_px);
    for (std::size_t i = 0; i < problem_.sightings.size(); ++i) {
      if (!used_[i]) continue;
      const Sighting& s = problem_.sightings[i];
      const auto point = static_cast<std::size_t>(s.point);
      const auto linear = internal::Linearise(u,
                                              u.shots[static_cast<std::size_t>(s.shot)],
                                              u.points[point],
                                              problem_.lens.f,
                                              problem_.priors);
      if (!linear) continue;
      const Eigen::Vector2d r = s.at_px - linear->at;
      const double w = w0 * (robust ? Robust(r.norm() / problem_.sigma_px).first : 1.0);
      const internal::Row2& j = linear->by_camera;
      const auto own = kShared + kOwn * static_cast<Eigen::Index>(s.shot);
      const Eigen::Matrix<double, kShared + kOwn, kShared + kOwn> jj = w * j.transpose() * j;
      n.cameras.topLeftCorner<kShared, kShared>() += jj.topLeftCorner<kShared, kShared>();
      n.cameras.block<kShared, kOwn>(0, own) += jj.topRightCorner<kShared, kOwn>();
      n.cameras.block<kOwn, kShared>(own, 0) += jj.bottomLeftCorner<kOwn, kShared>();
      n.cameras.block<kOwn, kOwn>(own, own) += jj.bottomRightCorner<kOwn, kOwn>();
      const Eigen::Matrix<double, kShared + kOwn, 1> jr = w * j.transpose() * r;
      n.cameras_right.head<kShared>() += jr.head<kShared>();
      n.cameras_right.segment<kOwn>(own) += jr.tail<kOwn>();
      const Eigen::Matrix<double, kShared + kOwn, 3> jp = w * j.transpose() * linear->by_point;
      n.mixed[point].topRows<kShared>() += jp.topRows<kShared>();
      n.mixed[point].middleRows<kOwn>(own) += jp.bottomRows<kOwn>();
      n.points[point] += w * linear->by_point.transpose() * linear->by_point;
      n.points_right[point] += w * linear->by_point.transpose() * r;
    }
    return n;
  }

  void AddPriors(const Unknowns& u, Normal& n) const {
    n.cameras_right = -PriorResiduals(u);
    for (int i = 0; i < kShared; ++i) n.cameras(i, i) += 1.0;
    for (std::size_t i = 0; i < u.shots.size(); ++i) {
      const auto at = kShared + kOwn * static_cast<Eigen::Index>(i);
      for (Eigen::Index k = 6; k < kOwn; ++k) n.cameras(at + k, at + k) += 1.0;
    }
    for (int i = PageColumn(1); i < Columns(); ++i) n.cameras(i, i) += 1.0;
    for (std::size_t i = 0; i < problem_.sheet.size(); ++i) AddSheetPoint(u, i, n);
  }

  /// A sheet point is held to its printed place, and that moves with the print and its page.
  void AddSheetPoint(const Unknowns& u, std::size_t i, Normal& n) const {
    const SheetPoint& sheet = problem_.sheet[i];
    const Eigen::Vector3d r = SheetResidual(u, i);
    const Eigen::Vector3d inverse(1.0 / sheet.u_mm, 1.0 / sheet.u_mm, 1.0 / sheet.u_height_mm);
    n.points[i] += inverse.cwiseAbs2().asDiagonal();
    n.points_right[i] -= inverse.cwiseProduct(r);
    const auto place = internal::PlaceOf(u, sheet, problem_.priors);
    Eigen::Matrix<double, 3, 2> j = Eigen::Matrix<double, 3, 2>::Zero();
    j.topRows<2>() = -place.by_print / sheet.u_mm;
    n.cameras.block<2, 2>(kPrint, kPrint) += j.transpose() * j;
    n.cameras_right.segment<2>(kPrint) -= j.transpose() * r;
    n.mixed[i].middleRows<2>(kPrint) += j.transpose() * inverse.asDiagonal();
    if (sheet.page == 0) return;
    Eigen::Matrix<double, 3, kPage> k = Eigen::Matrix<double, 3, kPage>::Zero();
    k.topRows<2>() = -place.by_page / sheet.u_mm;
    const int at = PageColumn(sheet.page);
    n.cameras.block<kPage, kPage>(at, at) += k.transpose() * k;
    n.cameras.block<2, kPage>(kPrint, at) += j.transpose() * k;
    n.cameras.block<kPage, 2>(at, kPrint) += k.transpose() * j;
    n.cameras_right.segment<kPage>(at) -= k.transpose() * r;
    n.mixed[i].middleRows<kPage>(at) += k.transpose() * inverse.asDiagonal();
  }

  /// The camera's part of the damped normal equations with the points eliminated, and its step.
  struct Reduced {
    Eigen::LDLT<Eigen::MatrixXd> cameras;
    std::vector<Eigen::Matrix3d> inverse;  // of the points' blocks
  };
  static Reduced Reduce(const Normal& n, double damping, Eigen::VectorXd* right) {
    Eigen::MatrixXd s = n.cameras;
    s.diagonal() *= 1.0 + damping;
    Reduced out;
    out.inverse.reserve(n.points.size());
    // S - W V^-1 W' for all points at once: with V^-1 = L L', the columns W L side by side.
    Eigen::MatrixXd columns(s.rows(), 3 * static_cast<Eigen::Index>(n.points.size()));
    for (std::size_t i = 0; i < n.points.size(); ++i) {
      Eigen::Matrix3d v = n.points[i];
      v.diagonal() *= 1.0 + damping;
      v.diagonal().array() += 1e-9;  // a point seen nowhere stays where it is
      out.inverse.push_back(v.inverse());
      const Eigen::Matrix3d root = out.inverse.back().llt().matrixL();
      columns.middleCols<3>(3 * static_cast<Eigen::Index>(i)).noalias() = n.mixed[i] * root;
      if (right != nullptr) {
        right->noalias() -= n.mixed[i] * (out.inverse.back() * n.points_right[i]).eval();
      }
    }
    s.selfadjointView<Eigen::Lower>().rankUpdate(columns, -1.0);
    out.cameras.compute(s);
    return out;
  }

  [[nodiscard]] Unknowns Moved(const Eigen::VectorXd& cameras,
                               const std::vector<Eigen::Vector3d>& points) const {
    const BundlePriors& p = problem_.priors;
    Unknowns u = now_;
    u.lens.f += cameras(0) * p.f_share * problem_.lens.f;
    u.lens.cx += cameras(1) * p.centre_px;
    u.lens.cy += cameras(2) * p.centre_px;
    u.lens.k1 += cameras(3) * p.k;
    u.lens.k2 += cameras(4) * p.k;
    u.lens.p1 += cameras(5) * p.p;
    u.lens.p2 += cameras(6) * p.p;
    u.print_y += cameras(7) * p.print_y_share;
    u.print_shear += cameras(8) * p.print_shear;
    for (int i = 0; i < kRestTerms; ++i) {
      u.lens.rest_px.col(i) +=
          cameras.segment<2>(kRest + 2 * i) * p.rest_px * internal::RestScale(i);
    }
    for (std::size_t i = 0; i < u.shots.size(); ++i) {
      const auto at = kShared + kOwn * static_cast<Eigen::Index>(i);
      Shot& shot = u.shots[i];
      shot.rotation = internal::Turn(cameras.segment<3>(at) * internal::kTurnScale) * shot.rotation;
      shot.position += cameras.segment<3>(at + 3) * internal::kShiftScaleMm;
      shot.df_share += cameras(at + 6) * p.df_share;
      shot.dcx += cameras(at + 7) * p.dc_px;
      shot.dcy += cameras(at + 8) * p.dc_px;
    }
    for (std::size_t i = 1; i < u.pages.size(); ++i) {
      const auto step = cameras.segment<kPage>(PageColumn(static_cast<int>(i)));
      u.pages[i].at_mm += step.head<2>() * p.page_place_mm;
      u.pages[i].turned_rad += step(2) * p.page_turn_rad;
      u.pages[i].scale += step(3) * p.page_scale_share;
    }
    for (std::size_t i = 0; i < points.size(); ++i) u.points[i] += points[i];
    return u;
  }

  Result<void> Descend() {
    double damping = 1e-3;
    double cost = Cost(now_);
    double change = 0.0;
    for (int pass = 0; pass < options_.max_passes; ++pass) {
      ++passes_;
      const Normal n = Build(now_, true);
      bool better = false;
      for (int tries = 0; tries < 12 && !better; ++tries) {
        Eigen::VectorXd right = n.cameras_right;
        const Reduced reduced = Reduce(n, damping, &right);
        const Eigen::VectorXd step = reduced.cameras.solve(right);
        std::vector<Eigen::Vector3d> points(n.points.size());
        for (std::size_t i = 0; i < points.size(); ++i) {
          points[i] = reduced.inverse[i] * (n.points_right[i] - n.mixed[i].transpose() * step);
        }
        const Unknowns moved = Moved(step, points);
        const double then = Cost(moved);
        if (std::isfinite(then) && then <= cost) {
          change = (cost - then) / std::max(1.0, cost);
          now_ = moved;
          cost = then;
          damping = std::max(1e-12, damping * 0.1);
          better = true;
        } else {
          damping *= 8.0;
        }
      }
      constexpr double kEnough = 1e-6;
      if (!better || change < kEnough) return {};
    }
    constexpr double kGoodEnough = 1e-4;
    if (change < kGoodEnough) return {};
    return Error{ErrorCode::kNoFigure,
                 "photos",
                 fmt::format("cameras and points do not settle (last change {:.1g})", change),
                 "take the set again: four photos from the four sides, one from above"};
  }

  [[nodiscard]] std::vector<Eigen::Vector2d> Residuals() const {
    std::vector<Eigen::Vector2d> residuals;
    residuals.reserve(problem_.sightings.size());
    for (const Sighting& s : problem_.sightings) {
      const auto at = Project(now_.lens,
                              now_.shots[static_cast<std::size_t>(s.shot)],
                              now_.points[static_cast<std::size_t>(s.point)]);
      constexpr double kBehindPx = 1e4;
      residuals.push_back(at ? Eigen::Vector2d(s.at_px - *at)
                             : Eigen::Vector2d(kBehindPx, kBehindPx));
    }
    return residuals;
  }

  /// True when sightings that counted are now cut.
  bool CutOutliers() {
    const auto residuals = Residuals();
    std::vector<double> all;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      if (used_[i]) {
        all.push_back(std::abs(residuals[i].x()));
        all.push_back(std::abs(residuals[i].y()));
      }
    }
    if (all.empty()) return false;
    const double typical = internal::Median(std::move(all));
    const double limit = options_.cut_mad * std::max(options_.cut_floor_px, 1.4826 * typical);
    bool cut = false;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      if (used_[i] && residuals[i].norm() > limit) {
        used_[i] = false;
        cut = true;
      }
    }
    return cut;
  }

  Result<Bundle> Finish(const std::vector<int>& wanted) {
    Bundle out;
    out.lens = now_.lens;
    out.print_y = now_.print_y;
    out.print_shear = now_.print_shear;
    out.shots = now_.shots;
    out.pages = now_.pages;
    out.points_mm = now_.points;
    out.residuals_px = Residuals();
    out.used = used_;
    out.passes = passes_;
    double sum = 0.0;
    int count = 0;
    for (std::size_t i = 0; i < used_.size(); ++i) {
      if (!used_[i]) continue;
      sum += out.residuals_px[i].squaredNorm();
      ++count;
    }
    out.rms_px = std::sqrt(sum / std::max(1, 2 * count));
    // Degrees of freedom: sightings and priors less unknowns; poses and free points have no prior.
    double squares =
        sum / (problem_.sigma_px * problem_.sigma_px) + PriorResiduals(now_).squaredNorm();
    for (std::size_t i = 0; i < problem_.sheet.size(); ++i)
      squares += SheetResidual(now_, i).squaredNorm();
    const int unknown = 6 * static_cast<int>(now_.shots.size()) +
                        3 * static_cast<int>(now_.points.size() - problem_.sheet.size());
    out.s0 = std::sqrt(squares / std::max(1, 2 * count - unknown));

    const Normal n = Build(now_, true);
    const Reduced reduced = Reduce(n, 0.0, nullptr);
    const auto m = static_cast<Eigen::Index>(wanted.size());
    const Eigen::MatrixXd inverse =
        reduced.cameras.solve(Eigen::MatrixXd::Identity(Columns(), Columns()));
    Eigen::MatrixXd y(3 * m, Columns());
    for (Eigen::Index i = 0; i < m; ++i) {
      const auto point = static_cast<std::size_t>(wanted[static_cast<std::size_t>(i)]);
      y.middleRows<3>(3 * i) = reduced.inverse[point] * n.mixed[point].transpose();
    }
    out.covariance_mm2 = y * inverse * y.transpose();
    for (Eigen::Index i = 0; i < m; ++i) {
      const auto point = static_cast<std::size_t>(wanted[static_cast<std::size_t>(i)]);
      out.covariance_mm2.block<3, 3>(3 * i, 3 * i) += reduced.inverse[point];
    }
    out.covariance_mm2 *= std::max(1.0, out.s0 * out.s0);
    return out;
  }

  const BundleProblem& problem_;
  const BundleOptions& options_;
  std::vector<bool> used_;
  Unknowns now_;
  int passes_ = 0;
};

}  // namespace

Result<Bundle> SolveBundle(const BundleProblem& problem,
                           const std::vector<int>& wanted,
                           const BundleOptions& options) {
  return Solver(problem, options).Run(wanted);
}

}  // namespace lieflat
