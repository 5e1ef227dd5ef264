// SPDX-License-Identifier: Apache-2.0
#include "sim/stirred_column.hpp"

#include <algorithm>
#include <cmath>

#include "sim/wind_erosion.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

}  // namespace

StirredColumn::StirredColumn(double u_star, double roughness, double theta_k)
    : u_star_(u_star), roughness_(roughness), theta_k_(theta_k), edge_{0} {
    constexpr double top = 1000;
    for (double thick = 0.02; edge_.back() < top; thick *= 1.07) edge_.push_back(edge_.back() + thick);
    deficit_.assign(edge_.size() - 1, 0.0);
}

void StirredColumn::lose(double q, double span) {
    constexpr double longest = 30;
    const int steps = std::max(1, static_cast<int>(std::ceil(span / longest)));
    for (int n = 0; n < steps; ++n) step(q, span / steps);
}

/// Thomas's algorithm, layer by layer from the ground.
void StirredColumn::step(double q, double dt) {
    const std::size_t layers = deficit_.size();
    std::vector<double> factor(layers);
    std::vector<double> exchanged(layers);  // dt K/distance through the upper side
    for (std::size_t k = 0; k + 1 < layers; ++k) {
        const double apart = 0.5 * (edge_[k + 2] - edge_[k]);
        const double n2 = gravity / theta_k_ * std::max(0.0, deficit_[k] - deficit_[k + 1]) / apart;
        exchanged[k] = dt / apart * mixing_in_stratified_air_m2_s(u_star_, edge_[k + 1] + roughness_, n2);
    }
    deficit_[0] += q * dt / edge_[1];
    for (std::size_t k = 0; k < layers; ++k) {
        const double thick = edge_[k + 1] - edge_[k];
        const double below = k > 0 ? exchanged[k - 1] : 0.0;
        const double came = k > 0 ? below * deficit_[k - 1] : 0.0;
        const double diagonal = thick + exchanged[k] + below - (k > 0 ? below * factor[k - 1] : 0.0);
        factor[k] = exchanged[k] / diagonal;
        deficit_[k] = (thick * deficit_[k] + came) / diagonal;
    }
    for (std::size_t k = layers - 1; k-- > 0;) deficit_[k] += factor[k] * deficit_[k + 1];
}

double StirredColumn::deficit(double height) const {
    const auto centre = [this](std::size_t k) { return 0.5 * (edge_[k] + edge_[k + 1]); };
    std::size_t k = 0;
    while (k + 1 < deficit_.size() && centre(k) <= height) ++k;
    const std::size_t lower = k > 0 ? k - 1 : 0;
    const double way = (height - centre(lower)) / (centre(lower + 1) - centre(lower));
    return deficit_[lower] + std::clamp(way, -1.0, 1.0) * (deficit_[lower + 1] - deficit_[lower]);
}

double StirredColumn::missing() const {
    double sum = 0;
    for (std::size_t k = 0; k < deficit_.size(); ++k) sum += deficit_[k] * (edge_[k + 1] - edge_[k]);
    return sum;
}

}  // namespace lielow
