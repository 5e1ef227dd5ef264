// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table_ilu.hpp"

namespace lielow {

void FivePointIlu::factorise() {
    diagonal_.resize(rows_);
    inverse_.resize(rows_);
    for (std::int32_t i = 0; i < rows_; ++i) {
        std::int32_t at = outer_[i];
        while (inner_[at] != i) ++at;
        diagonal_[i] = at;
    }
    for (std::int32_t i = 0; i < rows_; ++i) {
        double pivot = values_[diagonal_[i]];
        for (std::int32_t at = outer_[i]; at < diagonal_[i]; ++at) {
            const std::int32_t j = inner_[at];
            for (std::int32_t back = diagonal_[j] + 1; back < outer_[j + 1]; ++back) {
                if (inner_[back] == i) pivot -= values_[at] * values_[back] * inverse_[j];
            }
        }
        inverse_[i] = 1 / pivot;
    }
}

Eigen::VectorXd FivePointIlu::solve(const Eigen::VectorXd& right) const {
    Eigen::VectorXd x(rows_);
    for (std::int32_t i = 0; i < rows_; ++i) {
        double rest = right[i];
        for (std::int32_t at = outer_[i]; at < diagonal_[i]; ++at) rest -= values_[at] * x[inner_[at]];
        x[i] = rest * inverse_[i];
    }
    for (std::int32_t i = rows_ - 1; i >= 0; --i) {
        double beyond = 0;
        for (std::int32_t at = diagonal_[i] + 1; at < outer_[i + 1]; ++at)
            beyond += values_[at] * x[inner_[at]];
        x[i] -= beyond * inverse_[i];
    }
    return x;
}

}  // namespace lielow
