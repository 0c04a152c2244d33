#include "photo/camera.h"

#include <array>
#include <cmath>

#include <Eigen/Dense>

namespace lieflat {
namespace internal {
namespace {

Eigen::Matrix3d Skew(const Eigen::Vector3d& v) {
  Eigen::Matrix3d m;
  m << 0, -v.z(), v.y(), v.z(), 0, -v.x(), -v.y(), v.x(), 0;
  return m;
}

}  // namespace

double RestScale(int term) {
  const int degree = term < 3 ? 2 : term < 7 ? 3 : term < 12 ? 4 : 5;
  return std::pow(0.5, degree - 2);
}

Eigen::Matrix3d Turn(const Eigen::Vector3d& by) {
  const double angle = by.norm();
  if (angle < 1e-12) return Eigen::Matrix3d::Identity() + Skew(by);
  return Eigen::AngleAxisd(angle, by / angle).toRotationMatrix();
}

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

PrintedPlace PlaceOf(const Unknowns& u, const SheetPoint& point, const BundlePriors& priors) {
  const SheetPage& page = u.pages[static_cast<std::size_t>(point.page)];
  const double c = std::cos(page.turned_rad), s = std::sin(page.turned_rad);
  Eigen::Matrix2d turn;
  turn << c, -s, s, c;
  const Eigen::Matrix2d scaled = page.scale * turn;
  const double x = point.printed_mm.x(), y = point.printed_mm.y();
  const Eigen::Vector2d from_middle =
      Eigen::Vector2d(x + u.print_shear * y, y * u.print_y) - page.middle_mm;
  const Eigen::Vector2d turned = turn * from_middle;
  PrintedPlace place;
  place.at = page.at_mm + page.scale * turned;
  place.by_print.col(0) = scaled * Eigen::Vector2d(0.0, y * priors.print_y_share);
  place.by_print.col(1) = scaled * Eigen::Vector2d(y * priors.print_shear, 0.0);
  place.by_page.leftCols<2>() = priors.page_place_mm * Eigen::Matrix2d::Identity();
  place.by_page.col(2) =
      page.scale * priors.page_turn_rad * Eigen::Vector2d(-turned.y(), turned.x());
  place.by_page.col(3) = priors.page_scale_share * turned;
  return place;
}

}  // namespace internal

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

}  // namespace lieflat
