#pragma once
// What stays of a change of curvature that was held: at release, and after a rest.
//
//   held for t at temperature T, cooled under load, released -> S0 dk stays at once
//   rested for t_r at room temperature                       -> S_r dk stays in the end
//
// Two mechanisms: slow creep of the glassy laminate, part of which comes back with time (phi = m
// t_eq^n, recovery K(x) = (1 + x)^n - x^n with x the rest over the hold's equivalent time), and
// relaxation near the glass transition, which stays (alpha). S_inf = 1 - E_rubber / E_glass bounds
// both, for the woven glass does not relax.
//   S_sub = S_inf (1 - exp(-phi / S_inf))
//   S0 = S_inf [1 - (1 - S_sub / S_inf)(1 - alpha)], S_r the same with K S_sub
// Sources: power-law creep and recovery by superposition, Findley, Lai & Onaran, Creep and
// Relaxation of Nonlinear Viscoelastic Materials (1976), 5; ageing t_age^(-mu n), Struik (1978),
// from memory. The numbers in calib/creep.json are priors: the medians are good to a factor of
// about two.

#include <cstdint>

#include <Eigen/Core>

#include "lieflat/base/calib.h"
#include "lieflat/base/random.h"

namespace lieflat {

/// One set of numbers of the two mechanisms.
struct CreepLaw {
  double m = 0.0;  ///< at 1 h and the reference temperature, bending along or across the weave
  double n = 0.0;
  double activation_kj_mol = 0.0, reference_c = 0.0;
  double s_inf = 0.0;  ///< the most that can stay
  double tg_c = 0.0, tau_at_tg_s = 0.0, b = 0.0;
  double relaxation_kj_mol = 0.0, glassy_kj_mol = 0.0, glassy_below_k = 0.0;
};

struct HoldTime {
  double hours = 0.0;
  double temperature_c = 0.0;
};

/// Hours at the reference temperature that creep as much.
double EquivalentHours(const HoldTime& hold, double activation_kj_mol, double reference_c);
/// Share of the creep that has not come back after a rest of x times the hold's equivalent time.
double RecoveryKept(double x, double n);
/// m is multiplied by this for a board of that age: an old laminate creeps less. A hold above about
/// Tg erases it.
double AgeingFactor(double age_days, double reference_days, double mu, double n);
/// Time constant of the relaxation, s.
double RelaxationTime(const CreepLaw& law, double temperature_c);
/// alpha, 0 to 1.
double RelaxedShare(const CreepLaw& law, const HoldTime& hold);

struct Kept {
  double at_release = 0.0;  ///< S0, share of the change of curvature
  double rested = 0.0;      ///< S_r
};
/// Shares 0 to 1. @param rest_hours  at the reference temperature, 0 or more.
Kept KeptAfter(const CreepLaw& law, const HoldTime& hold, double rest_hours);

enum class Bending { kBow, kTwist };

/// What is known of the board's laminate.
struct LaminateState {
  double tg_c = 130.0;
  bool paper = false;     ///< brown paper laminate, which creeps several times more
  double age_days = 0.0;  ///< 0: not aged (as the test pieces are)
};

/// The law at the medians of its priors.
CreepLaw MedianLaw(const LaminateState& laminate, Bending bending, const Calib& calib);
/// One draw of the law from its priors; bow and twist of one board share their draw when they are
/// given generators in the same state.
CreepLaw DrawLaw(const LaminateState& laminate,
                 Bending bending,
                 const Calib& calib,
                 Random& random);

/// 5, 50 and 95 % of a figure.
struct Triple {
  double p5 = 0.0, p50 = 0.0, p95 = 0.0;
};
Triple TripleOf(const Eigen::VectorXd& draws);

/// Both shares with what is not known of the laminate. Same seed, same bytes.
struct KeptTriple {
  Triple at_release, rested;
  Eigen::VectorXd release_draws, rested_draws;
};
KeptTriple PredictKept(const LaminateState& laminate,
                       Bending bending,
                       const HoldTime& hold,
                       double rest_hours,
                       const Calib& calib,
                       std::uint64_t seed);

}  // namespace lieflat
