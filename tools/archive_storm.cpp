// SPDX-License-Identifier: Apache-2.0
#include "tools/archive_storm.hpp"

#include <cmath>
#include <limits>

namespace lielow {
namespace {

const char* const prefix = "storm_";
constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

bool is_outside(const StormPlan& plan, std::size_t cell) {
    return !plan.outside.empty() && plan.outside[cell] != 0;
}

}  // namespace

StormArchive::StormArchive(SiteRun& run, const StormPlan& plan, const Blocks& blocks)
    : archive_(run.archive.get()),
      plan_(plan),
      interval_s_(run.site.archive == "states" ? 900 : 3600),
      end_s_(plan.rain.duration_s() + plan.follow_s),
      next_s_(interval_s_) {
    if (archive_ == nullptr) return;
    archive_->add_cells(prefix, plan.grid, blocks);
    archive_->add_time(prefix, {{"long_name", "time since the rain began"}, {"units", "s"}, {"axis", "T"}});
    Field<float> ground(plan.grid.rows, plan.grid.cols);
    for (std::size_t c = 0; c < ground.size(); ++c)
        ground[c] = is_outside(plan, c) ? unknown : static_cast<float>(plan.ground[c]);
    archive_->add_field(
        prefix,
        {"storm_surface_altitude", "elevation of the ground under the storm, mean of the cell", "m",
         "surface_altitude", "area: mean"},
        ground);
    archive_->add_sequence(prefix, {"storm_rain", "rain, mean since the moment before", "m s-1",
                                    "rainfall_rate", "storm_time: mean"});
    archive_->add_series(
        prefix,
        {"storm_water_depth", "depth of the water over the cell's mean ground", "m", "", "storm_time: point"},
        NAN);
    archive_->add_series(
        prefix,
        {"storm_water_speed", "speed of the water, 0 where it is no deeper than a centimetre", "m s-1", "",
         "storm_time: point"},
        NAN);
}

void StormArchive::look(const StormMoment& moment, const StackSolver<double>& solver) {
    if (archive_ == nullptr) return;
    const bool last = moment.time_s >= end_s_;
    if (moment.time_s < next_s_ && !last) return;
    while (next_s_ <= moment.time_s) next_s_ += interval_s_;
    write(moment, solver);
}

void StormArchive::write(const StormMoment& moment, const StackSolver<double>& solver) {
    const Grid& grid = plan_.grid;
    Field<float> depth(grid.rows, grid.cols, unknown);
    Field<float> speed(grid.rows, grid.cols, unknown);
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            if (is_outside(plan_, grid.index(j, i))) continue;
            const double h = solver.thickness(0, j, i);
            const double x = 0.5 * (solver.velocity_x(0, j, i) + solver.velocity_x(0, j, i + 1));
            const double y = 0.5 * (solver.velocity_y(0, j, i) + solver.velocity_y(0, j + 1, i));
            depth(j, i) = static_cast<float>(h);
            speed(j, i) = h > plan_.speed_water_m ? static_cast<float>(std::hypot(x, y)) : 0.0F;
        }
    }
    archive_->append(prefix, moment.time_s);
    const auto rain = static_cast<float>((moment.rain_m - rain_m_) / (moment.time_s - written_s_));
    archive_->write("storm_rain", {&rain, 1});
    archive_->write("storm_water_depth", depth.all());
    archive_->write("storm_water_speed", speed.all());
    written_s_ = moment.time_s;
    rain_m_ = moment.rain_m;
}

}  // namespace lielow
