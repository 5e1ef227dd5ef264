// SPDX-License-Identifier: Apache-2.0
#include "sim/random_numbers.hpp"

#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

namespace lielow {
namespace {

std::mt19937_64 engine_of(std::initializer_list<std::uint64_t> seeds) {
    std::vector<std::uint32_t> words;
    for (const std::uint64_t seed : seeds) {
        words.push_back(static_cast<std::uint32_t>(seed));
        words.push_back(static_cast<std::uint32_t>(seed >> 32));
    }
    std::seed_seq sequence(words.begin(), words.end());
    return std::mt19937_64(sequence);
}

double below_z(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

/// A first value within a few thousandths, after Abramowitz & Stegun 1964, formula 26.2.23; p <= 0.5.
double rough_quantile(double p) {
    const double t = std::sqrt(-2 * std::log(p));
    return -(t - (2.515517 + t * (0.802853 + t * 0.010328)) /
                     (1 + t * (1.432788 + t * (0.189269 + t * 0.001308))));
}

}  // namespace

RandomNumbers::RandomNumbers(std::initializer_list<std::uint64_t> seeds) : engine_(engine_of(seeds)) {}

double RandomNumbers::uniform() {
    while (true) {
        const std::uint64_t bits = engine_() >> 11;
        if (bits != 0) return static_cast<double>(bits) * 0x1p-53;
    }
}

double RandomNumbers::normal() {
    return normal_quantile(uniform());
}

std::uint64_t RandomNumbers::below(std::uint64_t count) {
    // Numbers of the last, incomplete round would favour the small results.
    const std::uint64_t surplus = (UINT64_MAX % count + 1) % count;
    while (true) {
        const std::uint64_t bits = engine_();
        if (bits <= UINT64_MAX - surplus) return bits % count;
    }
}

double normal_quantile(double p) {
    if (p > 0.5) return -normal_quantile(1 - p);
    double z = rough_quantile(p);
    for (int step = 0; step < 2; ++step) {  // Halley's method, of third order
        const double density = std::exp(-0.5 * z * z) / std::sqrt(2 * std::numbers::pi);
        const double newton = (below_z(z) - p) / density;
        z -= newton / (1 + 0.5 * z * newton);
    }
    return z;
}

std::vector<std::vector<double>> latin_hypercube(int runs, int dimensions, std::uint64_t seed) {
    const auto n = static_cast<std::size_t>(runs);
    std::vector<std::vector<double>> points(n, std::vector<double>(static_cast<std::size_t>(dimensions)));
    for (std::size_t d = 0; d < static_cast<std::size_t>(dimensions); ++d) {
        RandomNumbers numbers({seed, d});
        std::vector<std::size_t> part(n);
        std::iota(part.begin(), part.end(), 0);
        for (std::size_t i = n; i > 1; --i) std::swap(part[i - 1], part[numbers.below(i)]);
        for (std::size_t run = 0; run < n; ++run) {
            const double p = (static_cast<double>(part[run]) + numbers.uniform()) / static_cast<double>(n);
            points[run][d] = normal_quantile(p);
        }
    }
    return points;
}

}  // namespace lielow
