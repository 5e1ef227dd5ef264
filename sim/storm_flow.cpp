// SPDX-License-Identifier: Apache-2.0
#include "sim/storm_flow.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "sim/errors.hpp"
#include "sim/storm_soil.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

StackParameters storm_parameters(const StormPlan& plan) {
    StackParameters p;
    p.order = SchemeOrder::first;
    p.buoyancy = {gravity};
    p.edges = plan.edges;
    p.drag_law = DragLaw::manning;
    p.deep_roughness = plan.deep;
    return p;
}

void validate_plan(const StormPlan& plan) {
    const Grid& grid = plan.grid;
    const auto refuse = [](const char* what) { throw InputError(std::string("storm: ") + what); };
    if (plan.ground.rows() != grid.rows || plan.ground.cols() != grid.cols)
        refuse("the ground and its grid differ in shape");
    if (plan.roughness.rows() != grid.rows || plan.roughness.cols() != grid.cols)
        refuse("the roughness and the ground differ in shape");
    for (const float n : plan.roughness.all()) {
        if (!(n >= 0.005F) || !(n <= 2.0F))
            refuse("Manning's n lies between 0.005 and 2 (bare 0.05, short grass 0.15, dense grass 0.24)");
    }
    if (!(plan.follow_s >= 0) || !(plan.longest_pulse_s > 0) || !(plan.hydrograph_step_s > 0))
        refuse("times must be positive");
    validate_loss_of(plan);
}

/// Highest and fastest so far, and hours under deep water.
template <class Real>
class Watch {
  public:
    explicit Watch(const StormPlan& plan)
        : plan_(plan),
          depth_(plan.grid.rows, plan.grid.cols, 0.0F),
          hours_(plan.grid.rows, plan.grid.cols, 0.0F),
          speed2_(plan.grid.rows, plan.grid.cols, 0.0F) {}

    /// The state stands for `seconds`.
    void look(const StackSolver<Real>& solver, double seconds) {
        const auto hours = static_cast<float>(seconds / 3600);
        const auto deep = static_cast<Real>(plan_.deep_water_m);
        const auto fast = static_cast<Real>(plan_.speed_water_m);
#pragma omp parallel for schedule(static) if (plan_.grid.cells() > 20000)
        for (std::int32_t j = 0; j < plan_.grid.rows; ++j) {
            const Real* h = solver.thickness_row(0, j);
            const Real* u = solver.velocity_x_row(0, j);
            const Real* north = solver.velocity_y_row(0, j);
            const Real* south = solver.velocity_y_row(0, j + 1);
            float* depth = depth_.row(j).data();
            float* time = hours_.row(j).data();
            float* speed2 = speed2_.row(j).data();
#pragma omp simd
            for (std::int32_t i = 0; i < plan_.grid.cols; ++i) {
                const auto across = Real(0.5) * (u[i] + u[i + 1]);
                const auto down = Real(0.5) * (north[i] + south[i]);
                const auto square = static_cast<float>(across * across + down * down);
                depth[i] = std::max(depth[i], static_cast<float>(h[i]));
                time[i] += h[i] > deep ? hours : 0.0F;
                speed2[i] = h[i] > fast && square > speed2[i] ? square : speed2[i];
            }
        }
    }

    void hand_over(StormResult& result) {
        for (float& v : speed2_.all()) v = std::sqrt(v);
        result.greatest_depth = std::move(depth_);
        result.deep_hours = std::move(hours_);
        result.peak_speed = std::move(speed2_);
    }

  private:
    const StormPlan& plan_;
    Field<float> depth_, hours_, speed2_;
};

/// Mean discharge over equal steps of time, from sums so far.
class Hydrograph {
  public:
    Hydrograph(const StormPlan& plan, StormResult& result)
        : step_(plan.hydrograph_step_s), result_(result), crossed_(plan.lines.size(), 0.0) {
        result.discharge.resize(plan.lines.size());
    }

