#pragma once
// Seeded random numbers that are the same on every machine and library: std::mt19937_64 is fixed by
// the standard, the transforms here are our own because std::normal_distribution is not.

#include <cstdint>
#include <random>

namespace lieflat {

class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  /// In (0, 1), never an end.
  double Uniform();
  double Uniform(double low, double high) { return low + (high - low) * Uniform(); }
  /// Mean 0, standard deviation 1 (polar method of Marsaglia and Bray, SIAM Review 6 (1964) 260).
  double Normal();
  /// 0 .. n - 1, n > 0.
  int Below(int n) { return static_cast<int>(Uniform() * n); }

 private:
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace lieflat
