// SPDX-License-Identifier: Apache-2.0
// A model's temperatures at loggers beside what the loggers read, and a plain forecast to beat.
#pragma once

#include <span>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// A moment and what was read then.
struct TimedValue {
    double time_s = 0;
    double value = 0;
};

/// One logger a row, one moment a column; NaN where nothing was read.
struct Observations {
    std::vector<double> moments_s;
    Field<double> value;
    Field<double> time_s;  ///< to which the value belongs, near the moment
    [[nodiscard]] std::size_t known() const;
};

/// Means of the readings that are nearer to one moment than to another and no farther from it than half the
/// step from the first moment to the second, so that a logger that reads every minute weighs no more than one
/// that reads four times an hour. `moments_s`: at least two, evenly spread. `readings`: one row of the result
/// each.
Observations mean_by_moment(std::span<const std::vector<TimedValue>> readings,
                            std::span<const double> moments_s);

/// Value at a time of a series that rises in time; straight lines between, level beyond its ends.
double value_at(std::span<const double> times_s, std::span<const double> values, double time_s);

/// Model less reading, logger by logger, moment by moment, where something was read. `model`: one logger a
/// row, one of `times_s` a column.
std::vector<double> differences(const Observations& read, std::span<const double> times_s,
                                const Field<double>& model);

/// Correlation of differences with the next one of the same logger, about zero.
double lag_one_correlation(const Observations& read, std::span<const double> differences);

/// By what the standard error of a mean grows when n values each resemble the one before by r, n large:
/// √((1 + r)/(1 − r)) (Bayley & Hammersley 1946, J. R. Stat. Soc. Suppl. 8, 184-197, from
/// memory). r is kept in 0..0.99.
double widening(double lag_one);

/// At each logger the straight line of value on elevation through the other loggers at that moment; NaN where
/// fewer than two others, at different elevations, were read.
Field<double> by_elevation(const Observations& read, std::span<const double> elevation_m);

/// Parameters that the rest of the readings would have given, by one Gauss-Newton step from those that all of
/// them gave: x − (J'ᵀJ')⁻¹ J'ᵀ r', without the rows of logger `left_out`. Exact for a model that is linear
/// in its parameters. `jacobian`: rows as `differences`, one parameter a column; parameters that `free`
/// doesn't name stay, the result is kept in 0..1. Unchanged where the rest can't tell the parameters apart.
std::vector<double> parameters_without(const Observations& read, std::int32_t left_out,
                                       const Field<double>& jacobian, std::span<const double> differences,
                                       std::span<const double> parameters,
                                       std::span<const std::int32_t> free);

}  // namespace lielow
