#include "lieflat/lasting/creep.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "lieflat/base/check.h"
#include "lieflat/base/statistics.h"

namespace lieflat {
namespace {

constexpr double kKelvin = 273.15;
constexpr double kGasConstant = 8.314462618e-3;  // kJ/(mol K), CODATA 2018
constexpr double kSecondsPerHour = 3600.0;

CalibNumber Number(const Calib& calib, const char* pointer) {
  return calib.Number("creep", pointer);
}

/// H / R (1/T1 - 1/T2): the natural logarithm of the ratio of two rates.
double LogShift(double kj_mol, double from_c, double to_c) {
  return kj_mol / kGasConstant * (1.0 / (from_c + kKelvin) - 1.0 / (to_c + kKelvin));
}

/// A draw held above a floor: moduli and exponents stay what they are.
double Held(double value, double least, double most) { return std::clamp(value, least, most); }

/// The numbers of calib/creep.json that a law is drawn from, looked up once for all draws.
struct LawNumbers {
  explicit LawNumbers(const Calib& calib)
      : m(Number(calib, "/creep/m")),
        m_log_sd(Number(calib, "/creep/m_log_sd")),
        n(Number(calib, "/creep/n")),
        activation(Number(calib, "/creep/activation_kj_mol")),
        reference_c(Number(calib, "/creep/reference_c")),
        rubbery_share(Number(calib, "/relaxation/rubbery_share")),
        tg_sd_k(Number(calib, "/relaxation/tg_sd_k")),
        tau_at_tg_s(Number(calib, "/relaxation/tau_at_tg_s")),
        b(Number(calib, "/relaxation/b")),
        relaxation(Number(calib, "/relaxation/activation_kj_mol")),
        glassy(Number(calib, "/relaxation/glassy_activation_kj_mol")),
        glassy_below_k(Number(calib, "/relaxation/glassy_below_k")),
        twist_factor(Number(calib, "/creep/twist_factor")),
        paper_factor(Number(calib, "/creep/paper_factor")),
        reference_age_days(Number(calib, "/creep/reference_age_days")),
        ageing_exponent(Number(calib, "/creep/ageing_exponent")) {}

  CalibNumber m, m_log_sd, n, activation, reference_c, rubbery_share, tg_sd_k, tau_at_tg_s, b,
      relaxation, glassy, glassy_below_k, twist_factor, paper_factor, reference_age_days,
      ageing_exponent;
};

/// Builds the law from one standard normal per number; zeros give the medians.
CreepLaw LawFrom(const LaminateState& laminate,
                 Bending bending,
                 const LawNumbers& numbers,
                 const std::function<double()>& normal) {
  const auto draw = [&](const CalibNumber& number) {
    return number.value + number.uncertainty * normal();
  };
  CreepLaw law;
  law.m = numbers.m.value * std::exp(numbers.m_log_sd.value * normal());
  law.n = Held(draw(numbers.n), 0.05, 0.6);
  law.activation_kj_mol = Held(draw(numbers.activation), 20.0, 300.0);
  law.reference_c = numbers.reference_c.value;
  law.s_inf = 1.0 - Held(draw(numbers.rubbery_share), 0.05, 0.9);
  law.tg_c = laminate.tg_c + numbers.tg_sd_k.value * normal();
  law.tau_at_tg_s = numbers.tau_at_tg_s.value;
  law.b = Held(draw(numbers.b), 0.1, 1.0);
  law.relaxation_kj_mol = Held(draw(numbers.relaxation), 100.0, 900.0);
  law.glassy_kj_mol = Held(draw(numbers.glassy), 50.0, 600.0);
  law.glassy_below_k = numbers.glassy_below_k.value;
  if (bending == Bending::kTwist) law.m *= numbers.twist_factor.value;
  if (laminate.paper) law.m *= numbers.paper_factor.value;
  const double reference = numbers.reference_age_days.value;
  if (laminate.age_days > reference) {
    law.m *= AgeingFactor(laminate.age_days, reference, numbers.ageing_exponent.value, law.n);
  }
  return law;
}

}  // namespace

double EquivalentHours(const HoldTime& hold, double activation_kj_mol, double reference_c) {
  return hold.hours * std::exp(LogShift(activation_kj_mol, reference_c, hold.temperature_c));
}

double RecoveryKept(double x, double n) { return std::pow(1.0 + x, n) - std::pow(x, n); }

double AgeingFactor(double age_days, double reference_days, double mu, double n) {
  return std::pow(age_days / reference_days, -mu * n);
}

double RelaxationTime(const CreepLaw& law, double temperature_c) {
  const double glassy_c = law.tg_c - law.glassy_below_k;
  const double upper_c = std::max(temperature_c, glassy_c);
  double log_tau = std::log(law.tau_at_tg_s) + LogShift(law.relaxation_kj_mol, upper_c, law.tg_c);
  if (temperature_c < glassy_c) log_tau += LogShift(law.glassy_kj_mol, temperature_c, glassy_c);
  return std::exp(log_tau);
}

double RelaxedShare(const CreepLaw& law, const HoldTime& hold) {
  const double time = hold.hours * kSecondsPerHour / RelaxationTime(law, hold.temperature_c);
  return -std::expm1(-std::pow(time, law.b));
}

Kept KeptAfter(const CreepLaw& law, const HoldTime& hold, double rest_hours) {
  LIEFLAT_CHECK(hold.hours >= 0.0 && rest_hours >= 0.0, "times are not negative");
  if (hold.hours == 0.0) return {};
  const double equivalent = EquivalentHours(hold, law.activation_kj_mol, law.reference_c);
  const double phi = law.m * std::pow(equivalent, law.n);
  const double sub = -law.s_inf * std::expm1(-phi / law.s_inf);
  const double alpha = RelaxedShare(law, hold);
  const auto kept = [&](double creep) {
    return law.s_inf * (1.0 - (1.0 - creep / law.s_inf) * (1.0 - alpha));
  };
  return {kept(sub), kept(RecoveryKept(rest_hours / equivalent, law.n) * sub)};
}

CreepLaw MedianLaw(const LaminateState& laminate, Bending bending, const Calib& calib) {
  return LawFrom(laminate, bending, LawNumbers(calib), [] { return 0.0; });
}

CreepLaw DrawLaw(const LaminateState& laminate,
                 Bending bending,
                 const Calib& calib,
                 Random& random) {
  return LawFrom(laminate, bending, LawNumbers(calib), [&] { return random.Normal(); });
}

Triple TripleOf(const Eigen::VectorXd& draws) {
  return {Quantile(draws, 0.05), Quantile(draws, 0.50), Quantile(draws, 0.95)};
}

KeptTriple PredictKept(const LaminateState& laminate,
                       Bending bending,
                       const HoldTime& hold,
                       double rest_hours,
                       const Calib& calib,
                       std::uint64_t seed) {
  const auto count = static_cast<Eigen::Index>(Number(calib, "/draws").value);
  Random random(seed);
  const LawNumbers numbers(calib);
  const auto normal = [&] { return random.Normal(); };
  KeptTriple out;
  out.release_draws.resize(count);
  out.rested_draws.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Kept kept = KeptAfter(LawFrom(laminate, bending, numbers, normal), hold, rest_hours);
    out.release_draws(i) = kept.at_release;
    out.rested_draws(i) = kept.rested;
  }
  out.at_release = TripleOf(out.release_draws);
  out.rested = TripleOf(out.rested_draws);
  return out;
}

}  // namespace lieflat
