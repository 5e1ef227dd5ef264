// SPDX-License-Identifier: Apache-2.0
#include "sim/night_windows.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "sim/errors.hpp"
#include "sim/night_block.hpp"
#include "sim/night_run.hpp"
#include "sim/window_carrier.hpp"

namespace lielow {
namespace {

NightPlan plan_of_rows(const NightPlan& all, std::int32_t rows) {
    NightPlan plan = all;
    plan.grid.rows = rows;
    return plan;
}

/// A window's night and what it is made of.
struct WindowRun {
    WindowRun(const NightCells& cells, const NightSetup& s, const NightPlan& plan_of_all,
              const NightSurface& all_surface, const NightWindow& window)
        : plan(plan_of_rows(plan_of_all, window.held.rows())),
          surface(surface_of_rows(all_surface, window.held)),
          night(cells_of_rows(cells, window.held, window.own), s, plan, surface, {}) {
        night.forget_states();
    }
    WindowRun(const WindowRun&) = delete;
    WindowRun& operator=(const WindowRun&) = delete;

    NightPlan plan;
    NightSurface surface;
    NightRun night;
};

void add(NightHeat& sum, const NightHeat& part) {
    sum.heat_lost_k_m3 += part.heat_lost_k_m3;
    sum.heat_given_k_m3 += part.heat_given_k_m3;
    sum.heat_unused_k_m3 += part.heat_unused_k_m3;
    sum.heat_in_air_k_m3 += part.heat_in_air_k_m3;
    sum.heat_through_edges_k_m3 += part.heat_through_edges_k_m3;
    sum.heat_from_aloft_k_m3 += part.heat_from_aloft_k_m3;
}

/// What the windows of a block come to.
struct BlockDone {
    std::vector<SweepRates<float>> rates;  ///< at its beginning and after each step, of all rows
    NightHeat heat;
    std::vector<std::byte> clock;  ///< what is the same for all windows
    std::vector<double> far_field_height;
    BlockStart next;
};

class NightOfWindows {
  public:
    NightOfWindows(Field<double> cells, const NightSetup& s, const NightPlan& plan, const WindowPlan& windows,
                   WindowStore& store, const NightSurface& surface, const NightProgress& progress)
        : s_(s),
          plan_(plan),
          surface_(surface),
          most_steps_(windows.steps),
          progress_(progress),
          cells_(all_cells(std::move(cells), s, plan)),
          slots_(store, plan.grid.rows) {
        for (std::int32_t first = 0; first < plan.grid.rows; first += windows.rows)
            windows_.push_back({first, std::min(plan.grid.rows, first + windows.rows)});
        result_.plan = plan;
        result_.scale = {plan.sheet_step_k,
                         plan.coldest_loss_k_m_s / calm_mixing_m2_s(s, plan.coldest_loss_k_m_s)};
        result_.far_ground_m = cells_.far_ground_m;
    }
    WindowedNight run() {
        {
            const WindowRun first(cells_, s_, plan_, surface_, held(windows_.front(), 1));
            now_ = start_after(first.night);
        }
        while (now_.time < s_.duration_s) block();
        finish_coldest();
        static_cast<NightHeat&>(result_) = heat_;
        result_.ground = std::move(cells_.ground);
        return std::move(result_);
    }

  private:
    /// With the rows that so many steps spoil beside cuts, and one more: y faces on a cut are spoilt at once.
    [[nodiscard]] NightWindow held(const RowSpan& own, std::size_t steps) const {
        const auto beside = static_cast<std::int32_t>(steps) + 1;
        return {{std::max(0, own.first - beside), std::min(plan_.grid.rows, own.last + beside)}, own};
    }
    static BlockStart start_after(const NightRun& night) {
        return {night.solver().time(), night.stop(), 0, night.longest_after_gust(),
                night.looks_at(night.stop())};
    }
    /// One block, done again with shorter steps until they are short enough.
    void block();
    /// Every window for steps that end at `ends`; false where one is longer than the flow lets it be.
    bool try_block(const std::vector<double>& ends, bool looks, BlockDone& done);
    bool run_window(const RowSpan& own, const std::vector<double>& ends, bool looks, BlockDone& done);
    void tell(double time) const {
        if (progress_ && !progress_(time / s_.duration_s)) throw Interrupted();
    }
    void keep(const std::vector<double>& ends, bool looks, BlockDone done);
    void finish_coldest();

