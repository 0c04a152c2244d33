#include "photo/registration.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace lieflat::internal {
namespace {

constexpr int kTile = 50, kReach = 10;

struct Match {
  Eigen::Vector2d at, to;
};

/// The shift of a tile that correlates best: every second one, then steps about the best.
struct Shift {
  double correlation = -1.0;
  int di = 0, dj = 0;
};
template <typename CorrelationAt>
Shift BestShift(const CorrelationAt& at) {
  Shift best;
  const auto look = [&](int di, int dj) {
    if (const double c = at(di, dj); c > best.correlation) best = {c, di, dj};
  };
  for (int dj = -kReach; dj <= kReach; dj += 2)
    for (int di = -kReach; di <= kReach; di += 2) look(di, dj);
  for (int pass = 0; pass < 2; ++pass) {
    const int ci = best.di, cj = best.dj;
    for (int dj = cj - 1; dj <= cj + 1; ++dj)
      for (int di = ci - 1; di <= ci + 1; ++di) look(di, dj);
  }
  return best;
}

/// Where a parabola through three neighbours has its peak, from the middle one.
double Peak(double l, double m, double r) {
  const double bend = l - 2.0 * m + r;
  return bend < 0.0 ? std::clamp(0.5 * (l - r) / bend, -0.5, 0.5) : 0.0;
}

/// The tile of the sound grid from (i, j) on, found again in mine to a fraction of a place.
std::optional<Match> MatchTile(const Grid& sound, const Grid& mine, int i, int j) {
  const auto at = [&](int di, int dj) {
    return Correlation(sound, mine, i, j, i + kTile, j + kTile, di, dj);
  };
  const auto [best, di, dj] = BestShift(at);
  constexpr double kGood = 0.5;
  if (best < kGood) return std::nullopt;
  const Eigen::Vector2d middle(i + 0.5 * kTile, j + 0.5 * kTile);
  return Match{middle,
               middle + Eigen::Vector2d(di + Peak(at(di - 1, dj), best, at(di + 1, dj)),
                                        dj + Peak(at(di, dj - 1), best, at(di, dj + 1)))};
}

/// Least squares, weighed by what each match is off.
Registration FitAffine(const std::vector<Match>& matches) {
  Registration out;
  out.mine_of_sound << 1, 0, 0, 0, 1, 0;
  std::vector<double> weight(matches.size(), 1.0);
  for (int pass = 0; pass < 12; ++pass) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Matrix<double, 3, 2> right = Eigen::Matrix<double, 3, 2>::Zero();
    for (std::size_t k = 0; k < matches.size(); ++k) {
      const Eigen::Vector3d row = matches[k].at.homogeneous();
      normal += weight[k] * row * row.transpose();
      right += weight[k] * row * matches[k].to.transpose();
    }
    out.mine_of_sound = normal.ldlt().solve(right).transpose();
    double squares = 0.0, weights = 0.0;
    for (std::size_t k = 0; k < matches.size(); ++k) {
      const double off = (out.mine_of_sound * matches[k].at.homogeneous() - matches[k].to).norm();
      weight[k] = 1.0 / (1.0 + std::pow(off / 0.3, 2));
      squares += weight[k] * off * off;
      weights += weight[k];
    }
    out.rms_mm = kGridMm * std::sqrt(squares / weights);
  }
  return out;
}

}  // namespace

std::optional<Registration> Register(const Grid& mine, const Grid& sound) {
  const Grid a = HighPass(sound, 2.0), b = HighPass(mine, 2.0);
  std::vector<Match> matches;
  for (int j = 0; j + kTile <= a.rows; j += kTile) {
    for (int i = 0; i + kTile <= a.columns; i += kTile) {
      if (const auto match = MatchTile(a, b, i, j)) matches.push_back(*match);
    }
  }
  constexpr std::size_t kLeast = 8;
  if (matches.size() < kLeast) return std::nullopt;
  return FitAffine(matches);
}

Layers Warped(const Layers& mine, const Registration& by) {
  Layers out(kKinds, Grid(mine[0].columns, mine[0].rows));
  for (int j = 0; j < mine[0].rows; ++j) {
    for (int i = 0; i < mine[0].columns; ++i) {
      const Eigen::Vector2d at = by.mine_of_sound * Eigen::Vector3d(i, j, 1.0);
      for (std::size_t k = 0; k < kKinds; ++k) out[k].At(i, j) = mine[k].Between(at.x(), at.y());
    }
  }
  return out;
}

}  // namespace lieflat::internal
