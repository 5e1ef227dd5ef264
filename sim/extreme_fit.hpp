// SPDX-License-Identifier: Apache-2.0
// Distributions of each year's lowest value, fitted to a record, and how sure a share of years is.
#pragma once

#include <span>

namespace lielow {

/// Share of the standard normal distribution below z.
double normal_below(double z);

struct NormalFit {
    double mean = 0;
    double deviation = 0;  ///< with n − 1
};
/// At least two values.
NormalFit fit_normal(std::span<const double> values);
/// Share of years whose lowest value is at or below `value`.
double share_below(const NormalFit& fit, double value);

/// First L-moments of a sample: mean, scale, and skewness τ3 = λ3/λ2 (Hosking 1990, J. R. Stat. Soc. B 52,
/// 105-124), from unbiased probability-weighted moments.
struct LMoments {
    double mean = 0;
    double scale = 0;
    double skewness = 0;
};
/// At least three values.
LMoments l_moments(std::span<const double> values);

/// Generalized extreme value distribution of the *lowest* values: −x follows the usual one for the highest,
/// F = exp(−(1 + ξ (−x − μ)/σ)^(−1/ξ)), with ξ = 0 the Gumbel distribution.
struct LowestFit {
    double location = 0;  ///< μ, of −x
    double scale = 0;     ///< σ
    double shape = 0;     ///< ξ
};
/// By L-moments (Hosking, Wallis & Wood 1985, Technometrics 27, 251-261: their k = −ξ, with their
/// approximation for it, good to 9e-4 for |τ3| < 0.5), which on short records beats maximum likelihood. At
/// least three values that aren't all alike.
LowestFit fit_lowest(std::span<const double> values);
double share_below(const LowestFit& fit, double value);

struct ShareBand {
    double low = 0;
    double high = 0;
};
/// Where the true share of years lies with 95 % confidence when `hits` of `years` had it: Wilson's score
/// interval (Wilson 1927, J. Am. Stat. Assoc. 22, 209-212), without correction for continuity.
ShareBand wilson_band(int hits, int years);

/// Where the true share of years at or below `value` lies with 95 % confidence, when `fit` is of `years`
/// independent values of a normal distribution: Φ(z ± 1.96 √(1/n + z²/(2(n − 1)))) with z = (value −
/// mean)/deviation, which solves the approximate tolerance factor of the handbooks (Natrella 1963,
/// Experimental Statistics, NBS Handbook 91; NIST/SEMATECH e-Handbook 7.2.6.3) for the share. Against the
/// noncentral t distribution it is off by 0.009 at most for 5 years and by 0.005 for 10. Values all alike:
/// Wilson's interval of all or none.
ShareBand normal_band(const NormalFit& fit, int years, double value);

/// Chance of at least one such year in `years`, when each has it with `share`, one independent of the next.
double risk_over(double share, int years);

}  // namespace lielow
