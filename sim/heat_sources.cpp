// SPDX-License-Identifier: Apache-2.0
#include "sim/heat_sources.hpp"

#include <algorithm>

namespace lielow {

HeatSources::HeatSources(const Field<float>& heat_w_m2, double heat_capacity)
    : counted_{0, heat_w_m2.rows()} {
    for (std::size_t c = 0; c < heat_w_m2.size(); ++c) {
        if (!(heat_w_m2[c] > 0)) continue;
        cells_.push_back(c);
        heat_.push_back(static_cast<double>(heat_w_m2[c]) / heat_capacity);
    }
}

void HeatSources::warm(StackSolver<float>& solver, double sheet_step, const Field<float>& loss, double dt) {
    if (cells_.empty()) return;
    net_ = loss.clone();
    felt_ = loss.clone();
    const auto cols = static_cast<std::size_t>(loss.cols());
    for (std::size_t n = 0; n < cells_.size(); ++n) {
        const auto row = static_cast<std::int32_t>(cells_[n] / cols);
        const auto col = static_cast<std::int32_t>(cells_[n] % cols);
        double lacking = 0;  // Σ δ S_k = δ Σ (k + 1) h_k, K m
        for (int k = 0; k < solver.sheets(); ++k)
            lacking += (k + 1) * sheet_step * static_cast<double>(solver.thickness(k, row, col));
        const auto own = static_cast<double>(loss[cells_[n]]);
        const double taken = std::min(heat_[n], own + 0.5 * lacking / dt);
        net_[cells_[n]] = static_cast<float>(own - taken);
        felt_[cells_[n]] = std::max(net_[cells_[n]], 0.0F);
        if (!counted_.contains(row)) continue;
        taken_ += taken * dt;
        unused_ += (heat_[n] - taken) * dt;
    }
    solver.set_loss(net_);
}

}  // namespace lielow
