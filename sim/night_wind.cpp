// SPDX-License-Identifier: Apache-2.0
#include "sim/night_wind.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "sim/errors.hpp"
#include "sim/wind_shelter.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

void judge(const WindAloft& wind) {
    if (!(wind.speed_m_s >= 0)) throw InputError("night.wind must be 0 or more");
    if (!(wind.roughness_m > 0)) throw InputError("night.roughness must be above 0");
    if (!(wind.height_m > 2 * wind.roughness_m))
        throw InputError("night.wind_height must be more than twice night.roughness");
    if (!(wind.mixed_depth_m > 0)) throw InputError("night.mixed_depth must be above 0");
}

/// What is known of the wind in the course of the night: the weather's, where any of its records has a wind,
/// else the constant.
std::vector<WeatherHour> windy_hours(const NightSetup& s) {
    std::vector<WeatherHour> known;
    std::copy_if(s.weather.begin(), s.weather.end(), std::back_inserter(known),
                 [](const WeatherHour& hour) { return std::isfinite(hour.wind_speed_m_s); });
    if (known.empty())
        known.push_back({.wind_speed_m_s = s.wind.speed_m_s, .wind_from_rad = s.wind.from_rad});
    const bool calm = std::all_of(known.begin(), known.end(),
                                  [](const WeatherHour& hour) { return hour.wind_speed_m_s == 0; });
    if (calm) known.clear();
    return known;
}

bool same_direction(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

/// One face between two cells: drags its uppermost sheets towards `target`.
template <class Thickness, class Velocity, class Set>
void push_face(int sheets, double rate, double target, Thickness thickness, Velocity velocity, Set set) {
    constexpr double reach = 2;          // m of air that feel the stress at once
    constexpr double least_depth = 0.1;  // m
    double depth = 0;
    int last = 0;
    for (; last < sheets && depth < reach; ++last) depth += thickness(last);
    const double pull = rate / std::max(depth, least_depth);
    for (int k = 0; k < last; ++k) {
        const double u = velocity(k);
        // A velocity of exactly 0 is that of a face which the sheet can't pass: it must stay so.
        if (u != 0) set(k, static_cast<float>((u + pull * target) / (1 + pull)));
    }
}

}  // namespace

NightWind::NightWind(const NightSetup& setup, const NightPlan& plan, const Field<double>& ground)
    : wind_(setup.wind),
      scale_{plan.sheet_step_k, plan.sheet_step_k * gravity / setup.evening_air_k, setup.wind.mixed_depth_m},
      theta_k_(setup.evening_air_k),
      still_mixing_(setup.mixing_m2_s),
      mixes_(setup.mixing_law == MixingLaw::uniform),
      drag_(setup.interface_drag),
      counted_{0, plan.grid.rows} {
    judge(wind_);
    add_hours(setup, plan, ground);
    if (!is_calm()) {
        share_ = Field<float>(plan.grid.rows, plan.grid.cols, 1.0F);
        look(0);
    }
}

std::size_t NightWind::directions(const NightSetup& setup) {
    std::vector<double> found;
    for (const WeatherHour& hour : windy_hours(setup)) {
        const auto known = [&hour](double from) { return same_direction(from, hour.wind_from_rad); };
        if (std::none_of(found.begin(), found.end(), known)) found.push_back(hour.wind_from_rad);
    }
    return found.size();
}

NightWind NightWind::of_rows(const RowSpan& rows) const {
    NightWind part;
    part.wind_ = wind_;
    part.scale_ = scale_;
    part.theta_k_ = theta_k_;
    part.still_mixing_ = still_mixing_;
    part.mixes_ = mixes_;
    part.drag_ = drag_;
    part.hours_ = hours_;
    part.first_cell_ =
        first_cell_ + static_cast<std::size_t>(rows.first) * static_cast<std::size_t>(share_.cols());
    part.counted_ = {0, rows.rows()};
    if (!is_calm()) {
        part.share_ = Field<float>(rows.rows(), share_.cols(), 1.0F);
        part.look(0);
    }
    return part;
}

void NightWind::add_hours(const NightSetup& setup, const NightPlan& plan, const Field<double>& ground) {
    const std::vector<WeatherHour> known = windy_hours(setup);
    if (known.empty()) return;
    Field<float> z(ground.rows(), ground.cols());
    for (std::size_t c = 0; c < z.size(); ++c) z[c] = static_cast<float>(ground[c]);
    for (std::size_t n = 0; n < known.size(); ++n) {
        const double from = known[n].wind_from_rad;
        Hour hour{known[n].time_s, known[n].wind_speed_m_s, 0, 0, nullptr};
        if (std::isfinite(from)) {
            hour.to_x = -std::sin(from) * hour.speed;
            hour.to_y = std::cos(from) * hour.speed;
        }
        for (std::size_t m = 0; m < n && !hour.share; ++m) {
            if (same_direction(known[m].wind_from_rad, from)) hour.share = hours_[m].share;
        }
        if (!hour.share) hour.share = std::make_shared<const Field<float>>(wind_share(plan.grid, z, from));
        hours_.push_back(std::move(hour));
    }
}

