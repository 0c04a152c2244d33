#include "plate/element.h"

#include <cmath>

#include <Eigen/LU>

namespace lieflat {
namespace {

constexpr int kTerms = 12;
/// Powers of s and t in the polynomial of the cell.
constexpr std::array<std::array<int, 2>, kTerms> kPowers = {{{0, 0},
                                                             {1, 0},
                                                             {0, 1},
                                                             {2, 0},
                                                             {1, 1},
                                                             {0, 2},
                                                             {3, 0},
                                                             {2, 1},
                                                             {1, 2},
                                                             {0, 3},
                                                             {3, 1},
                                                             {1, 3}}};
constexpr std::array<std::array<double, 2>, kNodesOfCell> kNodes = {
    {{0, 0}, {1, 0}, {1, 1}, {0, 1}}};

double Power(double x, int n) {
  double value = 1.0;
  for (int i = 0; i < n; ++i) value *= x;
  return value;
}

/// The d-th derivative of x^n.
double Derivative(double x, int n, int d) {
  double factor = 1.0;
  for (int i = 0; i < d; ++i) factor *= n - i;
  return factor == 0.0 ? 0.0 : factor * Power(x, n - d);
}

Eigen::Matrix<double, 1, kTerms> Terms(double s, double t, int ds, int dt) {
  Eigen::Matrix<double, 1, kTerms> row;
  for (int k = 0; k < kTerms; ++k) {
    const auto& power = kPowers[static_cast<std::size_t>(k)];
    row(k) = Derivative(s, power[0], ds) * Derivative(t, power[1], dt);
  }
  return row;
}

/// Polynomial coefficients of the unit cell from its nodal values (w, w,s, w,t).
const Eigen::Matrix<double, kTerms, kTerms>& FromNodes() {
  static const Eigen::Matrix<double, kTerms, kTerms> inverse = [] {
    Eigen::Matrix<double, kTerms, kTerms> values;
    for (int n = 0; n < kNodesOfCell; ++n) {
      const auto& at = kNodes[static_cast<std::size_t>(n)];
      values.row(3 * n) = Terms(at[0], at[1], 0, 0);
      values.row(3 * n + 1) = Terms(at[0], at[1], 1, 0);
      values.row(3 * n + 2) = Terms(at[0], at[1], 0, 1);
    }
    return Eigen::Matrix<double, kTerms, kTerms>(values.inverse());
  }();
  return inverse;
}

/// Slopes of the cell are a and b times those of the unit cell.
BendingVector Scale(double a, double b) {
  BendingVector scale;
  for (int n = 0; n < kNodesOfCell; ++n) scale.segment<3>(3 * n) << 1.0, a, b;
  return scale;
}

/// Integrals over the unit cell: of w,ss^2, w,tt^2, 2 w,ss w,tt and 4 w,st^2 as quadratic forms,
/// and of w.
struct UnitCell {
  BendingMatrix along, across, mixed, twist;
  BendingVector load;
};

const UnitCell& Unit() {
  static const UnitCell unit = [] {
    UnitCell cell{BendingMatrix::Zero(),
                  BendingMatrix::Zero(),
                  BendingMatrix::Zero(),
                  BendingMatrix::Zero(),
                  BendingVector::Zero()};
    const double offset =
        std::sqrt(0.6) / 2.0;  // three Gauss points a side are exact for the cubic terms
    const std::array<double, 3> at = {0.5 - offset, 0.5, 0.5 + offset};
    const std::array<double, 3> weight = {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0};
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        const double w = weight[i] * weight[j];
        const BendingVector ss = (Terms(at[i], at[j], 2, 0) * FromNodes()).transpose();
        const BendingVector tt = (Terms(at[i], at[j], 0, 2) * FromNodes()).transpose();
        const BendingVector st = (Terms(at[i], at[j], 1, 1) * FromNodes()).transpose();
        cell.along += w * ss * ss.transpose();
        cell.across += w * tt * tt.transpose();
        cell.mixed += w * (ss * tt.transpose() + tt * ss.transpose());
        cell.twist += w * 4.0 * st * st.transpose();
        cell.load += w * (Terms(at[i], at[j], 0, 0) * FromNodes()).transpose();
      }
    }
    return cell;
  }();
  return unit;
}

