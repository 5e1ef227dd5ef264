// SPDX-License-Identifier: Apache-2.0
// Grid-convergence studies: errors against resolution, the observed order, and the printed table that goes
// into the docs.
#pragma once

#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

namespace lielow {

struct ConvergenceStudy {
    std::string name;
    std::vector<double> cell;   ///< cell size or step, m
    std::vector<double> error;  ///< in the case's own norm

    void add(double c, double e) {
        cell.push_back(c);
        error.push_back(e);
    }
    /// Order between the two finest grids.
    [[nodiscard]] double last_order() const {
        const std::size_t n = cell.size();
        return std::log(error[n - 2] / error[n - 1]) / std::log(cell[n - 2] / cell[n - 1]);
    }
    /// Least-squares slope of log error over log cell.
    [[nodiscard]] double fitted_order() const {
        double sx = 0, sy = 0, sxx = 0, sxy = 0;
        const auto n = static_cast<double>(cell.size());
        for (std::size_t i = 0; i < cell.size(); ++i) {
            const double x = std::log(cell[i]);
            const double y = std::log(error[i]);
            sx += x, sy += y, sxx += x * x, sxy += x * y;
        }
        return (n * sxy - sx * sy) / (n * sxx - sx * sx);
    }
    void print() const {
        std::printf("| %s | cell | error | order |\n", name.c_str());
        for (std::size_t i = 0; i < cell.size(); ++i) {
            std::printf("|  | %.6g | %.4e | ", cell[i], error[i]);
            // None from an error of zero or of rounding.
            if (i > 0 && error[i] > 1e-13) {
                std::printf("%.2f |\n", std::log(error[i - 1] / error[i]) / std::log(cell[i - 1] / cell[i]));
            } else {
                std::printf("|\n");
            }
        }
        if (error.size() > 1 && error.back() > 1e-13) {
            std::printf("|  | fitted order | | %.2f |\n", fitted_order());
        }
    }
};

}  // namespace lielow
