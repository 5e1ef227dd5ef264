// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_down.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double day_s = 86400;
constexpr double first_step_s = 300;
constexpr double shortest_step_s = 0.01;
constexpr double shallow_share = 0.9;

float or_nought(const Field<float>& field, std::size_t cell) {
    return field.empty() ? 0.0F : std::max(0.0F, field[cell]);
}

/// Ponds and the clock of every cell that has ground, by number.
class DrainDown {
  public:
    DrainDown(WaterTable& table, const Soil& soil, const DrainDownStart& start,
              const DrainDownOptions& options)
        : table_(table), options_(options), area_(table.grid().cell_area()) {
        const std::size_t n = table.size();
        recharge_.assign(n, 0.0);
        pond_.assign(n, 0.0);
        last_wet_s_.assign(n, 0.0);
        for (const std::uint32_t cell : table.grid_cells()) {
            conductivity_.push_back(static_cast<double>(soil.conductivity_m_s[cell]));
            room_.push_back(static_cast<double>(or_nought(start.pond_room_m, cell)));
        }
        for (std::size_t i = 0; i < n; ++i) {
            bed_.push_back(static_cast<double>(or_nought(options.bed_height_m, table.grid_cells()[i])));
            free_.push_back(free_depth(options.root_depth_m - bed_[i], table.floor_depth_m()[i]));
        }
        fill(start);
        for (std::size_t i = 0; i < n; ++i) depth_.push_back(water_depth(i));
    }

    void run_day(int day) {
        const double end = day * day_s;
        while (now_s_ < end) {
            const double left = end - now_s_;
            const double dt = left / std::ceil(left / step_s_ - 1e-9);
            take_in(dt);
            const WaterTableStep step = table_.step(dt, recharge_, options_.step_error_m);
            result_.newton_steps += step.newton_steps;
            result_.linear_iterations += step.linear_iterations;
            choose_step(dt, step);
            if (!step.taken) continue;
            result_.steps += 1;
            settle_ponds(dt);
            now_s_ = dt >= left * (1 - 1e-9) ? end : now_s_ + dt;
            keep_clock(dt);
            if (options_.each_step) options_.each_step(now_s_ / (options_.days * day_s));
        }
    }

    DrainDownResult finish(const Grid& grid) {
        constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
        result_.drain_days = Field<float>(grid.rows, grid.cols, unknown);
        result_.ponded_m = result_.drain_days.clone();
        for (std::size_t i = 0; i < pond_.size(); ++i) {
            const std::uint32_t cell = table_.grid_cells()[i];
            result_.drain_days[cell] = static_cast<float>(last_wet_s_[i] / day_s);
            result_.ponded_m[cell] = static_cast<float>(pond_[i]);
            result_.ponded_m3 += pond_[i] * area_;
        }
        result_.ground = table_.balance();
        return std::move(result_);
    }

  private:
    void fill(const DrainDownStart& start) {
        table_.start(start.table_depth_m);
        Field<float> left;
        if (!start.infiltrated_m.empty()) table_.fill(start.infiltrated_m, left);
        for (std::size_t i = 0; i < pond_.size(); ++i) {
            const std::uint32_t cell = table_.grid_cells()[i];
            const auto ponded = static_cast<double>(or_nought(start.ponded_m, cell));
            room_[i] = std::max(room_[i], ponded);
            const double water = ponded + static_cast<double>(or_nought(left, cell));
            result_.ponded_at_start_m3 += water * area_;
            pond_[i] = water;
            spill(i);
        }
    }

    void spill(std::size_t i) {
        const double over = std::max(0.0, pond_[i] - room_[i]);
        pond_[i] -= over;
        result_.ran_off_m3 += over * area_;
    }

    /// Infiltration over the coming step; of a pond that won't last, evaporation gets its share.
    void take_in(double dt) {
        for (std::size_t i = 0; i < pond_.size(); ++i) {
            const double k = conductivity_[i];
            const double most = pond_[i] * k / ((k + options_.evaporation_m_s) * dt);
            recharge_[i] = std::min(k, most);
        }
    }

