// SPDX-License-Identifier: Apache-2.0
#include "sim/error_field.hpp"

#include <algorithm>
#include <cmath>

#include "sim/random_numbers.hpp"

namespace lielow {
namespace {

/// White noise of one padded row, each row with numbers of its own, so that threads may share the rows.
void fill_noise(std::vector<float>& noise, std::uint64_t seed, std::int32_t row) {
    RandomNumbers numbers({seed, static_cast<std::uint64_t>(row)});
    for (float& value : noise) value = static_cast<float>(numbers.normal());
}

/// Averages along the rows of noise that reaches half a width beyond the grid on every side; so the result
/// has that many rows more than the grid.
Field<float> noise_along_rows(const Grid& grid, const std::vector<float>& along, std::size_t down,
                              std::uint64_t seed) {
    const auto rows = grid.rows + static_cast<std::int32_t>(down) - 1;
    Field<float> result(rows, grid.cols, 0.0F);
#pragma omp parallel
    {
        std::vector<float> noise(static_cast<std::size_t>(grid.cols) + along.size() - 1);
#pragma omp for schedule(static)
        for (std::int32_t r = 0; r < rows; ++r) {
            fill_noise(noise, seed, r);
            const auto out = result.row(r);
            for (std::size_t k = 0; k < along.size(); ++k) {
                for (std::size_t c = 0; c < out.size(); ++c) out[c] += along[k] * noise[c + k];
            }
        }
    }
    return result;
}

std::vector<float> single(const std::vector<double>& weights, double scale) {
    std::vector<float> result;
    for (const double w : weights) result.push_back(static_cast<float>(w * scale));
    return result;
}

}  // namespace

std::vector<double> average_weights(double length_m, double step_m) {
    // Beyond two lengths the weights are below exp(-8) of the middle's.
    const auto half = static_cast<std::int64_t>(std::ceil(2 * length_m / step_m));
    std::vector<double> weights;
    double squares = 0;
    for (std::int64_t k = -half; k <= half; ++k) {
        const double d = length_m > 0 ? static_cast<double>(k) * step_m / length_m : 0.0;
        weights.push_back(std::exp(-2 * d * d));
        squares += weights.back() * weights.back();
    }
    for (double& w : weights) w /= std::sqrt(squares);
    return weights;
}

double average_correlation(const std::vector<double>& weights, std::size_t lag) {
    double sum = 0;
    for (std::size_t k = lag; k < weights.size(); ++k) sum += weights[k] * weights[k - lag];
    return sum;
}

Field<float> draw_error(const Grid& grid, const ErrorField& error) {
    const std::vector<float> along = single(average_weights(error.length_m, grid.dx), error.spread);
    const std::vector<float> down = single(average_weights(error.length_m, grid.dy), 1.0);
    const Field<float> noise = noise_along_rows(grid, along, down.size(), error.seed);
    Field<float> result(grid.rows, grid.cols, 0.0F);
#pragma omp parallel for schedule(static)
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        const auto out = result.row(r);
        for (std::size_t k = 0; k < down.size(); ++k) {
            const auto in = noise.row(r + static_cast<std::int32_t>(k));
            for (std::size_t c = 0; c < out.size(); ++c) out[c] += down[k] * in[c];
        }
    }
    return result;
}

}  // namespace lielow
