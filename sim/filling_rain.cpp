// SPDX-License-Identifier: Apache-2.0
#include "sim/filling_rain.hpp"

#include <algorithm>
#include <functional>
#include <limits>
#include <queue>
#include <utility>

#include "sim/fill_route.hpp"

namespace lielow {
namespace {

/// Water rising in all hollows at once. "Time" is the depth of runoff so far, m; a hollow's rate is the area
/// that drains into it, m².
class Rising {
  public:
    explicit Rising(const NestedHollows& hollows)
        : hollows_(hollows), route_(hollows), states_(hollows.list.size()) {
        rain_.of_hollow.assign(hollows.list.size(), std::numeric_limits<double>::infinity());
        for (std::size_t c = 0; c < hollows.catchments(); ++c) {
            const double area = static_cast<double>(hollows.catchment_cells[c]) * hollows.cell_area_m2;
            area_ += area;
            join(static_cast<std::int32_t>(c), area, 0.0);
        }
        corner(0.0);
    }

    FillingRain run() {
        while (!due_.empty()) {
            const auto [time, hollow] = due_.top();
            due_.pop();
            State& state = states_[static_cast<std::size_t>(hollow)];
            if (route_.full(hollow) || state.due != time) continue;
            rain_.of_hollow[static_cast<std::size_t>(hollow)] = time;
            route_.set_full(hollow);
            const std::int32_t next = route_.end_of(hollow);
            if (next == FillRoute::off_ground) {
                corner(time);
                leaving_ += state.rate;
            } else {
                join(next, state.rate, time);
            }
        }
        return std::move(rain_);
    }

  private:
    struct State {
        double rate = 0;
        double held = 0;
        double since = 0;
        double due = std::numeric_limits<double>::infinity();
    };

    /// From now on `rate` more runs into a hollow that isn't full.
    void join(std::int32_t hollow, double rate, double now) {
        State& state = states_[static_cast<std::size_t>(hollow)];
        state.held += state.rate * (now - state.since);
        state.since = now;
        state.rate += rate;
        const double room = hollows_.list[static_cast<std::size_t>(hollow)].room_m3;
        state.due = now + std::max(0.0, room - state.held) / state.rate;
        due_.emplace(state.due, hollow);
    }

    /// Water on the ground has grown by what didn't leave since the last corner.
    void corner(double now) {
        const bool first = rain_.corner_runoff_m.empty();
        const double before = first ? 0.0 : rain_.corner_runoff_m.back();
        const double water = first ? 0.0 : rain_.corner_ponded_m3.back();
        if (!first && now == before) return;
        rain_.corner_runoff_m.push_back(now);
        rain_.corner_ponded_m3.push_back(water + std::max(0.0, area_ - leaving_) * (now - before));
    }

    const NestedHollows& hollows_;
    FillRoute route_;
    std::vector<State> states_;
    using Due = std::pair<double, std::int32_t>;
    std::priority_queue<Due, std::vector<Due>, std::greater<>> due_;
    FillingRain rain_;
    double area_ = 0;
    double leaving_ = 0;
};

}  // namespace

FillingRain rain_that_fills(const NestedHollows& hollows) {
    return Rising(hollows).run();
}

std::vector<double> ponded_after(const FillingRain& rain, std::span<const double> runoff_m) {
    std::vector<double> ponded;
    const auto& x = rain.corner_runoff_m;
    const auto& y = rain.corner_ponded_m3;
    for (const double runoff : runoff_m) {
        const auto above = static_cast<std::size_t>(std::upper_bound(x.begin(), x.end(), runoff) - x.begin());
        if (above >= x.size()) {
            ponded.push_back(y.back());
            continue;
        }
        const double share = (runoff - x[above - 1]) / (x[above] - x[above - 1]);
        ponded.push_back(y[above - 1] + share * (y[above] - y[above - 1]));
    }
    return ponded;
}

}  // namespace lielow