    const NightSetup& s_;
    const NightPlan& plan_;
    const NightSurface& surface_;
    std::vector<RowSpan> windows_;
    int most_steps_;
    const NightProgress& progress_;
    NightCells cells_;
    SlotTable slots_;
    KeptState clock_;  ///< at the block's beginning
    BlockStart now_;
    SweepRates<float> rates_;
    Quickening quickening_;
    NightHeat heat_;
    WindowedNight result_;
};

void NightOfWindows::block() {
    constexpr int most_halvings = 20;
    const double step = step_begun(rates_);
    BlockStart start = now_;
    for (int halvings = 0; halvings <= most_halvings; ++halvings) {
        start.longest = std::ldexp(step, -halvings);
        const auto ends = block_ends(start, quickening_.most_steps(rates_, step, most_steps_));
        const bool looks = now_.looks && ends.back() >= now_.stop;
        BlockDone done;
        if (try_block(ends, looks, done)) {
            keep(ends, looks, std::move(done));
            return;
        }
        ++result_.blocks_again;
    }
    throw RunError("the flow became too fast to follow after " + std::to_string(now_.time) +
                   " s of simulated time; please report this site");
}

bool NightOfWindows::try_block(const std::vector<double>& ends, bool looks, BlockDone& done) {
    done.rates.assign(ends.size() + 1, {});
    done.rates.front() = rates_;
    for (std::size_t n = 0; n < windows_.size(); ++n) {
        const double share = static_cast<double>(n) / static_cast<double>(windows_.size());
        tell(now_.time + share * (ends.back() - now_.time));
        if (!run_window(windows_[n], ends, looks, done)) return false;
    }
    return true;
}

bool NightOfWindows::run_window(const RowSpan& own, const std::vector<double>& ends, bool looks,
                                BlockDone& done) {
    const NightWindow window = held(own, ends.size());
    WindowRun run(cells_, s_, plan_, surface_, window);
    NightRun& night = run.night;
    if (!clock_.whole.empty()) {
        WindowCarrier carrier(slots_, window, Carry::in, looks);
        StateWalk walk(clock_, &carrier);
        night.walk(walk);
        walk.finish();
    }
    for (std::size_t n = 0; n < ends.size(); ++n) {
        const double dt = ends[n] - night.solver().time();
        if (n > 0 && dt > step_allowed(night.solver().rates())) return false;
        night.go_on_to(ends[n], {});
        done.rates[n + 1] = faster(done.rates[n + 1], night.solver().rates());
    }
    WindowCarrier carrier(slots_, window, Carry::out, looks);
    std::vector<std::size_t> logged;
    StateWalk walk(logged, &carrier);
    night.walk(walk);
    if (!done.clock.empty() && done.clock != walk.whole())
        throw RunError("a night's windows fell out of step; please report this site");
    done.clock = walk.whole();
    done.next = start_after(night);
    NightHeat heat = night.heat();
    if (night.is_over()) {
        done.far_field_height = night.far_field_at_end();
    } else {
        heat.heat_in_air_k_m3 = 0;
    }
    add(done.heat, heat);
    return true;
}

void NightOfWindows::keep(const std::vector<double>& ends, bool looks, BlockDone done) {
    slots_.turn(looks);
    quickening_.see(done.rates, ends.back() - now_.time);
    rates_ = done.rates.back();
    clock_.whole = std::move(done.clock);
    now_ = done.next;
    add(heat_, done.heat);
    result_.far_field_height = std::move(done.far_field_height);
    result_.step_ends.insert(result_.step_ends.end(), ends.begin(), ends.end());
    ++result_.blocks;
}

/// What the result tells of the columns at their coldest, once all rows are there.
void NightOfWindows::finish_coldest() {
    // In the order of ColdestMoment::walk.
    const int deficit = slots_.first_seldom;
    for (int k = 0; k < plan_.sheets; ++k)
        result_.coldest_slots.push_back(slots_.slot_before(deficit + 3 + k, true));
    result_.coldest_slots.push_back(slots_.slot_before(deficit + 2, true));
    result_.coldest_slots.push_back(slots_.slot_before(deficit + 1, true));
    std::size_t full = 0;
    for (const RowSpan& rows : windows_) {
        const ColdestRows part = coldest_rows(result_, slots_.store(), rows.first, rows.rows());
        full += full_cells(part.height.back(), part.gradient, result_.scale.sheet_step);
    }
    result_.ladder_full_share = static_cast<double>(full) / static_cast<double>(plan_.grid.cells());
    if (surface_.raised.empty()) return;
    Field<float> plane(plan_.grid.rows, plan_.grid.cols);
    for (int n = 0; n <= plan_.sheets; ++n) {
        const int slot = result_.coldest_slots[static_cast<std::size_t>(n)];
        slots_.store().read(slot, 0, plane.all());
        read_beside_raised(surface_.raised, plane);
        slots_.store().write(slot, 0, plane.all());
    }
}

}  // namespace

WindowedNight run_night_by_windows(Field<double> cells, const NightSetup& s, const NightPlan& plan,
                                   const WindowPlan& windows, WindowStore& store, const NightSurface* surface,
                                   const NightProgress& progress) {
    judge_windows(s);
    const NightSurface none;
    return NightOfWindows(std::move(cells), s, plan, windows, store, surface != nullptr ? *surface : none,
                          progress)
        .run();
}

ColdestRows coldest_rows(const WindowedNight& night, WindowStore& store, std::int32_t first_row,
                         std::int32_t rows) {
    const auto read = [&](std::size_t n) {
        Field<float> values(rows, night.plan.grid.cols);
        store.read(night.coldest_slots[n], first_row, values.all());
        return values;
    };
    const auto sheets = static_cast<std::size_t>(night.plan.sheets);
    ColdestRows part;
    for (std::size_t k = 0; k < sheets; ++k) part.height.push_back(read(k));
    part.gradient = read(sheets);
    part.time_s = read(sheets + 1);
    return part;
}

}  // namespace lielow