    void settle_ponds(double dt) {
        const auto came_out = table_.came_out_m();
        for (std::size_t i = 0; i < pond_.size(); ++i) {
            // Full ground gives back at once what was offered to it; what comes beyond that is from the side.
            const double offered = recharge_[i] * dt;
            const double soaked = std::max(0.0, offered - came_out[i]);
            const double welled_up = std::max(0.0, came_out[i] - offered);
            const double dried = std::min(std::max(0.0, pond_[i] - soaked), options_.evaporation_m_s * dt);
            result_.pond_soaked_m3 += soaked * area_;
            result_.pond_evaporated_m3 += dried * area_;
            pond_[i] = std::max(0.0, pond_[i] - soaked - dried) + welled_up;
            spill(i);
        }
    }

    /// Nought under a pond that can be seen; on a bed the pond's level counts.
    [[nodiscard]] double water_depth(std::size_t i) const {
        constexpr double film_m = 1e-4;
        if (pond_[i] > film_m) return bed_[i] > 0 ? -pond_[i] : 0.0;
        return table_.floor_depth_m()[i] - table_.thickness_m()[i];
    }

    void keep_clock(double dt) {
        for (std::size_t i = 0; i < pond_.size(); ++i) {
            const double before = depth_[i];
            depth_[i] = water_depth(i);
            if (depth_[i] < free_[i]) {
                last_wet_s_[i] = now_s_;
            } else if (before < free_[i]) {
                last_wet_s_[i] = now_s_ - dt * (depth_[i] - free_[i]) / (depth_[i] - before);
            }
        }
    }

    void choose_step(double dt, const WaterTableStep& step) {
        // A step that didn't settle has no error to go by.
        const bool settled = step.error_m > 0 || step.taken;
        const double fit = 0.9 * std::sqrt(options_.step_error_m / std::max(step.error_m, 1e-12));
        step_s_ = dt * (settled ? std::clamp(fit, 0.2, 2.0) : 0.25);
        if (step_s_ < shortest_step_s)
            throw RunError(
                "the water table can't be followed: no time step is short enough; look for cells of "
                "extreme conductivity or next to no drainable porosity");
    }

    WaterTable& table_;
    const DrainDownOptions& options_;
    const double area_;
    std::vector<double> conductivity_;
    std::vector<double> room_;
    std::vector<double> bed_;   ///< height of the bed, m
    std::vector<double> free_;  ///< depth below which the roots of the cell are free, m
    std::vector<double> recharge_;
    std::vector<double> pond_;   ///< m of water
    std::vector<double> depth_;  ///< of water below the surface at the last step, m
    std::vector<double> last_wet_s_;
    double now_s_ = 0;
    double step_s_ = first_step_s;
    DrainDownResult result_;
};

}  // namespace

double free_depth(double root_depth_m, double floor_depth_m) {
    return std::min(root_depth_m, shallow_share * floor_depth_m);
}

double DrainDownResult::residual_m3() const {
    const double in = ground.stored_at_start_m3 + ponded_at_start_m3;
    const double out = ground.stored_m3 + ponded_m3 + pond_evaporated_m3 + ran_off_m3 + ground.to_ditches_m3 +
                       ground.to_drains_m3 + ground.over_edges_m3;
    return in - out;
}

DrainDownResult drain_down(WaterTable& table, const Soil& soil, const DrainDownStart& start,
                           const DrainDownOptions& options) {
    if (options.days < 1) throw InputError("a drain-down takes at least one day");
    DrainDown run(table, soil, start, options);
    for (int day = 1; day <= options.days; ++day) {
        run.run_day(day);
        if (options.each_day) options.each_day(day, table.table_depth());
    }
    return run.finish(table.grid());
}

void settle_table(WaterTable& table, double recharge_m_s, const RootUptake& uptake) {
    if (!table.settle(recharge_m_s, uptake).settled)
        throw RunError("the long-run water table doesn't settle; give its depth instead");
}

}  // namespace lielow