struct Gradients {
  Eigen::Matrix<double, kNodesOfCell, 1> x, y;
};

/// Of the bilinear shape functions at (s, t).
Gradients GradientsAt(double a, double b, double s, double t) {
  Gradients g;
  g.x << -(1.0 - t) / a, (1.0 - t) / a, t / a, -t / a;
  g.y << -(1.0 - s) / b, -s / b, s / b, (1.0 - s) / b;
  return g;
}

const double kGauss = 0.5 - 0.5 / std::sqrt(3.0);
const std::array<std::array<double, 2>, 4> kGaussPoints = {{{kGauss, kGauss},
                                                            {1.0 - kGauss, kGauss},
                                                            {1.0 - kGauss, 1.0 - kGauss},
                                                            {kGauss, 1.0 - kGauss}}};

struct Nodal {
  MembraneCell::Heights u, v, w;
};

Nodal Split(const CellVector& x) {
  Nodal nodal;
  for (int n = 0; n < kNodesOfCell; ++n) {
    nodal.u(n) = x(kUnknownsOfNode * n + kU);
    nodal.v(n) = x(kUnknownsOfNode * n + kV);
    nodal.w(n) = x(kUnknownsOfNode * n + kW);
  }
  return nodal;
}

Eigen::Vector3d StrainOf(const Gradients& g,
                         const Nodal& d,
                         const MembraneCell::Heights& shape,
                         bool large) {
  Eigen::Vector3d strain(g.x.dot(d.u), g.y.dot(d.v), g.y.dot(d.u) + g.x.dot(d.v));
  if (!large) return strain;
  const double wx = g.x.dot(d.w), wy = g.y.dot(d.w);
  const double zx = g.x.dot(shape), zy = g.y.dot(shape);
  strain(0) += zx * wx + 0.5 * wx * wx;
  strain(1) += zy * wy + 0.5 * wy * wy;
  strain(2) += zx * wy + zy * wx + wx * wy;
  return strain;
}

using Row =
    Eigen::Matrix<double, 3 * kNodesOfCell, 1>;  ///< over u, v, w of the nodes, node by node

constexpr std::array<int, 3> kMembraneUnknowns = {kU, kV, kW};

int MembraneUnknown(int k) {
  return kUnknownsOfNode * (k / 3) + kMembraneUnknowns[static_cast<std::size_t>(k % 3)];
}

}  // namespace

int BendingUnknown(int bending) { return kUnknownsOfNode * (bending / 3) + kW + bending % 3; }

BendingVector ShapeRow(double a, double b, double s, double t) {
  return (Terms(s, t, 0, 0) * FromNodes()).transpose().cwiseProduct(Scale(a, b));
}

Eigen::Matrix<double, 3, kBendingOfCell> CurvatureRows(double a, double b, double s, double t) {
  Eigen::Matrix<double, 3, kBendingOfCell> rows;
  rows.row(0) = Terms(s, t, 2, 0) * FromNodes() / (a * a);
  rows.row(1) = Terms(s, t, 0, 2) * FromNodes() / (b * b);
  rows.row(2) = Terms(s, t, 1, 1) * FromNodes() / (a * b);
  return rows * Scale(a, b).asDiagonal();
}

BendingVector EvenLoad(double a, double b) { return a * b * Unit().load.cwiseProduct(Scale(a, b)); }

BendingMatrix BendingStiffness(double a, double b, const Eigen::Matrix3d& bending) {
  const UnitCell& unit = Unit();
  const BendingMatrix sum =
      bending(0, 0) * b / (a * a * a) * unit.along + bending(1, 1) * a / (b * b * b) * unit.across +
      bending(0, 1) / (a * b) * unit.mixed + bending(2, 2) / (a * b) * unit.twist;
  const BendingVector scale = Scale(a, b);
  return scale.asDiagonal() * sum * scale.asDiagonal();
}

MembraneCell::Strains MembraneCell::StrainsAt(const CellVector& x,
                                              const Heights& shape,
                                              bool large) const {
  Strains strains;
  const Nodal nodal = Split(x);
  for (std::size_t g = 0; g < kGaussPoints.size(); ++g) {
    const auto& at = kGaussPoints[g];
    strains.normal[g] = StrainOf(GradientsAt(a_, b_, at[0], at[1]), nodal, shape, large).head<2>();
  }
  strains.shear = StrainOf(GradientsAt(a_, b_, 0.5, 0.5), nodal, shape, large)(2);
  return strains;
}

