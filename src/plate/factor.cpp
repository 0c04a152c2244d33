#include "plate/factor.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <Eigen/Cholesky>

#include "lieflat/base/check.h"

namespace lieflat {
namespace {

/// Grid points with fewer unknowns than this are eliminated as one dense block.
constexpr int kLeafUnknowns = 60;

}  // namespace

Factor::Factor(int unknowns,
               const std::vector<GridPoint>& points,
               const std::vector<Item>& items,
               const std::vector<int>& fixed)
    : items_(items), order_(static_cast<std::size_t>(unknowns), 0) {
  for (const int unknown : fixed) order_[static_cast<std::size_t>(unknown)] = -1;
  std::vector<int> all(points.size());
  for (std::size_t p = 0; p < all.size(); ++p) all[p] = static_cast<int>(p);
  Dissect(points, std::move(all));
  FindBoundaries(points);
  for (int k = 0; k < static_cast<int>(items_.size()); ++k) {
    const int front = FrontOf(items_[static_cast<std::size_t>(k)].unknowns);
    if (front >= 0) fronts_[static_cast<std::size_t>(front)].items.push_back(k);
  }
}

/// Cuts the points in two along a grid line, the line's own points last. Returns the front of the
/// cut.
int Factor::Dissect(const std::vector<GridPoint>& points, std::vector<int> chosen) {
  const auto weight = [&](int p) {
    return static_cast<int>(points[static_cast<std::size_t>(p)].unknowns.size());
  };
  int total = 0;
  int low_i = 1 << 30, high_i = 0, low_j = 1 << 30, high_j = 0;
  for (const int p : chosen) {
    const GridPoint& point = points[static_cast<std::size_t>(p)];
    total += weight(p);
    low_i = std::min(low_i, point.i);
    high_i = std::max(high_i, point.i);
    low_j = std::min(low_j, point.j);
    high_j = std::max(high_j, point.j);
  }
  std::vector<int> before, after, pivots;
  if (total > kLeafUnknowns && std::max(high_i - low_i, high_j - low_j) >= 2) {
    const bool along_i = high_i - low_i >= high_j - low_j;
    const auto place = [&](int p) {
      const GridPoint& point = points[static_cast<std::size_t>(p)];
      return along_i ? point.i : point.j;
    };
    const int low = along_i ? low_i : low_j, high = along_i ? high_i : high_j;
    std::vector<int> by_line(static_cast<std::size_t>(high - low + 1), 0);
    for (const int p : chosen) by_line[static_cast<std::size_t>(place(p) - low)] += weight(p);
    int cut = low, passed = 0;
    while (passed + by_line[static_cast<std::size_t>(cut - low)] < total / 2) {
      passed += by_line[static_cast<std::size_t>(cut - low)];
      ++cut;
    }
    cut = std::clamp(cut, low + 1, high - 1);
    for (const int p : chosen)
      (place(p) < cut ? before : place(p) > cut ? after : pivots).push_back(p);
  } else {
    pivots = std::move(chosen);
  }
  std::vector<int> children;
  for (std::vector<int>* side : {&before, &after}) {
    if (!side->empty()) children.push_back(Dissect(points, std::move(*side)));
  }
  Front front;
  front.first = static_cast<int>(unknown_of_.size());
  const int number = static_cast<int>(fronts_.size());
  for (const int p : pivots) {
    for (const int unknown : points[static_cast<std::size_t>(p)].unknowns) {
      if (order_[static_cast<std::size_t>(unknown)] < 0) continue;
      order_[static_cast<std::size_t>(unknown)] = static_cast<int>(unknown_of_.size());
      unknown_of_.push_back(unknown);
      front_of_.push_back(number);
    }
  }
  front.pivots = static_cast<int>(unknown_of_.size()) - front.first;
  front.children = std::move(children);
  for (const int child : front.children) fronts_[static_cast<std::size_t>(child)].parent = number;
  fronts_.push_back(std::move(front));
  return number;
}

void Factor::FindBoundaries(const std::vector<GridPoint>& points) {
  std::map<std::pair<int, int>, int> at;
  for (std::size_t p = 0; p < points.size(); ++p)
    at[{points[p].i, points[p].j}] = static_cast<int>(p);
  std::vector<std::vector<int>> points_of(fronts_.size());
  for (std::size_t p = 0; p < points.size(); ++p) {
    for (const int unknown : points[p].unknowns) {
      const int order = order_[static_cast<std::size_t>(unknown)];
      if (order < 0) continue;
      points_of[static_cast<std::size_t>(front_of_[static_cast<std::size_t>(order)])].push_back(
          static_cast<int>(p));
      break;
    }
  }
  for (std::size_t f = 0; f < fronts_.size(); ++f) {
    Front& front = fronts_[f];
    const int end = front.first + front.pivots;
    std::vector<int> rows;
    for (const int p : points_of[f]) {
      const GridPoint& point = points[static_cast<std::size_t>(p)];
      for (int di = -1; di <= 1; ++di) {
        for (int dj = -1; dj <= 1; ++dj) {
          const auto next = at.find({point.i + di, point.j + dj});
          if (next == at.end()) continue;
          for (const int unknown : points[static_cast<std::size_t>(next->second)].unknowns) {
            if (order_[static_cast<std::size_t>(unknown)] >= end)
              rows.push_back(order_[static_cast<std::size_t>(unknown)]);
          }
        }
      }
    }
    for (const int child : front.children) {
      for (const int row : fronts_[static_cast<std::size_t>(child)].boundary) {
        if (row >= end) rows.push_back(row);
      }
    }
    std::sort(rows.begin(), rows.end());
    rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
    front.boundary = std::move(rows);
  }
}

int Factor::FrontOf(std::span<const int> unknowns) const {
  int first = -1;
  for (const int unknown : unknowns) {
    const int order = order_[static_cast<std::size_t>(unknown)];
    if (order >= 0 && (first < 0 || order < first)) first = order;
  }
  return first < 0 ? -1 : front_of_[static_cast<std::size_t>(first)];
}

/// Where a front's own unknowns and those of its boundary stand in its dense matrix.
void Factor::NumberRows(const Front& front, std::vector<int>& local) {
  for (int k = 0; k < front.pivots; ++k) local[static_cast<std::size_t>(front.first + k)] = k;
  for (std::size_t k = 0; k < front.boundary.size(); ++k)
    local[static_cast<std::size_t>(front.boundary[k])] = front.pivots + static_cast<int>(k);
}

void Factor::AddItems(const Front& front,
                      const Fill& fill,
                      const std::vector<int>& local,
                      Eigen::MatrixXd& dense) const {
  Eigen::MatrixXd matrix;
  std::vector<int> where;
  for (const int item : front.items) {
    const std::vector<int>& touched = items_[static_cast<std::size_t>(item)].unknowns;
    const auto n = static_cast<Eigen::Index>(touched.size());
    matrix.setZero(n, n);
    fill(item, matrix);
    where.clear();
    for (const int unknown : touched) {
      const int order = order_[static_cast<std::size_t>(unknown)];
      where.push_back(order < 0 ? -1 : local[static_cast<std::size_t>(order)]);
    }
    for (Eigen::Index j = 0; j < n; ++j) {
      const int column = where[static_cast<std::size_t>(j)];
      if (column < 0) continue;
      for (Eigen::Index i = 0; i < n; ++i) {
        const int row = where[static_cast<std::size_t>(i)];
        if (row >= column) dense(row, column) += matrix(i, j);
      }
    }
  }
}

void Factor::AddExtra(const Extra& extra,
                      const std::vector<int>& local,
                      Eigen::MatrixXd& dense) const {
  const SparseRow& of = extra.row;
  for (std::size_t i = 0; i < of.unknowns.size(); ++i) {
    for (std::size_t j = 0; j < of.unknowns.size(); ++j) {
      const int oi = order_[static_cast<std::size_t>(of.unknowns[i])];
      const int oj = order_[static_cast<std::size_t>(of.unknowns[j])];
      if (oi < 0 || oj < 0) continue;
      const int row = local[static_cast<std::size_t>(oi)],
                column = local[static_cast<std::size_t>(oj)];
      if (row >= column) dense(row, column) += extra.weight * of.values[i] * of.values[j];
    }
  }
}

/// What the children left over, each once: their updates are freed.
void Factor::AddChildren(const Front& front,
                         const std::vector<int>& local,
                         std::vector<Eigen::MatrixXd>& updates,
                         Eigen::MatrixXd& dense) const {
  std::vector<int> where;
  for (const int child : front.children) {
    Eigen::MatrixXd& update = updates[static_cast<std::size_t>(child)];
    const std::vector<int>& boundary = fronts_[static_cast<std::size_t>(child)].boundary;
    where.clear();
    for (const int order : boundary) where.push_back(local[static_cast<std::size_t>(order)]);
    for (std::size_t j = 0; j < where.size(); ++j) {
      double* column = dense.data() + static_cast<Eigen::Index>(where[j]) * dense.rows();
      const double* from = update.data() + static_cast<Eigen::Index>(j) * update.rows();
      for (std::size_t i = j; i < where.size(); ++i) column[where[i]] += from[i];
    }
    update.resize(0, 0);
  }
}

/// Cholesky of the pivots' corner, the rows below solved, what they leave over in their own corner.
/// @return false when the corner is not positive definite.
bool Factor::Eliminate(Eigen::Index pivots, Eigen::MatrixXd& dense) {
  if (pivots == 0) return true;
  const Eigen::Index rows = dense.rows() - pivots;
  Eigen::Ref<Eigen::MatrixXd> corner = dense.topLeftCorner(pivots, pivots);
  const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> cholesky(corner);
  if (cholesky.info() != Eigen::Success) return false;
  if (rows > 0) {
    dense.topLeftCorner(pivots, pivots)
        .triangularView<Eigen::Lower>()
        .transpose()
        .solveInPlace<Eigen::OnTheRight>(dense.bottomLeftCorner(rows, pivots));
    dense.bottomRightCorner(rows, rows)
        .selfadjointView<Eigen::Lower>()
        .rankUpdate(dense.bottomLeftCorner(rows, pivots), -1.0);
  }
  return true;
}

bool Factor::DecomposeFront(int number,
                            const Fill& fill,
                            const std::vector<std::vector<const Extra*>>& extras,
                            std::vector<int>& local,
                            std::vector<Eigen::MatrixXd>& updates) {
  Front& front = fronts_[static_cast<std::size_t>(number)];
  const Eigen::Index pivots = front.pivots;
  const auto rows = static_cast<Eigen::Index>(front.boundary.size());
  NumberRows(front, local);
  Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(pivots + rows, pivots + rows);
  AddItems(front, fill, local, dense);
  for (const Extra* extra : extras[static_cast<std::size_t>(number)])
    AddExtra(*extra, local, dense);
  AddChildren(front, local, updates, dense);
  if (!Eliminate(pivots, dense)) return false;
  front.lower = dense.leftCols(pivots);
  updates[static_cast<std::size_t>(number)] = dense.bottomRightCorner(rows, rows);
  return true;
}

bool Factor::Decompose(const Fill& fill, const std::vector<Extra>& extras) {
  std::vector<std::vector<const Extra*>> by_front(fronts_.size());
  for (const Extra& extra : extras) {
    if (const int front = FrontOf(extra.row.unknowns); front >= 0)
      by_front[static_cast<std::size_t>(front)].push_back(&extra);
  }
  std::vector<int> local(unknown_of_.size(), -1);
  std::vector<Eigen::MatrixXd> updates(fronts_.size());
  for (int f = 0; f < static_cast<int>(fronts_.size()); ++f) {
    if (!DecomposeFront(f, fill, by_front, local, updates)) return false;
  }
  return true;
}

void Factor::Backward(Eigen::VectorXd& x) const {
  Eigen::VectorXd below;
  for (auto front = fronts_.rbegin(); front != fronts_.rend(); ++front) {
    const auto rows = static_cast<Eigen::Index>(front->boundary.size());
    auto own = x.segment(front->first, front->pivots);
    if (rows > 0) {
      below.resize(rows);
      for (Eigen::Index k = 0; k < rows; ++k)
        below(k) = x(front->boundary[static_cast<std::size_t>(k)]);
      own.noalias() -= front->lower.bottomRows(rows).transpose() * below;
    }
    front->lower.topRows(front->pivots)
        .triangularView<Eigen::Lower>()
        .transpose()
        .solveInPlace(own);
  }
}

Eigen::VectorXd Factor::Solve(const Eigen::VectorXd& b) const {
  const auto n = static_cast<Eigen::Index>(unknown_of_.size());
  Eigen::VectorXd x(n);
  for (Eigen::Index k = 0; k < n; ++k) x(k) = b(unknown_of_[static_cast<std::size_t>(k)]);
  Eigen::VectorXd below;
  for (const Front& front : fronts_) {
    auto own = x.segment(front.first, front.pivots);
    front.lower.topRows(front.pivots).triangularView<Eigen::Lower>().solveInPlace(own);
    const auto rows = static_cast<Eigen::Index>(front.boundary.size());
    if (rows == 0) continue;
    below.noalias() = front.lower.bottomRows(rows) * own;
    for (Eigen::Index k = 0; k < rows; ++k)
      x(front.boundary[static_cast<std::size_t>(k)]) -= below(k);
  }
  Backward(x);
  Eigen::VectorXd out = Eigen::VectorXd::Zero(b.size());
  for (Eigen::Index k = 0; k < n; ++k) out(unknown_of_[static_cast<std::size_t>(k)]) = x(k);
  return out;
}

Factor::HalfColumn Factor::Half(const SparseRow& row) const {
  HalfColumn half;
  std::vector<char> on_path(fronts_.size(), 0);
  std::map<int, double> entries;  // by order
  for (std::size_t k = 0; k < row.unknowns.size(); ++k) {
    const int order = order_[static_cast<std::size_t>(row.unknowns[k])];
    if (order < 0) continue;
    entries[order] += row.values[k];
    for (int f = front_of_[static_cast<std::size_t>(order)];
         f >= 0 && !on_path[static_cast<std::size_t>(f)];
         f = fronts_[static_cast<std::size_t>(f)].parent)
      on_path[static_cast<std::size_t>(f)] = 1;
  }
  Eigen::Index size = 0;
  std::map<int, Eigen::Index> start_of;
  for (int f = 0; f < static_cast<int>(fronts_.size()); ++f) {
    if (!on_path[static_cast<std::size_t>(f)]) continue;
    half.fronts.push_back(f);
    half.starts.push_back(size);
    start_of[f] = size;
    size += fronts_[static_cast<std::size_t>(f)].pivots;
  }
  half.starts.push_back(size);
  half.values = Eigen::VectorXd::Zero(size);
  const auto place = [&](int order) {
    const int f = front_of_[static_cast<std::size_t>(order)];
    return start_of.at(f) + order - fronts_[static_cast<std::size_t>(f)].first;
  };
  for (const auto& [order, value] : entries) half.values(place(order)) = value;
  Eigen::VectorXd below;
  for (std::size_t k = 0; k < half.fronts.size(); ++k) {
    const Front& front = fronts_[static_cast<std::size_t>(half.fronts[k])];
    auto own = half.values.segment(half.starts[k], front.pivots);
    front.lower.topRows(front.pivots).triangularView<Eigen::Lower>().solveInPlace(own);
    const auto rows = static_cast<Eigen::Index>(front.boundary.size());
    if (rows == 0) continue;
    below.noalias() = front.lower.bottomRows(rows) * own;
    // The boundary lies in runs within fronts further up the path.
    for (Eigen::Index r = 0; r < rows;) {
      const int order = front.boundary[static_cast<std::size_t>(r)];
      const Front& above =
          fronts_[static_cast<std::size_t>(front_of_[static_cast<std::size_t>(order)])];
      const Eigen::Index base = place(order) - order;
      for (; r < rows && front.boundary[static_cast<std::size_t>(r)] < above.first + above.pivots;
           ++r)
        half.values(base + front.boundary[static_cast<std::size_t>(r)]) -= below(r);
    }
  }
  return half;
}

double Factor::Dot(const HalfColumn& a, const HalfColumn& b) {
  double sum = 0.0;
  std::size_t i = a.fronts.size(), j = b.fronts.size();
  while (i > 0 && j > 0) {
    if (a.fronts[i - 1] == b.fronts[j - 1]) {
      --i;
      --j;
      const Eigen::Index size = a.starts[i + 1] - a.starts[i];
      sum += a.values.segment(a.starts[i], size).dot(b.values.segment(b.starts[j], size));
    } else if (a.fronts[i - 1] > b.fronts[j - 1]) {
      --i;
    } else {
      --j;
    }
  }
  return sum;
}

Eigen::VectorXd Factor::Finish(std::span<const HalfColumn* const> halves,
                               const Eigen::VectorXd& weights) const {
  Eigen::VectorXd x = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(unknown_of_.size()));
  for (std::size_t c = 0; c < halves.size(); ++c) {
    const HalfColumn& half = *halves[c];
    for (std::size_t k = 0; k < half.fronts.size(); ++k) {
      const Front& front = fronts_[static_cast<std::size_t>(half.fronts[k])];
      x.segment(front.first, front.pivots) +=
          weights(static_cast<Eigen::Index>(c)) * half.values.segment(half.starts[k], front.pivots);
    }
  }
  Backward(x);
  Eigen::VectorXd out = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(order_.size()));
  for (std::size_t k = 0; k < unknown_of_.size(); ++k)
    out(unknown_of_[k]) = x(static_cast<Eigen::Index>(k));
  return out;
}

std::size_t Factor::entries() const {
  std::size_t sum = 0;
  for (const Front& front : fronts_) sum += static_cast<std::size_t>(front.lower.size());
  return sum;
}

}  // namespace lieflat
