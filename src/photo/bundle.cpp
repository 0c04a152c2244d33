#include "lieflat/photo/bundle.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

// Levenberg-Marquardt with the points eliminated (Triggs et al., "Bundle adjustment - a modern
// synthesis", 2000, sections 6 and 7). The unknowns of lens, print and shots come scaled by their
// priors, so that one damping suits all.

namespace lieflat {
namespace {

constexpr int kPrint = 7;  // f cx cy k1 k2 p1 p2 before it; print_y, print_shear
constexpr int kRest = 9;   // the smooth rest, x then y a term
constexpr int kShared = kRest + 2 * kRestTerms;
constexpr int kOwn = 9;  // turn 3, position 3, df, dcx, dcy
constexpr double kTurnScale = 1e-2, kShiftScaleMm = 1.0;

using Row2 = Eigen::Matrix<double, 2, kShared + kOwn>;

/// Degree of a term, and how much smaller it is believed to be than one of degree 2.
double RestScale(int term) {
  const int degree = term < 3 ? 2 : term < 7 ? 3 : term < 12 ? 4 : 5;
  return std::pow(0.5, degree - 2);
}

Eigen::Matrix3d Skew(const Eigen::Vector3d& v) {
  Eigen::Matrix3d m;
  m << 0, -v.z(), v.y(), v.z(), 0, -v.x(), -v.y(), v.x(), 0;
  return m;
}

Eigen::Matrix3d Turn(const Eigen::Vector3d& by) {
  const double angle = by.norm();
  if (angle < 1e-12) return Eigen::Matrix3d::Identity() + Skew(by);
  return Eigen::AngleAxisd(angle, by / angle).toRotationMatrix();
}

struct Unknowns {
  Lens lens;
  double print_y = 1.0, print_shear = 0.0;
  std::vector<Shot> shots;
  std::vector<Eigen::Vector3d> points;
};

/// Projection with its derivatives by the scaled unknowns and by the point.
struct Linear {
  Eigen::Vector2d at;
  Row2 by_camera = Row2::Zero();
  Eigen::Matrix<double, 2, 3> by_point;
};

std::optional<Linear> Linearise(const Unknowns& u,
                                const Shot& shot,
                                const Eigen::Vector3d& point,
                                double f_start,
                                const BundlePriors& priors) {
  const Eigen::Vector3d turned = shot.rotation * point;
  const Eigen::Vector3d in_camera = turned + shot.position;
  if (in_camera.z() < 1.0) return std::nullopt;
  const Lens& lens = u.lens;
  const double iz = 1.0 / in_camera.z();
  const double x = in_camera.x() * iz, y = in_camera.y() * iz;
  const double r2 = x * x + y * y;
  const double radial = 1.0 + lens.k1 * r2 + lens.k2 * r2 * r2;
  const double xd = x * radial + 2.0 * lens.p1 * x * y + lens.p2 * (r2 + 2.0 * x * x);
  const double yd = y * radial + 2.0 * lens.p2 * x * y + lens.p1 * (r2 + 2.0 * y * y);
  const double f = lens.f * (1.0 + shot.df_share);
  Linear out;
  const auto terms = RestTerms(xd, yd);
  out.at = f * Eigen::Vector2d(xd, yd) + lens.rest_px * terms +
           Eigen::Vector2d(lens.cx + shot.dcx, lens.cy + shot.dcy);

  const double slope = 2.0 * lens.k1 + 4.0 * lens.k2 * r2;  // of radial, over x or y
  Eigen::Matrix2d by_xy;
  by_xy << radial + x * x * slope + 2.0 * lens.p1 * y + 6.0 * lens.p2 * x,
      x * y * slope + 2.0 * lens.p1 * x + 2.0 * lens.p2 * y,
      x * y * slope + 2.0 * lens.p2 * y + 2.0 * lens.p1 * x,
      radial + y * y * slope + 2.0 * lens.p2 * x + 6.0 * lens.p1 * y;
  Eigen::Matrix<double, 2, 3> xy_by_camera;
  xy_by_camera << iz, 0, -x * iz, 0, iz, -y * iz;
  const Eigen::Matrix<double, 2, 3> by_place = f * by_xy * xy_by_camera;
  out.by_point = by_place * shot.rotation;

  const Eigen::Vector2d d(xd, yd);
  out.by_camera.col(0) = (1.0 + shot.df_share) * d * (priors.f_share * f_start);
  out.by_camera.col(1) = Eigen::Vector2d(priors.centre_px, 0);
  out.by_camera.col(2) = Eigen::Vector2d(0, priors.centre_px);
  out.by_camera.col(3) = f * r2 * Eigen::Vector2d(x, y) * priors.k;
  out.by_camera.col(4) = f * r2 * r2 * Eigen::Vector2d(x, y) * priors.k;
  out.by_camera.col(5) = f * Eigen::Vector2d(2.0 * x * y, r2 + 2.0 * y * y) * priors.p;
  out.by_camera.col(6) = f * Eigen::Vector2d(r2 + 2.0 * x * x, 2.0 * x * y) * priors.p;
  // Columns 7 and 8, the print, act through the sheet points' priors only. The rest's own slopes
  // are thousandths: left out of the derivatives by place.
  for (int i = 0; i < kRestTerms; ++i) {
    const double scaled = terms(i) * priors.rest_px * RestScale(i);
    out.by_camera(0, kRest + 2 * i) = scaled;
    out.by_camera(1, kRest + 2 * i + 1) = scaled;
  }
  out.by_camera.block<2, 3>(0, kShared) = -by_place * Skew(turned) * kTurnScale;
  out.by_camera.block<2, 3>(0, kShared + 3) = by_place * kShiftScaleMm;
  out.by_camera.col(kShared + 6) = lens.f * d * priors.df_share;
  out.by_camera.col(kShared + 7) = Eigen::Vector2d(priors.dc_px, 0);
  out.by_camera.col(kShared + 8) = Eigen::Vector2d(0, priors.dc_px);
  return out;
}

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
    now_ = {problem.lens, 1.0, 0.0, problem.shots, problem.points_mm};
  }

