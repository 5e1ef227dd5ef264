// SPDX-License-Identifier: Apache-2.0
#include "sim/wind_erosion.hpp"

#include <algorithm>
#include <cmath>

#include "sim/column_exchange.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

}  // namespace

double friction_velocity(double speed_m_s, double height_m, double roughness_m) {
    return von_karman * speed_m_s / std::log(height_m / roughness_m);
}

double entrainment_ratio(double richardson) {
    constexpr double least_richardson = 30;
    return 2.5 / std::max(richardson, least_richardson);
}

double mixing_under_loss_m2_s(double u_star, double height_m, double loss_k_m_s, double theta_k) {
    if (!(u_star > 0)) return 0;
    const double over_length =
        von_karman * gravity * std::max(0.0, loss_k_m_s) / (u_star * u_star * u_star * theta_k);
    return von_karman * u_star * height_m / (1 + 5 * height_m * over_length);
}

double mixing_in_stratified_air_m2_s(double u_star, double height_m, double n2) {
    if (!(u_star > 0)) return 0;
    const double turns = von_karman * height_m / u_star;
    return 2 * von_karman * u_star * height_m / (1 + std::sqrt(1 + 20 * turns * turns * std::max(0.0, n2)));
}

void erode_column(const ErosionScale& scale, double u_star, double span, int sheets, double* level) {
    if (!(u_star > 0)) return;
    double left = span;
    while (left > 0 && level[0] > 0) {
        int flush = 1;
        while (flush < sheets && level[flush] >= level[0]) ++flush;
        const double bottom = flush < sheets ? std::max(0.0, level[flush]) : 0.0;
        const double jump = flush * scale.buoyancy_step;
        const double speed = u_star * entrainment_ratio(jump * scale.mixed_depth / (u_star * u_star));
        const double reached = level[0] - speed * left;
        left -= (level[0] - bottom) / speed;
        const double top = std::max(reached, bottom);
        for (int k = 0; k < flush; ++k) level[k] = top;
    }
}

void mix_column(double sheet_step, double mixing, double span, int sheets, double* level) {
    int present = 0;
    while (present < sheets && level[present] > 0) ++present;
    if (present < 2 || !(mixing > 0)) return;
    // The least gap that a step can conduct through is √(4 K step); a metre is aimed at, within reason.
    constexpr double aimed_gap = 1.0;
    constexpr double most_steps = 16;
    const double steps = std::clamp(std::ceil(4 * mixing * span / (aimed_gap * aimed_gap)), 1.0, most_steps);
    const double step = span / steps;
    const ExchangeStep<double> exchange{
        present, mixing, sheet_step, std::sqrt(4 * mixing * step), step, static_cast<int>(steps)};
    double thick[StackParameters::most_sheets];
    double rise[StackParameters::most_sheets];
    double scratch[StackParameters::most_sheets + 1];
    double flux[StackParameters::most_sheets + 1];
    const double no_loss = 0;
    for (int k = 0; k < present; ++k) thick[k] = level[k] - (k + 1 < present ? level[k + 1] : 0.0);
    exchange_row(exchange,
                 ExchangeRow<double>{1, 1, thick, rise, &no_loss, nullptr, nullptr, scratch, flux, nullptr});
    double height = 0;
    for (int k = present - 1; k >= 0; --k) level[k] = height += thick[k];
}

}  // namespace lielow
