#pragma once
// One rectangular cell of a layer: bending by the rectangle of Adini, Clough and Melosh, membrane
// by bilinear u and v with Marguerre's terms. Nodes run (0,0) (1,0) (1,1) (0,1) in cell widths.
//
// Sources: Melosh, J. Struct. Div. ASCE 89 (1963) 205, and Zienkiewicz & Taylor, The Finite Element
// Method for Solid and Structural Mechanics, 6th ed. (2005), 11.3 (the twelve-term polynomial);
// Marguerre, Proc. 5th Int. Congr. Appl. Mech. (1938) 93 (shallow shell strains).

#include <array>

#include <Eigen/Core>

#include "lieflat/plate/model.h"

namespace lieflat {

inline constexpr int kNodesOfCell = 4;
inline constexpr int kUnknownsOfNode = 5;  ///< u, v, w, w,x, w,y
enum NodeUnknown { kU = 0, kV = 1, kW = 2, kSlopeX = 3, kSlopeY = 4 };
inline constexpr int kUnknownsOfCell = kNodesOfCell * kUnknownsOfNode;
inline constexpr int kBendingOfCell = 12;

using BendingVector = Eigen::Matrix<double, kBendingOfCell, 1>;
using BendingMatrix = Eigen::Matrix<double, kBendingOfCell, kBendingOfCell>;
using CellVector = Eigen::Matrix<double, kUnknownsOfCell, 1>;
using CellMatrix = Eigen::Matrix<double, kUnknownsOfCell, kUnknownsOfCell>;

/// The unknowns of bending (w, w,x, w,y of each node) among a cell's.
int BendingUnknown(int bending);

/// Values of the bending shape functions at (s, t) in cell widths: w = row * (w, w,x, w,y of the
/// nodes).
BendingVector ShapeRow(double a, double b, double s, double t);
/// w,xx  w,yy  w,xy as rows over the bending unknowns.
Eigen::Matrix<double, 3, kBendingOfCell> CurvatureRows(double a, double b, double s, double t);
/// Nodal loads of an even pressure 1 along w.
BendingVector EvenLoad(double a, double b);
/// Stiffness against bending of a cell a x b, N/mm and so on.
BendingMatrix BendingStiffness(double a, double b, const Eigen::Matrix3d& bending);

/// What a cell's membrane does at a state. Strains exx, eyy at four Gauss points, gxy at the
/// centre.
class MembraneCell {
 public:
  MembraneCell(double a, double b, const Eigen::Matrix3d& membrane)
      : a_(a), b_(b), stiffness_(membrane) {}

  using Heights = Eigen::Matrix<double, kNodesOfCell, 1>;
  /// @param shape  stress-free heights of the nodes.
  /// @param large  with the terms of large deflection; else those of the shallow shell alone are
  /// left out as well.
  struct Strains {
    std::array<Eigen::Vector2d, 4> normal;
    double shear = 0.0;
  };
  [[nodiscard]] Strains StrainsAt(const CellVector& x, const Heights& shape, bool large) const;
  /// exx, eyy, gxy at (s, t) in cell widths, by the same interpolation.
  [[nodiscard]] Eigen::Vector3d StrainAt(
      const CellVector& x, const Heights& shape, bool large, double s, double t) const;
  [[nodiscard]] double Energy(const CellVector& x, const Heights& shape, bool large) const;
  /// Adds internal forces; and the tangent when asked for (lower and upper half), whole or without
  /// what the present membrane forces add to the stiffness against bending. Without that it is
  /// positive whatever the state.
  void Add(const CellVector& x,
           const Heights& shape,
           bool large,
           CellVector& forces,
           CellMatrix* tangent,
           bool geometric = true) const;

 private:
  double a_, b_;
  Eigen::Matrix3d stiffness_;
};

}  // namespace lieflat