Eigen::Vector3d MembraneCell::StrainAt(
    const CellVector& x, const Heights& shape, bool large, double s, double t) const {
  return StrainOf(GradientsAt(a_, b_, s, t), Split(x), shape, large);
}

double MembraneCell::Energy(const CellVector& x, const Heights& shape, bool large) const {
  const Strains strains = StrainsAt(x, shape, large);
  double energy = 0.5 * a_ * b_ * stiffness_(2, 2) * strains.shear * strains.shear;
  for (const Eigen::Vector2d& e : strains.normal)
    energy += 0.5 * 0.25 * a_ * b_ * e.dot(stiffness_.topLeftCorner<2, 2>() * e);
  return energy;
}

void MembraneCell::Add(const CellVector& x,
                       const Heights& shape,
                       bool large,
                       CellVector& forces,
                       CellMatrix* tangent,
                       bool geometric) const {
  const Nodal nodal = Split(x);
  Row sum = Row::Zero();
  Eigen::Matrix<double, 3 * kNodesOfCell, 3 * kNodesOfCell> matrix;
  if (tangent != nullptr) matrix.setZero();
  Eigen::Matrix4d by_force = Eigen::Matrix4d::Zero();

  const auto slopes = [&](const Gradients& g) {
    return large ? Eigen::Vector2d(g.x.dot(nodal.w + shape), g.y.dot(nodal.w + shape))
                 : Eigen::Vector2d(0.0, 0.0);
  };
  const double quarter = 0.25 * a_ * b_;
  const Eigen::Matrix2d normal_stiffness = quarter * stiffness_.topLeftCorner<2, 2>();
  for (const auto& at : kGaussPoints) {
    const Gradients g = GradientsAt(a_, b_, at[0], at[1]);
    const Eigen::Vector2d slope = slopes(g);
    Eigen::Matrix<double, 2, 3 * kNodesOfCell> rows =
        Eigen::Matrix<double, 2, 3 * kNodesOfCell>::Zero();
    for (int n = 0; n < kNodesOfCell; ++n) {
      rows(0, 3 * n) = g.x(n);
      rows(0, 3 * n + 2) = slope.x() * g.x(n);
      rows(1, 3 * n + 1) = g.y(n);
      rows(1, 3 * n + 2) = slope.y() * g.y(n);
    }
    const Eigen::Vector2d force = normal_stiffness * StrainOf(g, nodal, shape, large).head<2>();
    sum.noalias() += rows.transpose() * force;
    if (tangent == nullptr) continue;
    matrix.noalias() += rows.transpose() * (normal_stiffness * rows);
    if (large && geometric)
      by_force += force.x() * g.x * g.x.transpose() + force.y() * g.y * g.y.transpose();
  }
  {
    const Gradients g = GradientsAt(a_, b_, 0.5, 0.5);
    const Eigen::Vector2d slope = slopes(g);
    Row row;
    for (int n = 0; n < kNodesOfCell; ++n)
      row.segment<3>(3 * n) << g.y(n), g.x(n), slope.x() * g.y(n) + slope.y() * g.x(n);
    const double stiffness = a_ * b_ * stiffness_(2, 2);
    const double force = stiffness * StrainOf(g, nodal, shape, large)(2);
    sum += force * row;
    if (tangent != nullptr) {
      matrix.noalias() += (stiffness * row) * row.transpose();
      if (large && geometric) by_force += force * (g.x * g.y.transpose() + g.y * g.x.transpose());
    }
  }
  for (int i = 0; i < sum.size(); ++i) forces(MembraneUnknown(i)) += sum(i);
  if (tangent == nullptr) return;
  for (int i = 0; i < kNodesOfCell; ++i) {
    for (int j = 0; j < kNodesOfCell; ++j) matrix(3 * i + 2, 3 * j + 2) += by_force(i, j);
  }
  for (int j = 0; j < sum.size(); ++j) {
    for (int i = 0; i < sum.size(); ++i)
      (*tangent)(MembraneUnknown(i), MembraneUnknown(j)) += matrix(i, j);
  }
}

}  // namespace lieflat
