// SPDX-License-Identifier: Apache-2.0
#include "sim/sensitivity.hpp"

#include <cmath>
#include <numeric>

#include "sim/designs.hpp"
#include "sim/errors.hpp"
#include "sim/random_numbers.hpp"

namespace lielow {
namespace {

double square(double x) {
    return x * x;
}

/// Of both base samples together.
struct Moments {
    double mean = 0;
    double variance = 0;
};

Moments moments(std::span<const double> values) {
    Moments m;
    m.mean = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
    for (const double v : values) m.variance += square(v - m.mean);
    m.variance /= static_cast<double>(values.size());
    return m;
}

}  // namespace

Field<double> variance_design(int parameters, int base_trials) {
    const Field<double> pairs = sobol_design(2 * parameters, base_trials);
    Field<double> design(base_trials * (parameters + 2), parameters);
    for (int row = 0; row < base_trials; ++row) {
        for (int p = 0; p < parameters; ++p) {
            const double a = pairs(row, p);
            const double b = pairs(row, parameters + p);
            design(row, p) = a;
            design(base_trials + row, p) = b;
            for (int swapped = 0; swapped < parameters; ++swapped)
                design((2 + swapped) * base_trials + row, p) = swapped == p ? b : a;
        }
    }
    return design;
}

std::vector<VarianceIndex> variance_indices(std::span<const double> results, int parameters) {
    const std::size_t n = results.size() / static_cast<std::size_t>(parameters + 2);
    if (parameters < 1 || n < 2 || n * static_cast<std::size_t>(parameters + 2) != results.size())
        throw InputError("the results aren't those of a variance design");
    const auto a = results.subspan(0, n);
    const auto b = results.subspan(n, n);
    const Moments base = moments(results.subspan(0, 2 * n));
    std::vector<VarianceIndex> indices(static_cast<std::size_t>(parameters));
    if (!(base.variance > 0)) return indices;
    for (std::size_t p = 0; p < indices.size(); ++p) {
        const auto mixed = results.subspan((2 + p) * n, n);
        double first = 0;
        double total = 0;
        for (std::size_t i = 0; i < n; ++i) {
            first += (b[i] - base.mean) * (mixed[i] - a[i]);
            total += square(a[i] - mixed[i]);
        }
        indices[p] = {first / static_cast<double>(n) / base.variance,
                      total / static_cast<double>(2 * n) / base.variance};
    }
    return indices;
}

Field<double> morris_design(int parameters, int paths, int levels, std::uint64_t seed) {
    if (parameters < 1 || paths < 1) throw InputError("elementary effects need a parameter and a path");
    if (levels < 2 || levels % 2 != 0) throw InputError("elementary effects need an even number of levels");
    const double leap = levels / (2.0 * (levels - 1));
    RandomNumbers numbers({seed});
    Field<double> design(paths * (parameters + 1), parameters);
    std::vector<int> order(static_cast<std::size_t>(parameters));
    std::iota(order.begin(), order.end(), 0);
    for (int path = 0; path < paths; ++path) {
        const std::int32_t start = path * (parameters + 1);
        // The lower half of the grid and the upper one: from each value of either, one leap leads to the
        // other.
        for (int p = 0; p < parameters; ++p)
            design(start, p) =
                static_cast<double>(numbers.below(static_cast<std::uint64_t>(levels))) / (levels - 1);
        for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[numbers.below(i)]);
        for (int step = 1; step <= parameters; ++step) {
            for (int p = 0; p < parameters; ++p) design(start + step, p) = design(start + step - 1, p);
            double& moved = design(start + step, order[static_cast<std::size_t>(step - 1)]);
            moved += moved < 0.5 ? leap : -leap;
        }
    }
    return design;
}

std::vector<ElementaryEffect> elementary_effects(const Field<double>& design,
                                                 std::span<const double> results) {
    const std::int32_t parameters = design.cols();
    if (parameters < 1 || results.size() != static_cast<std::size_t>(design.rows()) ||
        design.rows() % (parameters + 1) != 0)
        throw InputError("the results aren't those of an elementary-effects design");
    std::vector<std::vector<double>> effects(static_cast<std::size_t>(parameters));
    for (std::int32_t row = 1; row < design.rows(); ++row) {
        if (row % (parameters + 1) == 0) continue;
        for (std::int32_t p = 0; p < parameters; ++p) {
            const double moved = design(row, p) - design(row - 1, p);
            if (moved == 0) continue;
            const auto r = static_cast<std::size_t>(row);
            effects[static_cast<std::size_t>(p)].push_back((results[r] - results[r - 1]) / moved);
        }
    }
    std::vector<ElementaryEffect> found;
    for (const auto& of_one : effects) {
        const auto n = static_cast<double>(of_one.size());
        ElementaryEffect effect;
        for (const double e : of_one) {
            effect.mean += e / n;
            effect.mean_absolute += std::abs(e) / n;
        }
        for (const double e : of_one) effect.deviation += square(e - effect.mean);
        effect.deviation = of_one.size() > 1 ? std::sqrt(effect.deviation / (n - 1)) : 0.0;
        found.push_back(effect);
    }
    return found;
}

}  // namespace lielow
