// SPDX-License-Identifier: Apache-2.0
#include "sim/night_mixing.hpp"

#include <algorithm>
#include <cmath>

#include "sim/wind_erosion.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;
constexpr double near_ground_m = 1.0;

}  // namespace

double calm_mixing_m2_s(const NightSetup& s, double loss) {
    if (s.mixing_law == MixingLaw::uniform) return s.mixing_m2_s;
    return mixing_under_loss_m2_s(s.calm_friction_velocity_m_s, near_ground_m + s.wind.roughness_m, loss,
                                  s.evening_air_k);
}

double log_linear_depth(double u_star, double roughness, double loss, double theta_k, double step) {
    const double scale = loss / (von_karman * u_star);                                            // K, θ*/κ
    const double slope = 5 * von_karman * gravity * loss / (u_star * u_star * u_star * theta_k);  // 5/L, 1/m
    double depth = 0;  // Newton's rule from below on a concave function stays below the root
    for (int n = 0; n < 20; ++n) {
        const double rest = step / scale - std::log1p(depth / roughness) - slope * depth;
        depth += rest / (1 / (depth + roughness) + slope);
    }
    return depth;
}

NightMixing::NightMixing(const NightSetup& s, const NightPlan& plan, const NightSurface& surface,
                         const NightWind& wind)
    : law_(s.mixing_law),
      calm_u_star_(s.calm_friction_velocity_m_s),
      roughness_(s.wind.roughness_m),
      theta_k_(s.evening_air_k),
      wind_(wind) {
    if (is_uniform()) return;
    drag_ = surface.ground_drag.size() > 0
                ? surface.ground_drag.clone()
                : Field<float>(plan.grid.rows, plan.grid.cols, static_cast<float>(s.ground_drag));
    u_star_ = Field<float>(plan.grid.rows, plan.grid.cols, static_cast<float>(calm_u_star_));
    u_flow_ = Field<float>(plan.grid.rows, plan.grid.cols, 0.0F);
}

void NightMixing::stir_row(const StackSolver<float>& solver, std::int32_t row) {
    constexpr float reach = 2;  // m, over which the ground's drag acts
    for (std::int32_t i = 0; i < u_star_.cols(); ++i) {
        float depth = 0;
        float x = 0;
        float y = 0;
        for (int k = solver.sheets() - 1; k >= 0 && depth < reach; --k) {
            const float part = std::min(solver.thickness(k, row, i), reach - depth);
            if (!(part > 0)) continue;
            x += 0.5F * part * (solver.velocity_x(k, row, i) + solver.velocity_x(k, row, i + 1));
            y += 0.5F * part * (solver.velocity_y(k, row, i) + solver.velocity_y(k, row + 1, i));
            depth += part;
        }
        const double wind = wind_.is_calm() ? 0.0 : wind_.u_star(row, i);
        u_star_(row, i) = static_cast<float>(std::max(calm_u_star_, wind));
        u_flow_(row, i) = depth > 0 ? std::sqrt(drag_(row, i) * (x * x + y * y)) / depth : 0.0F;
    }
}

void NightMixing::stir(StackSolver<float>& solver) {
    constexpr double interval = 30;
    if (is_uniform() || solver.time() < next_) return;
    next_ = solver.time() + interval;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < u_star_.rows(); ++j) stir_row(solver, j);
    hand_over(solver);
}

void NightMixing::hand_over(StackSolver<float>& solver) const {
    if (!is_uniform()) solver.set_stirring(u_star_, u_flow_);
}

double NightMixing::open_u_star() const {
    return is_uniform() ? wind_.open_u_star() : std::max(calm_u_star_, wind_.open_u_star());
}

void NightMixing::stir_open_land(StackSolver<double>& column) const {
    if (!is_uniform())
        column.set_stirring(Field<float>(1, 1, static_cast<float>(open_u_star())), Field<float>(1, 1, 0.0F));
}

double NightMixing::near_ground(std::int32_t row, std::int32_t col, double loss) const {
    if (is_uniform()) return wind_.mixing_near_ground(wind_.is_calm() ? 0.0 : wind_.u_star(row, col), loss);
    return mixing_under_loss_m2_s(static_cast<double>(std::max(u_star_(row, col), u_flow_(row, col))),
                                  near_ground_m + roughness_, loss, theta_k_);
}

double NightMixing::near_open_ground(double loss) const {
    if (is_uniform()) return wind_.mixing_near_ground(open_u_star(), loss);
    return mixing_under_loss_m2_s(open_u_star(), near_ground_m + roughness_, loss, theta_k_);
}

double NightMixing::full_depth(double loss, double sheet_step) const {
    if (is_uniform()) return near_open_ground(loss) * sheet_step / loss;
    return log_linear_depth(open_u_star(), roughness_, loss, theta_k_, sheet_step);
}

}  // namespace lielow
