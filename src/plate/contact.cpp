#include "plate/contact.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include <Eigen/Cholesky>
#include <Eigen/LU>

namespace lieflat {
namespace {

constexpr int kMostRounds = 600;
/// From here on rows are added one by one: slower, and sure to end.
constexpr int kCarefulRounds = 200;
constexpr std::size_t kAddedAtOnce = 12;
/// Forces under this count as none: in N, and of the board's stiffness times the largest gap.
constexpr double kNoForce = 1e-9;

/// Forces and the few unknowns behind them, from
///   compliance f + link t = closing,   link^T f + block t = rest
/// by elimination of the forces. Nothing when the board could still tip.
std::optional<Eigen::VectorXd> SolveByForces(const Eigen::MatrixXd& compliance,
                                             const Eigen::MatrixXd& link,
                                             Eigen::MatrixXd block,
                                             const Eigen::VectorXd& closing,
                                             const Eigen::VectorXd& rest) {
  const Eigen::LLT<Eigen::MatrixXd, Eigen::Lower> cholesky(compliance);
  if (cholesky.info() != Eigen::Success) return std::nullopt;
  block -= link.transpose() * cholesky.solve(link);
  // Brought to one scale before rank is judged.
  Eigen::VectorXd scale(block.rows());
  for (Eigen::Index k = 0; k < scale.size(); ++k) {
    const double size = std::abs(block(k, k));
    if (!(size > 0.0)) return std::nullopt;
    scale(k) = 1.0 / std::sqrt(size);
  }
  const Eigen::FullPivLU<Eigen::MatrixXd> lu(scale.asDiagonal() * block * scale.asDiagonal());
  constexpr double kSingular = 1e-10;  // of the largest pivot
  if (lu.matrixLU().diagonal().cwiseAbs().minCoeff() < kSingular * lu.maxPivot())
    return std::nullopt;
  const Eigen::VectorXd tail = scale.cwiseProduct(
      lu.solve(scale.cwiseProduct(rest - link.transpose() * cholesky.solve(closing))));
  Eigen::VectorXd all(closing.size() + tail.size());
  all << cholesky.solve(closing - link * tail), tail;
  return all;
}

/// The same as one system. Where a rigid body presses the board right onto the table the two
/// forces are one another's mirror to the board, and only the body's balance tells them apart: the
/// compliance alone is singular then.
std::optional<Eigen::VectorXd> SolveWhole(const Eigen::MatrixXd& compliance,
                                          const Eigen::MatrixXd& link,
                                          const Eigen::MatrixXd& block,
                                          const Eigen::VectorXd& closing,
                                          const Eigen::VectorXd& rest) {
  const Eigen::Index n = compliance.rows(), m = block.rows();
  Eigen::VectorXd scale(n + m);
  for (Eigen::Index k = 0; k < n; ++k) scale(k) = 1.0 / std::sqrt(compliance(k, k));
  for (Eigen::Index k = 0; k < m; ++k) {
    const double size = link.col(k).cwiseProduct(scale.head(n)).norm();
    if (!(size > 0.0)) return std::nullopt;
    scale(n + k) = 1.0 / size;
  }
  Eigen::MatrixXd whole(n + m, n + m);
  whole.topLeftCorner(n, n) = compliance.selfadjointView<Eigen::Lower>();
  // More than three places squeezed like that leave open which of them carries how much: shared as
  // if each gave by a billionth of what the board gives there, a few millionths of a micrometre.
  constexpr double kShared = 1e-9;
  for (Eigen::Index k = 0; k < n; ++k) whole(k, k) *= 1.0 + kShared;
  whole.topRightCorner(n, m) = link;
  whole.bottomLeftCorner(m, n) = link.transpose();
  whole.bottomRightCorner(m, m) = block;
  whole = (scale.asDiagonal() * whole * scale.asDiagonal()).eval();
  Eigen::VectorXd right(n + m);
  right << closing, rest;
  const Eigen::PartialPivLU<Eigen::MatrixXd> lu(whole);
  constexpr double kSingular = 1e-13;  // reciprocal condition
  if (!(lu.rcond() > kSingular)) return std::nullopt;
  return Eigen::VectorXd(scale.cwiseProduct(lu.solve(scale.cwiseProduct(right))));
}

}  // namespace

double Value(const SparseRow& row, const Eigen::VectorXd& x) {
  double sum = 0.0;
  for (std::size_t k = 0; k < row.unknowns.size(); ++k) sum += row.values[k] * x(row.unknowns[k]);
  return sum;
}

void Contact::Use(const Factor& factor, const std::vector<int>& anchors, double anchor_n_per_mm) {
  factor_ = &factor;
  anchors_ = anchors;
  anchor_n_per_mm_ = anchor_n_per_mm;
  kept_.clear();
  column_of_.clear();
  anchor_halves_.clear();
  for (const int anchor : anchors) anchor_halves_.push_back(factor.Half({{anchor}, {1.0}}));
  const auto n = static_cast<Eigen::Index>(anchors.size());
  anchor_block_.resize(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      anchor_block_(i, j) = Factor::Dot(anchor_halves_[static_cast<std::size_t>(i)],
                                        anchor_halves_[static_cast<std::size_t>(j)]);
    }
    anchor_block_(i, i) -= 1.0 / anchor_n_per_mm;
  }
}