void NightWind::look(double time_s) {
    if (is_calm()) return;
    const auto after = std::upper_bound(hours_.begin(), hours_.end(), time_s,
                                        [](double t, const Hour& hour) { return t < hour.time_s; });
    const Hour& a = after == hours_.begin() ? *after : *(after - 1);
    const Hour& b = after == hours_.end() ? hours_.back() : *after;
    const double way =
        b.time_s > a.time_s ? std::clamp((time_s - a.time_s) / (b.time_s - a.time_s), 0.0, 1.0) : 0.0;
    speed_ = std::lerp(a.speed, b.speed, way);
    to_x_ = std::lerp(a.to_x, b.to_x, way);
    to_y_ = std::lerp(a.to_y, b.to_y, way);
    u_star_ = friction_velocity(speed_, wind_.height_m, wind_.roughness_m);
    for (std::size_t c = 0; c < share_.size(); ++c)
        share_[c] =
            std::lerp((*a.share)[first_cell_ + c], (*b.share)[first_cell_ + c], static_cast<float>(way));
}

/// Mixing at half the depth of the cold air, in the stratification of the whole of it, stands for all of it.
void NightWind::blow(double u_star, double span, int sheets, double* level) const {
    if (mixes_) {
        int present = 0;
        while (present < sheets && level[present] > 0) ++present;
        const double n2 = present * scale_.buoyancy_step / level[0];
        mix_column(scale_.sheet_step, mixing_in_stratified_air_m2_s(u_star, 0.5 * level[0], n2), span, sheets,
                   level);
    }
    erode_column(scale_, u_star, span, sheets, level);
}

double NightWind::act_on_row(StackSolver<float>& solver, std::int32_t row, double span) const {
    const int sheets = solver.sheets();
    double level[StackParameters::most_sheets] = {};
    double heat = 0;
    for (std::int32_t i = 0; i < solver.grid().cols; ++i) {
        double height = 0;
        for (int k = sheets - 1; k >= 0; --k)
            level[k] = height += static_cast<double>(solver.thickness(k, row, i));
        if (!(height > 0) || !(u_star(row, i) > 0)) continue;
        blow(u_star(row, i), span, sheets, level);
        for (int k = 0; k < sheets; ++k) {
            const auto thick = static_cast<float>(level[k] - (k + 1 < sheets ? level[k + 1] : 0.0));
            heat += (k + 1) * (static_cast<double>(solver.thickness(k, row, i)) - static_cast<double>(thick));
            solver.set_thickness(k, row, i, thick);
        }
    }
    return heat * scale_.sheet_step;
}

/// x faces of a row and the y faces on its side towards row 0, those on the grid's edge left out.
void NightWind::push_row(StackSolver<float>& solver, std::int32_t row, double span) const {
    const int sheets = solver.sheets();
    const auto thick = [&](int k, std::int32_t j, std::int32_t i) {
        return static_cast<double>(solver.thickness(k, j, i));
    };
    const double rate = span * drag_ * speed_;
    for (std::int32_t i = 1; i < solver.grid().cols; ++i) {
        const double share = 0.5 * static_cast<double>(share_(row, i - 1) + share_(row, i));
        push_face(
            sheets, rate * share, to_x_ * share,
            [&](int k) { return 0.5 * (thick(k, row, i - 1) + thick(k, row, i)); },
            [&](int k) { return static_cast<double>(solver.velocity_x(k, row, i)); },
            [&](int k, float u) { solver.set_velocity_x(k, row, i, u); });
    }
    for (std::int32_t i = 0; row > 0 && i < solver.grid().cols; ++i) {
        const double share = 0.5 * static_cast<double>(share_(row - 1, i) + share_(row, i));
        push_face(
            sheets, rate * share, to_y_ * share,
            [&](int k) { return 0.5 * (thick(k, row - 1, i) + thick(k, row, i)); },
            [&](int k) { return static_cast<double>(solver.velocity_y(k, row, i)); },
            [&](int k, float v) { solver.set_velocity_y(k, row, i, v); });
    }
}

void NightWind::act(StackSolver<float>& solver, double span) {
    if (is_calm() || !(u_star_ > 0)) return;
    const std::int32_t rows = solver.grid().rows;
    std::vector<double> heat(static_cast<std::size_t>(rows));
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < rows; ++j) heat[static_cast<std::size_t>(j)] = act_on_row(solver, j, span);
    for (std::int32_t j = counted_.first; j < counted_.last; ++j)
        booked_ += heat[static_cast<std::size_t>(j)];
    if (to_x_ == 0 && to_y_ == 0) return;  // from where isn't known
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < rows; ++j) push_row(solver, j, span);
}

double NightWind::step_after(const Grid& grid) const {
    if (to_x_ == 0 && to_y_ == 0) return std::numeric_limits<double>::infinity();
    constexpr double share_of_cell = 0.05;
    return share_of_cell * std::min(grid.dx, grid.dy) / (1 + speed_);
}

void NightWind::act_on_open_land(StackSolver<double>& column, double span) const {
    if (is_calm() || !(u_star_ > 0)) return;
    const int sheets = column.sheets();
    double level[StackParameters::most_sheets] = {};
    for (int k = 0; k < sheets; ++k) level[k] = column.isotherm_height(k, 0, 0);
    if (!(level[0] > 0)) return;
    blow(u_star_, span, sheets, level);
    for (int k = 0; k < sheets; ++k)
        column.set_thickness(k, 0, 0, level[k] - (k + 1 < sheets ? level[k + 1] : 0.0));
}

double NightWind::mixing_near_ground(double u_star, double loss) const {
    constexpr double near_ground = 1.0;  // m
    return still_mixing_ + mixing_under_loss_m2_s(u_star, near_ground, loss, theta_k_);
}

void NightWind::walk(StateWalk& walk) {
    walk.field(share_);
    for (double* now : {&u_star_, &speed_, &to_x_, &to_y_}) walk.value(*now);
    walk.own(booked_);
}

}  // namespace lielow
