// SPDX-License-Identifier: Apache-2.0
#include "sim/extreme_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace lielow {
namespace {

constexpr double z_95 = 1.959963984540054;  ///< 97.5 % of the normal distribution lie below

}  // namespace

double normal_below(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

NormalFit fit_normal(std::span<const double> values) {
    const auto n = static_cast<double>(values.size());
    double sum = 0;
    for (const double v : values) sum += v;
    NormalFit fit{sum / n, 0};
    double squares = 0;
    for (const double v : values) squares += (v - fit.mean) * (v - fit.mean);
    fit.deviation = std::sqrt(squares / (n - 1));
    return fit;
}

double share_below(const NormalFit& fit, double value) {
    if (!(fit.deviation > 0)) return value >= fit.mean ? 1.0 : 0.0;
    return normal_below((value - fit.mean) / fit.deviation);
}

LMoments l_moments(std::span<const double> values) {
    std::vector<double> sorted(values.begin(), values.end());
    std::sort(sorted.begin(), sorted.end());
    const auto n = static_cast<double>(sorted.size());
    double b0 = 0;
    double b1 = 0;
    double b2 = 0;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const auto below = static_cast<double>(i);
        b0 += sorted[i];
        b1 += sorted[i] * below / (n - 1);
        b2 += sorted[i] * below * (below - 1) / ((n - 1) * (n - 2));
    }
    b0 /= n;
    b1 /= n;
    b2 /= n;
    const double scale = 2 * b1 - b0;
    return {b0, scale, (6 * b2 - 6 * b1 + b0) / scale};
}

LowestFit fit_lowest(std::span<const double> values) {
    std::vector<double> turned;
    for (const double v : values) turned.push_back(-v);
    const LMoments m = l_moments(turned);
    const double c = 2 / (3 + m.skewness) - std::numbers::ln2 / std::log(3.0);
    const double k = 7.8590 * c + 2.9554 * c * c;
    constexpr double gumbel_below = 1e-6;
    if (std::abs(k) < gumbel_below) {
        const double scale = m.scale / std::numbers::ln2;
        return {m.mean - std::numbers::egamma * scale, scale, 0};
    }
    const double gamma = std::tgamma(1 + k);
    const double scale = m.scale * k / (gamma * (1 - std::exp2(-k)));
    return {m.mean - scale * (1 - gamma) / k, scale, -k};
}

double share_below(const LowestFit& fit, double value) {
    // P(X <= x) = P(−X >= −x).
    const double z = (-value - fit.location) / fit.scale;
    if (fit.shape == 0) return -std::expm1(-std::exp(-z));
    const double base = 1 + fit.shape * z;
    if (base <= 0) return fit.shape > 0 ? 1.0 : 0.0;
    return -std::expm1(-std::pow(base, -1 / fit.shape));
}

ShareBand normal_band(const NormalFit& fit, int years, double value) {
    if (!(fit.deviation > 0)) return wilson_band(value >= fit.mean ? years : 0, years);
    const auto n = static_cast<double>(years);
    const double at = (value - fit.mean) / fit.deviation;
    const double half = z_95 * std::sqrt(1 / n + at * at / (2 * (n - 1)));
    return {normal_below(at - half), normal_below(at + half)};
}

ShareBand wilson_band(int hits, int years) {
    constexpr double z = z_95;
    const auto n = static_cast<double>(years);
    const double p = hits / n;
    const double middle = (p + z * z / (2 * n)) / (1 + z * z / n);
    const double half = z / (1 + z * z / n) * std::sqrt(p * (1 - p) / n + z * z / (4 * n * n));
    return {hits == 0 ? 0.0 : middle - half, hits == years ? 1.0 : middle + half};
}

double risk_over(double share, int years) {
    return -std::expm1(years * std::log1p(-share));
}

}  // namespace lielow