int Contact::ColumnOf(int row) {
  const auto [found, is_new] = column_of_.try_emplace(row, static_cast<int>(kept_.size()));
  if (!is_new) return found->second;
  kept_.push_back({row, factor_->Half(rows_[static_cast<std::size_t>(row)].row)});
  const auto n = static_cast<Eigen::Index>(kept_.size());
  if (compliance_.rows() < n) {
    const Eigen::Index room = std::max<Eigen::Index>(64, 2 * n);
    compliance_.conservativeResize(room, room);
    to_anchors_.conservativeResize(room, static_cast<Eigen::Index>(anchors_.size()));
  }
  for (Eigen::Index k = 0; k < n; ++k) {
    compliance_(n - 1, k) = Factor::Dot(kept_.back().half, kept_[static_cast<std::size_t>(k)].half);
    compliance_(k, n - 1) = compliance_(n - 1, k);
  }
  for (std::size_t k = 0; k < anchors_.size(); ++k)
    to_anchors_(n - 1, static_cast<Eigen::Index>(k)) =
        Factor::Dot(kept_.back().half, anchor_halves_[k]);
  return found->second;
}

/// All active rows closed, all bodies in balance, anchors without force.
std::optional<Contact::Solution> Contact::SolveActive(const std::vector<int>& active,
                                                      const Eigen::VectorXd& open,
                                                      const Eigen::VectorXd& gaps) {
  const auto n = static_cast<Eigen::Index>(active.size());
  const auto held = static_cast<Eigen::Index>(anchors_.size());
  const Eigen::Index bodies = balance_.size();
  Eigen::MatrixXd compliance(n, n), link = Eigen::MatrixXd::Zero(n, held + bodies);
  Eigen::VectorXd closing(n), rest(held + bodies);
  std::vector<int> columns;
  for (const int row : active) columns.push_back(ColumnOf(row));
  for (Eigen::Index i = 0; i < n; ++i) {
    const int ci = columns[static_cast<std::size_t>(i)];
    const ContactRow& row = rows_[static_cast<std::size_t>(active[static_cast<std::size_t>(i)])];
    for (Eigen::Index j = 0; j <= i; ++j)
      compliance(i, j) = compliance_(ci, columns[static_cast<std::size_t>(j)]);
    link.row(i).head(held) = to_anchors_.row(ci).head(held);
    if (row.body >= 0) {
      for (int k = 0; k < 3 && row.body + k < bodies; ++k) {
        if (row.body_row(k) != 0.0) link(i, held + row.body + k) = row.body_row(k);
      }
    }
    closing(i) = -gaps(active[static_cast<std::size_t>(i)]) - Value(row.row, open);
  }
  for (Eigen::Index k = 0; k < held; ++k) rest(k) = -open(anchors_[static_cast<std::size_t>(k)]);
  rest.tail(bodies) = balance_;

  Eigen::MatrixXd tail_block = Eigen::MatrixXd::Zero(held + bodies, held + bodies);
  tail_block.topLeftCorner(held, held) = anchor_block_;
  const auto unknowns = bodies > 0 ? SolveWhole(compliance, link, tail_block, closing, rest)
                                   : SolveByForces(compliance, link, tail_block, closing, rest);
  if (!unknowns) return std::nullopt;
  return Solution{unknowns->head(n), unknowns->segment(n, held), unknowns->tail(bodies)};
}

Contact::Step Contact::StepOf(const std::vector<int>& active,
                              const Solution& solution,
                              const Eigen::VectorXd& open) const {
  std::vector<const Factor::HalfColumn*> halves;
  Eigen::VectorXd weights(static_cast<Eigen::Index>(active.size() + anchors_.size()));
  weights << solution.force, solution.held;
  for (const int row : active)
    halves.push_back(&kept_[static_cast<std::size_t>(column_of_.at(row))].half);
  for (const Factor::HalfColumn& half : anchor_halves_) halves.push_back(&half);
  return {open + factor_->Finish(halves, weights), solution.q, 0};
}

