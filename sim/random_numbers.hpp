// SPDX-License-Identifier: Apache-2.0
// Random numbers that are the same everywhere: the standard fixes the bits of its engines, yet not what its
// distributions make of them, so those stand here.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <random>
#include <vector>

namespace lielow {

class RandomNumbers {
  public:
    /// Different seeds give streams that have nothing in common.
    explicit RandomNumbers(std::initializer_list<std::uint64_t> seeds);

    /// 0 < u < 1, each of 2^53 - 1 values as likely.
    double uniform();
    /// Standard normal, by the inverse of its distribution.
    double normal();
    /// 0 .. count - 1, each as likely; count > 0.
    std::uint64_t below(std::uint64_t count);

  private:
    std::mt19937_64 engine_;
};

/// Value below which a standard normal variable falls with probability p, 0 < p < 1, to about 1e-14: a rational
/// approximation (Abramowitz & Stegun 1964, formula 26.2.23) and two steps of Halley's method on erfc.
double normal_quantile(double p);

/// Latin hypercube (McKay, Beckman & Conover 1979, Technometrics 21, 239-245): `runs` points in `dimensions`
/// dimensions, of which each has exactly one point in every `runs`-th part of its probability; as standard
/// normal values, [run][dimension].
std::vector<std::vector<double>> latin_hypercube(int runs, int dimensions, std::uint64_t seed);

}  // namespace lielow
