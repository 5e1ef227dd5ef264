// SPDX-License-Identifier: Apache-2.0
#include "sim/extreme_fit.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <random>
#include <vector>

namespace lielow {
namespace {

// P = Φ((Tc − offset − μ)/σ) for μ = −0.3, σ = 1.9, Tc = −2.2; values by scipy.stats.norm.cdf.
TEST(Normal, SharesOfAWorkedTable) {
    const NormalFit lows{-0.3, 1.9};
    const std::vector<std::pair<double, double>> table{
        {1.5, 0.0368}, {0, 0.1587}, {-1, 0.3179}, {-2, 0.5210}, {-3, 0.7187}};
    for (const auto& [offset, share] : table)
        EXPECT_NEAR(share_below(lows, -2.2 - offset), share, 5e-5) << offset;
    EXPECT_NEAR(normal_below(1.959963984540054), 0.975, 1e-15);
    EXPECT_NEAR(normal_below(-10), 7.619853024160526e-24, 1e-36);
}

TEST(Normal, FitOfFourValues) {
    const std::vector<double> values{1, 2, 3, 6};
    EXPECT_DOUBLE_EQ(fit_normal(values).mean, 3.0);
    EXPECT_DOUBLE_EQ(fit_normal(values).deviation, std::sqrt(14.0 / 3.0));
}

// Frost days in a month, n Φ((Tc − μ)/σ): Castellanos et al. 2009, Span. J. Agric. Res. 7, 513-524, have the
// normal distribution within the month; the figures are worked from it.
TEST(Normal, FrostDaysOfAMonth) {
    EXPECT_NEAR(30 * share_below(NormalFit{3, 3}, 0.0), 4.7597, 5e-5);
}

// 1, 2, 3, 4, 5: λ1 = 3, λ2 = 1 (half the mean difference of two draws: 20/10/2), τ3 = 0 by symmetry.
TEST(LMomentsOf, FiveEvenValues) {
    const LMoments even = l_moments(std::vector<double>{5, 1, 3, 2, 4});
    EXPECT_NEAR(even.mean, 3, 1e-14);
    EXPECT_NEAR(even.scale, 1, 1e-14);
    EXPECT_NEAR(even.skewness, 0, 1e-14);
    // 0, 0, 1: λ2 = (2 pairs 1 apart of 3)/2 = 1/3, λ3 = (high − 2 middle + low)/3 = 1/3.
    const LMoments skew = l_moments(std::vector<double>{0, 0, 1});
    EXPECT_NEAR(skew.scale, 1.0 / 3, 1e-15);
    EXPECT_NEAR(skew.skewness, 1, 1e-14);
}

/// Values at plotting positions (i − 0.5)/n of a distribution of the lowest with known parameters.
std::vector<double> drawn_evenly(const LowestFit& from, int n) {
    std::vector<double> values;
    for (int i = 0; i < n; ++i) {
        const double y = -std::log((i + 0.5) / n);
        const double z = from.shape == 0 ? -std::log(y) : (std::pow(y, -from.shape) - 1) / from.shape;
        values.push_back(-(from.location + from.scale * z));
    }
    return values;
}

TEST(Lowest, FindsTheParametersItsValuesWereDrawnFrom) {
    for (const double shape : {-0.25, -0.1, 0.0, 0.1, 0.2}) {
        const LowestFit from{2, 1.5, shape};
        const LowestFit fit = fit_lowest(drawn_evenly(from, 20000));
        EXPECT_NEAR(fit.location, from.location, 0.005) << shape;
        EXPECT_NEAR(fit.scale, from.scale, 0.005) << shape;
        EXPECT_NEAR(fit.shape, from.shape, 0.005) << shape;
    }
}

// Highest sea levels of 65 years at Port Pirie (Coles 2001, An Introduction to Statistical Modeling of
// Extreme Values, section 3.4.1): maximum likelihood μ 3.87 (standard error 0.03), σ 0.198 (0.02), ξ −0.050
// (0.098). The data are from memory; maximum likelihood by scipy.stats.genextreme gives them 3.8748, 0.1981,
// −0.0502 and the published log-likelihood 4.34. Another method must agree within half a standard error.
TEST(Lowest, PortPirieTurnedRound) {
    std::vector<double> lows{4.03, 3.83, 3.65, 3.88, 4.01, 4.08, 4.18, 3.80, 4.36, 3.96, 3.98, 4.69, 3.85,
                             3.96, 3.85, 3.93, 3.75, 3.63, 3.57, 4.25, 3.97, 4.05, 4.24, 4.22, 3.73, 4.37,
                             4.06, 3.71, 3.96, 4.06, 4.55, 3.79, 3.89, 4.11, 3.85, 3.86, 3.86, 4.21, 4.01,
                             4.11, 4.24, 3.96, 4.21, 3.74, 3.85, 3.88, 3.66, 4.11, 3.71, 4.18, 3.90, 3.78,
                             3.91, 3.72, 4.00, 3.66, 3.62, 4.33, 4.55, 3.75, 4.08, 3.90, 3.88, 3.94, 4.33};
    for (double& v : lows) v = -v;
    const LowestFit fit = fit_lowest(lows);
    EXPECT_NEAR(fit.location, 3.87, 0.015);
    EXPECT_NEAR(fit.scale, 0.198, 0.010);
    EXPECT_NEAR(fit.shape, -0.050, 0.049);
    std::printf("Port Pirie by L-moments: %.4f %.4f %.4f\n", fit.location, fit.scale, fit.shape);
    // The 10-year level, published 4.30 (95 %: 4.21 to 4.39 or so).
    EXPECT_NEAR(share_below(fit, -4.30), 0.1, 0.01);
}

TEST(Lowest, BoundedTailEnds) {
    const LowestFit bounded{0, 1, -0.5};  // −x <= 2
    EXPECT_EQ(share_below(bounded, -2.1), 0.0);
    EXPECT_NEAR(share_below(bounded, 0), 1 - std::exp(-1.0), 1e-15);
    EXPECT_NEAR(share_below(LowestFit{0, 1, 0}, 0), 1 - std::exp(-1.0), 1e-15);
    EXPECT_EQ(share_below(LowestFit{0, 1, 0.5}, 2.1), 1.0);
}

// Newcombe 1998 (Statistics in Medicine 17, 857-872), table I, method 3; from memory.
TEST(Wilson, PublishedIntervals) {
    const auto check = [](int hits, int years, double low, double high) {
        const ShareBand band = wilson_band(hits, years);
        EXPECT_NEAR(band.low, low, 5e-5) << hits << "/" << years;
        EXPECT_NEAR(band.high, high, 5e-5) << hits << "/" << years;
    };
    check(81, 263, 0.2553, 0.3662);
    check(15, 148, 0.0624, 0.1605);
    check(0, 20, 0.0, 0.1611);
    check(1, 29, 0.0061, 0.1718);
    EXPECT_EQ(wilson_band(7, 7).high, 1.0);
}

// The tolerance factor is the k for which a band's end is the wanted share. NIST/SEMATECH e-Handbook 7.2.6.3
// (from memory) works n = 43, share 0.90, confidence 0.99: 1.8752 by this approximation, 1.8740 exactly.
// Turned round here with its own quantile: Φ(1.8752 − 2.3263 √(1/43 + 1.8752²/84)) = 0.9000, which fixes the
// half width's formula.
TEST(NormalBand, WidthIsThatOfTheHandbooksToleranceFactor) {
    const NormalFit fit{5, 2};
    const auto half = [&](double z, int n) {
        // Probit of the band's upper end by bisection: independent of the formula's own arithmetic.
        const double end = normal_band(fit, n, 5 + 2 * z).high;
        double below = z;
        double above = z + 10;
        while (above - below > 1e-12) {
            const double middle = 0.5 * (below + above);
            (normal_below(middle) < end ? below : above) = middle;
        }
        return below - z;
    };
    const double at_99 = half(-1.8752, 43) * 2.3263479 / 1.9599640;
    EXPECT_NEAR(1.8752 - at_99, 1.2815516, 5e-5);
}

// Exact ends by the noncentral t distribution (scipy.stats.nct, solved for its centre), 95 %.
TEST(NormalBand, AgainstTheNoncentralT) {
    struct Exact {
        int n;
        double z;
        double low;
        double high;
    };
    double worst = 0;
    for (const Exact& e : std::initializer_list<Exact>{{5, 0, 0.1904, 0.8096},
                                                       {5, -1, 0.0194, 0.5548},
                                                       {5, -2, 0.0002, 0.3515},
                                                       {10, 0, 0.2677, 0.7323},
                                                       {10, -1, 0.0399, 0.4154},
                                                       {10, -2, 0.0010, 0.1884},
                                                       {25, 0, 0.3475, 0.6525},
                                                       {25, -1, 0.0700, 0.3048},
                                                       {25, -2, 0.0037, 0.0955}}) {
        const ShareBand band = normal_band({0, 1}, e.n, e.z);
        EXPECT_NEAR(band.low, e.low, e.n < 10 ? 0.009 : 0.0053) << e.n << " " << e.z;
        EXPECT_NEAR(band.high, e.high, e.n < 10 ? 0.009 : 0.0053) << e.n << " " << e.z;
        worst = std::max({worst, std::abs(band.low - e.low), std::abs(band.high - e.high)});
    }
    std::printf("largest difference from the exact band: %.4f\n", worst);
}

/// Twenty-five values with no pattern: how often the band holds the true share, over 4000 such records.
TEST(NormalBand, HoldsTheTrueShareNineteenTimesInTwenty) {
    std::mt19937_64 engine(20261125);
    const auto even = [&] { return (static_cast<double>(engine() >> 11U) + 0.5) / 9007199254740992.0; };
    const auto normal = [&] {  // Box & Muller: the library's own differs from one to another
        return std::sqrt(-2 * std::log(even())) * std::cos(2 * std::numbers::pi * even());
    };
    for (const int n : {10, 25}) {
        for (const double at : {0.0, -1.28}) {
            int held = 0;
            constexpr int records = 4000;
            for (int r = 0; r < records; ++r) {
                std::vector<double> values;
                values.reserve(static_cast<std::size_t>(n));
                for (int i = 0; i < n; ++i) values.push_back(normal());
                const ShareBand band = normal_band(fit_normal(values), n, at);
                held += band.low <= normal_below(at) && normal_below(at) <= band.high ? 1 : 0;
            }
            // Of 4000 records a true 95 % leave 94.0 to 96.0 % three standard errors wide.
            EXPECT_NEAR(held / static_cast<double>(records), 0.95, 0.0105) << n << " " << at;
            std::printf("held, n = %d at %.2f: %.4f\n", n, at, held / static_cast<double>(records));
        }
    }
}

TEST(NormalBand, ValuesAllAlike) {
    const ShareBand band = normal_band({1, 0}, 20, 0.5);
    EXPECT_EQ(band.low, 0.0);
    EXPECT_NEAR(band.high, 0.1611, 5e-5);  // Newcombe's 0 of 20
}

// 1 − (1 − P)^n: Haan 1979's design-period risk.
TEST(Risk, OverAPlantingsLife) {
    EXPECT_NEAR(risk_over(0.10, 10), 0.6513, 5e-5);
    EXPECT_NEAR(risk_over(0.02, 30), 0.4545, 5e-5);
    EXPECT_NEAR(risk_over(0.50, 5), 0.9688, 5e-5);
    EXPECT_NEAR(risk_over(0.0340637, 20), 0.5, 1e-6);
    EXPECT_EQ(risk_over(0, 20), 0.0);
    EXPECT_EQ(risk_over(1, 20), 1.0);
}

}  // namespace
}  // namespace lielow
