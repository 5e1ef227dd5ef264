// SPDX-License-Identifier: Apache-2.0
#include "sim/designs.hpp"

#include <array>
#include <bit>
#include <cmath>
#include <string>

#include "sim/errors.hpp"
#include "sim/extreme_fit.hpp"
#include "sim/random_numbers.hpp"

namespace lielow {
namespace {

constexpr int bits = 32;

/// Primitive polynomial, its highest and lowest coefficient among the bits, and the first direction numbers
/// (Joe & Kuo 2008, their search criterion D(6), file new-joe-kuo-6.21201).
struct Direction {
    std::uint32_t polynomial;
    std::array<std::uint32_t, 7> first;
};
constexpr std::array<Direction, sobol_most_parameters> directions{{
    {1, {1}},
    {3, {1}},
    {7, {1, 3}},
    {11, {1, 3, 1}},
    {13, {1, 1, 1}},
    {19, {1, 1, 3, 3}},
    {25, {1, 3, 5, 13}},
    {37, {1, 1, 5, 5, 17}},
    {41, {1, 1, 5, 5, 5}},
    {47, {1, 1, 7, 11, 19}},
    {55, {1, 1, 5, 1, 1}},
    {59, {1, 1, 1, 3, 11}},
    {61, {1, 3, 5, 5, 31}},
    {67, {1, 3, 3, 9, 7, 49}},
    {91, {1, 1, 1, 15, 21, 21}},
    {97, {1, 3, 1, 13, 27, 49}},
    {103, {1, 1, 1, 15, 7, 5}},
    {109, {1, 3, 1, 15, 13, 25}},
    {115, {1, 1, 5, 5, 19, 61}},
    {131, {1, 3, 7, 11, 23, 15, 103}},
}};

/// v_k = m_k / 2^k as 32-bit fractions, by the recurrence of Sobol' (Bratley & Fox 1988, ACM TOMS 14,
/// 88-100).
std::array<std::uint32_t, bits> direction_numbers(const Direction& direction, bool first_parameter) {
    std::array<std::uint32_t, bits> v{};
    const int degree = std::bit_width(direction.polynomial) - 1;
    for (int k = 0; k < bits; ++k) {
        const auto at = static_cast<std::size_t>(k);
        if (first_parameter) {
            v[at] = 1U << (bits - 1 - k);
        } else if (k < degree) {
            v[at] = direction.first[at] << (bits - 1 - k);
        } else {
            v[at] =
                v[static_cast<std::size_t>(k - degree)] ^ (v[static_cast<std::size_t>(k - degree)] >> degree);
            for (int i = 1; i < degree; ++i) {
                if (((direction.polynomial >> (degree - i)) & 1U) != 0)
                    v[at] ^= v[static_cast<std::size_t>(k - i)];
            }
        }
    }
    return v;
}

void check_shape(int parameters, int trials) {
    if (parameters < 1 || trials < 1) throw InputError("a design needs at least one parameter and one trial");
}

}  // namespace

Field<double> grid_design(int parameters, int levels) {
    check_shape(parameters, levels);
    const double trials = std::pow(levels, parameters);
    if (trials > 1e6)
        throw InputError(std::to_string(levels) + " values of each of " + std::to_string(parameters) +
                         " parameters are more than a million trials");
    Field<double> design(static_cast<std::int32_t>(std::lround(trials)), parameters);
    for (std::int32_t row = 0; row < design.rows(); ++row) {
        std::int32_t rest = row;
        for (int p = parameters - 1; p >= 0; --p) {
            design(row, p) = levels == 1 ? 0.5 : static_cast<double>(rest % levels) / (levels - 1);
            rest /= levels;
        }
    }
    return design;
}

Field<double> sobol_design(int parameters, int trials) {
    check_shape(parameters, trials);
    if (parameters > sobol_most_parameters)
        throw InputError("Sobol's sequence is known here for at most " +
                         std::to_string(sobol_most_parameters) + " parameters");
    const double shift = 0.5 / static_cast<double>(std::bit_ceil(static_cast<std::uint32_t>(trials)));
    Field<double> design(trials, parameters);
    for (int p = 0; p < parameters; ++p) {
        const auto v = direction_numbers(directions[static_cast<std::size_t>(p)], p == 0);
        std::uint32_t x = 0;
        for (int trial = 0; trial < trials; ++trial) {
            if (trial > 0)
                x ^= v[static_cast<std::size_t>(std::countr_zero(static_cast<std::uint32_t>(trial)))];
            design(trial, p) = static_cast<double>(x) * 0x1p-32 + shift;
        }
    }
    return design;
}

Field<double> latin_hypercube_design(int parameters, int trials, std::uint64_t seed) {
    check_shape(parameters, trials);
    const auto normal = latin_hypercube(trials, parameters, seed);
    Field<double> design(trials, parameters);
    for (int trial = 0; trial < trials; ++trial) {
        for (int p = 0; p < parameters; ++p)
            design(trial, p) =
                normal_below(normal[static_cast<std::size_t>(trial)][static_cast<std::size_t>(p)]);
    }
    return design;
}

}  // namespace lielow