  Result<Bundle> Run(const std::vector<int>& wanted) {
    for (int cut = 0;; ++cut) {
      if (auto done = Descend(); !done) return done.error();
      if (cut == options_.cuts || !CutOutliers()) break;
    }
    return Finish(wanted);
  }

 private:
  [[nodiscard]] int Columns() const {
    return kShared + kOwn * static_cast<int>(problem_.shots.size());
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
      r.segment<2>(kRest + 2 * i) = u.lens.rest_px.col(i) / (p.rest_px * RestScale(i));
    }
    for (std::size_t i = 0; i < u.shots.size(); ++i) {
      const auto at = kShared + kOwn * static_cast<Eigen::Index>(i) + 6;
      r.segment<3>(at) << u.shots[i].df_share / p.df_share, u.shots[i].dcx / p.dc_px,
          u.shots[i].dcy / p.dc_px;
    }
    return r;
  }

  [[nodiscard]] Eigen::Vector3d SheetResidual(const Unknowns& u, std::size_t i) const {
    const SheetPoint& sheet = problem_.sheet[i];
    const Eigen::Vector2d n(sheet.printed_mm.x() + u.print_shear * sheet.printed_mm.y(),
                            sheet.printed_mm.y() * u.print_y);
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
      const auto linear = Linearise(u,
                                    u.shots[static_cast<std::size_t>(s.shot)],
                                    u.points[point],
                                    problem_.lens.f,
                                    problem_.priors);
      if (!linear) continue;
      const Eigen::Vector2d r = s.at_px - linear->at;
      const double w = w0 * (robust ? Robust(r.norm() / problem_.sigma_px).first : 1.0);
      const Row2& j = linear->by_camera;
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
    for (std::size_t i = 0; i < problem_.sheet.size(); ++i) {
      const SheetPoint& sheet = problem_.sheet[i];
      const Eigen::Vector3d r = SheetResidual(u, i);
      const Eigen::Vector3d inverse(1.0 / sheet.u_mm, 1.0 / sheet.u_mm, 1.0 / sheet.u_height_mm);
      n.points[i] += inverse.cwiseAbs2().asDiagonal();
      n.points_right[i] -= inverse.cwiseProduct(r);
      // By the print, scaled: y is printed_y * print_y, x gains print_shear * printed_y.
      Eigen::Matrix<double, 3, 2> j = Eigen::Matrix<double, 3, 2>::Zero();
      j(1, 0) = -sheet.printed_mm.y() * problem_.priors.print_y_share / sheet.u_mm;
      j(0, 1) = -sheet.printed_mm.y() * problem_.priors.print_shear / sheet.u_mm;
      n.cameras.block<2, 2>(kPrint, kPrint) += j.transpose() * j;
      n.cameras_right.segment<2>(kPrint) -= j.transpose() * r;
      n.mixed[i].middleRows<2>(kPrint) += j.transpose() * inverse.asDiagonal();
    }
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
      u.lens.rest_px.col(i) += cameras.segment<2>(kRest + 2 * i) * p.rest_px * RestScale(i);
    }
    for (std::size_t i = 0; i < u.shots.size(); ++i) {
      const auto at = kShared + kOwn * static_cast<Eigen::Index>(i);
      Shot& shot = u.shots[i];
      shot.rotation = Turn(cameras.segment<3>(at) * kTurnScale) * shot.rotation;
      shot.position += cameras.segment<3>(at + 3) * kShiftScaleMm;
      shot.df_share += cameras(at + 6) * p.df_share;
      shot.dcx += cameras(at + 7) * p.dc_px;
      shot.dcy += cameras(at + 8) * p.dc_px;
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
    std::vector<double> off;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      if (used_[i]) off.push_back(residuals[i].cwiseAbs().maxCoeff());
    }
    if (off.empty()) return false;
    std::vector<double> all;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      if (used_[i]) {
        all.push_back(std::abs(residuals[i].x()));
        all.push_back(std::abs(residuals[i].y()));
      }
    }
    const auto middle = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
    std::nth_element(all.begin(), middle, all.end());
    const double limit = options_.cut_mad * std::max(options_.cut_floor_px, 1.4826 * *middle);
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