/// Adds the deepest gaps that lie apart from one another. False when there is none.
bool Contact::AddWorst(const Step& step,
                       const Eigen::VectorXd& gaps,
                       std::size_t most,
                       ContactState& state) const {
  std::vector<char> is_active(rows_.size(), 0);
  for (const int row : state.active) is_active[static_cast<std::size_t>(row)] = 1;
  std::vector<std::pair<double, int>> deep;
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (is_active[i]) continue;
    const ContactRow& row = rows_[i];
    double gap = gaps(static_cast<Eigen::Index>(i)) + Value(row.row, step.x);
    if (row.body >= 0) {
      for (int k = 0; k < 3 && row.body + k < step.q.size(); ++k)
        gap += row.body_row(k) * step.q(row.body + k);
    }
    if (gap < -kTightMm) deep.emplace_back(gap, static_cast<int>(i));
  }
  if (deep.empty()) return false;
  std::sort(deep.begin(), deep.end());
  std::vector<int> added;
  for (const auto& [gap, row] : deep) {
    if (added.size() >= most) break;
    const ContactRow& candidate = rows_[static_cast<std::size_t>(row)];
    const bool near = std::any_of(added.begin(), added.end(), [&](int other) {
      const ContactRow& taken = rows_[static_cast<std::size_t>(other)];
      return taken.body == candidate.body && (taken.at_mm - candidate.at_mm).norm() < spread_mm_;
    });
    if (near) continue;
    added.push_back(row);
    state.active.push_back(row);
    state.force(row) = 0.0;
  }
  return true;
}

double Contact::NoForce(const Eigen::VectorXd& gaps) const {
  const double largest = gaps.size() > 0 ? gaps.cwiseAbs().maxCoeff() : 0.0;
  return kNoForce * (1.0 + anchor_n_per_mm_ * largest);
}

/// Moves the forces towards the wanted ones until the first would pull; those are dropped. True
/// when none was in the way.
bool Contact::MoveForces(const Eigen::VectorXd& wanted,
                         double none,
                         const std::vector<int>& stuck,
                         ContactState& state,
                         std::vector<int>& dropped) const {
  const auto may_drop = [&](int row) {
    return !rows_[static_cast<std::size_t>(row)].two_sided &&
           std::find(stuck.begin(), stuck.end(), row) == stuck.end();
  };
  double share = 1.0;
  for (std::size_t i = 0; i < state.active.size(); ++i) {
    const double aim = wanted(static_cast<Eigen::Index>(i));
    if (!may_drop(state.active[i]) || aim >= -none) continue;
    const double now = std::max(0.0, state.force(state.active[i]));
    share = std::min(share, now / (now - aim));
  }
  std::vector<int> kept;
  dropped.clear();
  for (std::size_t i = 0; i < state.active.size(); ++i) {
    const int row = state.active[i];
    const double aim = wanted(static_cast<Eigen::Index>(i));
    const double now = may_drop(row) ? std::max(0.0, state.force(row)) : state.force(row);
    const double moved = now + share * (aim - now);
    const bool drop = share < 1.0 && may_drop(row) && aim < -none && moved <= none;
    state.force(row) = drop ? 0.0 : moved;
    (drop ? dropped : kept).push_back(row);
  }
  state.active = std::move(kept);
  return share >= 1.0;
}

std::optional<Contact::Step> Contact::Solve(const Eigen::VectorXd& open,
                                            const Eigen::VectorXd& gaps,
                                            ContactState& state) {
  std::vector<int> dropped, stuck;
  const double none = NoForce(gaps);
  for (int round = 0; round < kMostRounds; ++round) {
    const auto solution = SolveActive(state.active, open, gaps);
    if (!solution) {
      // Without the rows just dropped the board would tip: they stay until it was seen what it tips
      // against.
      if (dropped.empty()) return std::nullopt;
      state.active.insert(state.active.end(), dropped.begin(), dropped.end());
      stuck.insert(stuck.end(), dropped.begin(), dropped.end());
      dropped.clear();
      continue;
    }
    if (!MoveForces(solution->force, none, stuck, state, dropped)) continue;
    Step step = StepOf(state.active, *solution, open);
    if (!AddWorst(step, gaps, round < kCarefulRounds ? kAddedAtOnce : 1, state)) {
      if (std::any_of(
              stuck.begin(), stuck.end(), [&](int row) { return state.force(row) < -none; }))
        return std::nullopt;
      step.rounds = round + 1;
      return step;
    }
    stuck.clear();
  }
  return std::nullopt;
}

std::optional<Contact::Step> Contact::Follow(const Eigen::VectorXd& open,
                                             const Eigen::VectorXd& gaps,
                                             ContactState& state) {
  const auto solution = SolveActive(state.active, open, gaps);
  if (!solution) return std::nullopt;
  for (std::size_t i = 0; i < state.active.size(); ++i)
    state.force(state.active[i]) = solution->force(static_cast<Eigen::Index>(i));
  return StepOf(state.active, *solution, open);
}

}  // namespace lieflat
