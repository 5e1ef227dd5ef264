// SPDX-License-Identifier: Apache-2.0
// How far a too small ground errs, and what nesting it mends: the table of docs/verification.md
// (tools/nest_figures.py).
//
// nest_study NAME hills HOURS RATIOS SHARE ...
//     on invented hills
// nest_study NAME FILE ROWS COLS CELL_M HOURS RATIOS SHARE ...
//     on float32 elevations, m, row by row, first row north
// RATIOS: widths of the outer night's cells in those of the farm's, as 2,4. SHARE: the farm's side in the
// whole's.
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "sim/night_watch.hpp"
#include "support/nest_ground.hpp"

namespace lielow::test {
namespace {

Ground read_raw(const std::string& file, int rows, int cols, double cell) {
    Field<float> z(rows, cols);
    std::ifstream in(file, std::ios::binary);
    in.read(reinterpret_cast<char*>(z.data()), static_cast<std::streamsize>(z.size() * sizeof(float)));
    if (!in) throw std::runtime_error(file + " is too short");
    return known_ground(std::move(z), cell);
}

double mean(const Ground& ground) {
    double sum = 0;
    for (const float z : ground.z.all()) sum += static_cast<double>(z);
    return sum / static_cast<double>(ground.z.size());
}

/// One night on the whole ground, and what nights on less of it make of the fields in the middle.
class Study {
  public:
    Study(std::string name, Ground wide, double hours) : name_(std::move(name)), wide_(std::move(wide)) {
        setup_.duration_s = hours * 3600;
        setup_.reference_elevation_m = mean(wide_);
        setup_.cell_m = wide_.grid.dx;
        truth_ = coldest(wide_, setup_, run_night(wide_, setup_, plan_night(wide_, setup_)));
        inner_ = std::min(wide_.grid.rows, wide_.grid.cols) / 8 / 2 * 2;
    }

    void farm(double share, const std::vector<std::int32_t>& ratios) const {
        const auto side = static_cast<std::int32_t>(share * wide_.grid.rows) / 4 * 4;
        const Cutout cut = cut_out(wide_, side, 4);
        const NightPlan plan = plan_night(cut.farm, setup_);
        for (const EdgeKind kind : {EdgeKind::far_field, EdgeKind::open, EdgeKind::wall}) {
            NightSetup alone = setup_;
            alone.edges = kind;
            const char* word = kind == EdgeKind::far_field ? "far field"
                               : kind == EdgeKind::open    ? "open"
                                                           : "wall";
            FlowWatch watch = field_watch(cut, plan);
            const NightResult night = run_night(cut.farm, alone, plan, nullptr, {}, {.observer = &watch});
            say(cut, fmt::format("alone, {}", word), night, watch, nullptr);
        }
        for (const std::int32_t ratio : ratios) {
            const Surround surround = surround_of(wide_, cut, ratio);
            NightSetup outer = setup_;
            outer.cell_m = ratio * wide_.grid.dx;
            outer.sheets = plan.sheets;
            outer.sheet_step_k = plan.sheet_step_k;
            const NightAround around{setup_, plan_night(surround.ground, outer), {}};
            FlowWatch watch = field_watch(cut, plan);
            FlowWatch outer_watch(around.plan, flow_height_m, {});
            const NestedNight nested = run_nested_night(cut.farm, surround, setup_, plan, around,
                                                        {.farm = &watch, .around = &outer_watch});
            const WiderFlow wider{outer_watch.mean(), surround.east_m(), surround.south_m()};
            say(cut, fmt::format("nested, cells x {}", ratio), nested.farm, watch, &wider);
        }
    }

  private:
    static constexpr double flow_height_m = 3.048;  // night.flow_height's default

    /// Counts what comes into the fields in the middle.
    [[nodiscard]] FlowWatch field_watch(const Cutout& cut, const NightPlan& plan) const {
        Field<float> cover(plan.grid.rows, plan.grid.cols, 0.0F);
        const std::int32_t start = (cut.farm.grid.rows - inner_) / 2;
        for (std::int32_t j = 0; j < inner_; ++j) {
            for (std::int32_t i = 0; i < inner_; ++i) cover(start + j, start + i) = 1.0F;
        }
        std::vector<BorderMeter> borders;
        borders.emplace_back(plan.grid, field_cells(plan.grid, cover, RasterAxes{}), plan.sheet_step_k,
                             flow_height_m);
        return {plan, flow_height_m, std::move(borders)};
    }

    void say(const Cutout& cut, const std::string& edges, const NightResult& night, const FlowWatch& watch,
             const WiderFlow* wider) const {
        const FieldError e = inner_error(truth_, coldest(cut.farm, setup_, night), cut.first, inner_);
        const double from_edge = share_from_edge(watch.mean(), watch.borders()[0], setup_.duration_s, wider);
        fmt::print("| {} | {:.0f} | {:.0f} | {} | {:.2f} | {:.2f} | {:+.2f} | {:.0f} % |\n", name_,
                   inner_ * wide_.grid.dx, cut.farm.grid.rows * wide_.grid.dx, edges, e.rms, e.most, e.bias,
                   100 * from_edge);
        std::fflush(stdout);
    }

    std::string name_;
    Ground wide_;
    NightSetup setup_;
    Field<float> truth_;
    std::int32_t inner_ = 0;
};

std::vector<std::int32_t> numbers(const std::string& text) {
    std::vector<std::int32_t> all;
    std::istringstream in(text);
    for (std::string one; std::getline(in, one, ',');) all.push_back(std::atoi(one.c_str()));
    return all;
}

}  // namespace
}  // namespace lielow::test

int main(int argc, char** argv) {
    using namespace lielow::test;
    const bool hills = argc > 2 && std::string(argv[2]) == "hills";
    const int next = hills ? 3 : 6;  // HOURS
    if (argc < next + 3) {
        fmt::print("nest_study NAME hills|FILE ROWS COLS CELL_M HOURS RATIOS SHARE ...\n");
        return 2;
    }
    const Study study(argv[1],
                      hills ? hill_ground(144, 144, 15)
                            : read_raw(argv[2], std::atoi(argv[3]), std::atoi(argv[4]), std::atof(argv[5])),
                      std::atof(argv[next]));
    for (int n = next + 2; n < argc; ++n) study.farm(std::atof(argv[n]), numbers(argv[next + 1]));
}