Eigen::Matrix<double, kRestTerms, 1> RestTerms(double x, double y) {
  constexpr double kHalfWidth = 0.7;  // of a phone's picture in units of f
  std::array<double, 6> px{}, py{};
  const auto legendre = [](double t, std::array<double, 6>& p) {
    p[0] = 1.0;
    p[1] = t;
    for (std::size_t n = 1; n + 1 < p.size(); ++n) {
      const auto k = static_cast<double>(n);
      p[n + 1] = ((2.0 * k + 1.0) * t * p[n] - k * p[n - 1]) / (k + 1.0);
    }
  };
  legendre(x / kHalfWidth, px);
  legendre(y / kHalfWidth, py);
  Eigen::Matrix<double, kRestTerms, 1> terms;
  Eigen::Index at = 0;
  for (std::size_t degree = 2; degree <= 5; ++degree) {
    for (std::size_t i = 0; i <= degree; ++i) terms(at++) = px[i] * py[degree - i];
  }
  return terms;
}

std::optional<Eigen::Vector2d> Project(const Lens& lens,
                                       const Shot& shot,
                                       const Eigen::Vector3d& at) {
  const Eigen::Vector3d p = shot.rotation * at + shot.position;
  if (p.z() < 1.0) return std::nullopt;
  const double x = p.x() / p.z(), y = p.y() / p.z();
  const double r2 = x * x + y * y;
  const double radial = 1.0 + lens.k1 * r2 + lens.k2 * r2 * r2;
  const double xd = x * radial + 2.0 * lens.p1 * x * y + lens.p2 * (r2 + 2.0 * x * x);
  const double yd = y * radial + 2.0 * lens.p2 * x * y + lens.p1 * (r2 + 2.0 * y * y);
  const double f = lens.f * (1.0 + shot.df_share);
  return f * Eigen::Vector2d(xd, yd) + lens.rest_px * RestTerms(xd, yd) +
         Eigen::Vector2d(lens.cx + shot.dcx, lens.cy + shot.dcy);
}

Result<Bundle> SolveBundle(const BundleProblem& problem,
                           const std::vector<int>& wanted,
                           const BundleOptions& options) {
  return Solver(problem, options).Run(wanted);
}

}  // namespace lieflat