    [[nodiscard]] double next() const { return (static_cast<double>(result_.times_s.size()) + 1) * step_; }

    void close(double time, const std::vector<double>& crossed, double left, double rain) {
        const double seconds = time - (result_.times_s.empty() ? 0.0 : result_.times_s.back());
        result_.times_s.push_back(time);
        for (std::size_t n = 0; n < crossed.size(); ++n)
            result_.discharge[n].push_back((crossed[n] - crossed_[n]) / seconds);
        result_.outflow.push_back((left - left_) / seconds);
        result_.rain_m_s.push_back((rain - rain_) / seconds);
        crossed_ = crossed;
        left_ = left;
        rain_ = rain;
    }

  private:
    double step_;
    StormResult& result_;
    std::vector<double> crossed_;
    double left_ = 0;
    double rain_ = 0;
};

/// End of the pulse that begins at `time`.
double pulse_end(const StormPlan& plan, double time, double stop) {
    double length = plan.longest_pulse_s;
    const double rain = plan.rain.depth_at(time + length) - plan.rain.depth_at(time);
    if (rain > plan.rain_per_pulse_m) length = std::max(1.0, length * plan.rain_per_pulse_m / rain);
    return time + 1.5 * length >= stop ? stop : time + length;
}

template <class Real>
class StormRun {
  public:
    explicit StormRun(const StormPlan& plan)
        : plan_(plan),
          solver_(plan.grid, plan.ground, storm_parameters(plan)),
          soil_(plan),
          watch_(plan),
          meter_(plan.grid, plan.lines),
          hydrograph_(plan, result_) {
        solver_.set_ground_drag(plan.roughness);
        result_.shortest_step_s = std::numeric_limits<double>::infinity();
    }

    StormResult run(const StormObserver<Real>& observer) {
        const double end = plan_.rain.duration_s() + plan_.follow_s;
        double time = 0;
        while (time < end) {
            const double stop = std::min(hydrograph_.next(), end);
            const double to = pulse_end(plan_, time, stop);
            soil_.pulse(solver_, time, to);
            flow_until(to);
            watch_.look(solver_, to - time);
            if (observer) {
                const double run_off = soil_.fallen_m3() - soil_.infiltrated_m3();
                observer({to, to - time, plan_.rain.depth_at(to), run_off}, solver_);
            }
            soil_.drain(solver_);
            if (to >= stop) hydrograph_.close(to, meter_.crossed_m3(), left(), plan_.rain.depth_at(to));
            time = to;
        }
        finish();
        return std::move(result_);
    }

  private:
    void flow_until(double time) {
        while (solver_.time() < time) {
            meter_.before_step(solver_);
            const double dt = solver_.step_towards(time);
            meter_.after_step(dt);
            result_.shortest_step_s = std::min(result_.shortest_step_s, dt);
        }
    }
    [[nodiscard]] double left() const { return soil_.drained_m3() - solver_.volume_in(); }

    void finish() {
        StormLedger& ledger = result_.ledger;
        ledger.rain = soil_.fallen_m3();
        ledger.infiltrated = soil_.infiltrated_m3();
        ledger.stored = solver_.budget().volume;
        ledger.left = left();
        result_.steps = solver_.steps();
        watch_.hand_over(result_);
    }

    const StormPlan& plan_;
    StormResult result_;
    StackSolver<Real> solver_;
    StormSoil soil_;
    Watch<Real> watch_;
    LineMeter<Real> meter_;
    Hydrograph hydrograph_;
};

}  // namespace

template <class Real>
StormResult run_storm(const StormPlan& plan, const StormObserver<Real>& observer) {
    validate_plan(plan);
    return StormRun<Real>(plan).run(observer);
}

template StormResult run_storm<float>(const StormPlan&, const StormObserver<float>&);
template StormResult run_storm<double>(const StormPlan&, const StormObserver<double>&);

}  // namespace lielow
