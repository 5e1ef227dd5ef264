// SPDX-License-Identifier: Apache-2.0
#include "sim/logger_fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "sim/errors.hpp"
#include "sim/least_squares.hpp"

namespace lielow {

std::size_t Observations::known() const {
    const auto all = value.all();
    return static_cast<std::size_t>(
        std::count_if(all.begin(), all.end(), [](double v) { return !std::isnan(v); }));
}

Observations mean_by_moment(std::span<const std::vector<TimedValue>> readings,
                            std::span<const double> moments_s) {
    if (moments_s.size() < 2) throw InputError("a night to be tuned needs two moments");
    const double step = moments_s[1] - moments_s[0];
    const auto moments = static_cast<std::int32_t>(moments_s.size());
    const auto loggers = static_cast<std::int32_t>(readings.size());
    Observations read{{moments_s.begin(), moments_s.end()},
                      Field<double>(loggers, moments, NAN),
                      Field<double>(loggers, moments, NAN)};
    for (std::int32_t k = 0; k < loggers; ++k) {
        std::vector<int> count(moments_s.size(), 0);
        for (const TimedValue& reading : readings[static_cast<std::size_t>(k)]) {
            const double at = std::round((reading.time_s - moments_s[0]) / step);
            if (!(at >= 0 && at < moments)) continue;
            const auto n = static_cast<std::int32_t>(at);
            const double so_far = count[static_cast<std::size_t>(n)]++;
            double& value = read.value(k, n);
            double& time = read.time_s(k, n);
            value = so_far == 0 ? reading.value : value + (reading.value - value) / (so_far + 1);
            time = so_far == 0 ? reading.time_s : time + (reading.time_s - time) / (so_far + 1);
        }
    }
    return read;
}

double value_at(std::span<const double> times_s, std::span<const double> values, double time_s) {
    const auto after = std::upper_bound(times_s.begin(), times_s.end(), time_s);
    if (after == times_s.begin()) return values.front();
    if (after == times_s.end()) return values.back();
    const auto i = static_cast<std::size_t>(after - times_s.begin());
    const double share = (time_s - times_s[i - 1]) / (times_s[i] - times_s[i - 1]);
    return values[i - 1] + share * (values[i] - values[i - 1]);
}

std::vector<double> differences(const Observations& read, std::span<const double> times_s,
                                const Field<double>& model) {
    std::vector<double> all;
    for (std::int32_t k = 0; k < read.value.rows(); ++k) {
        for (std::int32_t n = 0; n < read.value.cols(); ++n) {
            if (!std::isnan(read.value(k, n)))
                all.push_back(value_at(times_s, model.row(k), read.time_s(k, n)) - read.value(k, n));
        }
    }
    return all;
}

double lag_one_correlation(const Observations& read, std::span<const double> differences) {
    double together = 0;
    double pairs = 0;
    double squares = 0;
    std::size_t at = 0;
    for (std::int32_t k = 0; k < read.value.rows(); ++k) {
        bool before = false;
        for (std::int32_t n = 0; n < read.value.cols(); ++n) {
            const bool here = !std::isnan(read.value(k, n));
            if (here) {
                squares += differences[at] * differences[at];
                if (before) {
                    together += differences[at] * differences[at - 1];
                    pairs += 1;
                }
                ++at;
            }
            before = here;
        }
    }
    return pairs > 0 && squares > 0 ? together / pairs / (squares / static_cast<double>(at)) : 0.0;
}

double widening(double lag_one) {
    constexpr double most = 0.99;
    const double r = std::clamp(lag_one, 0.0, most);
    return std::sqrt((1 + r) / (1 - r));
}

Field<double> by_elevation(const Observations& read, std::span<const double> elevation_m) {
    Field<double> told(read.value.rows(), read.value.cols(), NAN);
    for (std::int32_t n = 0; n < read.value.cols(); ++n) {
        for (std::int32_t k = 0; k < read.value.rows(); ++k) {
            std::vector<double> z;
            std::vector<double> t;
            for (std::int32_t other = 0; other < read.value.rows(); ++other) {
                if (other == k || std::isnan(read.value(other, n))) continue;
                z.push_back(elevation_m[static_cast<std::size_t>(other)]);
                t.push_back(read.value(other, n));
            }
            if (z.size() < 2 ||
                *std::min_element(z.begin(), z.end()) == *std::max_element(z.begin(), z.end()))
                continue;
            const StraightLine line = fit_line(z, t);
            told(k, n) = line.intercept + line.slope * elevation_m[static_cast<std::size_t>(k)];
        }
    }
    return told;
}

std::vector<double> parameters_without(const Observations& read, std::int32_t left_out,
                                       const Field<double>& jacobian, std::span<const double> differences,
                                       std::span<const double> parameters,
                                       std::span<const std::int32_t> free) {
    std::vector<double> moved(parameters.begin(), parameters.end());
    std::vector<std::int32_t> rows;
    std::int32_t at = 0;
    for (std::int32_t k = 0; k < read.value.rows(); ++k) {
        for (std::int32_t n = 0; n < read.value.cols(); ++n) {
            if (std::isnan(read.value(k, n))) continue;
            if (k != left_out) rows.push_back(at);
            ++at;
        }
    }
    if (free.empty() || rows.size() < free.size()) return moved;
    Eigen::MatrixXd j(static_cast<Eigen::Index>(rows.size()), static_cast<Eigen::Index>(free.size()));
    Eigen::VectorXd r(j.rows());
    for (Eigen::Index i = 0; i < j.rows(); ++i) {
        const std::int32_t row = rows[static_cast<std::size_t>(i)];
        r[i] = differences[static_cast<std::size_t>(row)];
        for (Eigen::Index p = 0; p < j.cols(); ++p)
            j(i, p) = jacobian(row, free[static_cast<std::size_t>(p)]);
    }
    const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> factors(j);
    if (factors.rank() < j.cols()) return moved;
    const Eigen::VectorXd step = factors.solve(r);
    for (Eigen::Index p = 0; p < j.cols(); ++p) {
        double& x = moved[static_cast<std::size_t>(free[static_cast<std::size_t>(p)])];
        x = std::clamp(x - step[p], 0.0, 1.0);
    }
    return moved;
}

}  // namespace lielow
