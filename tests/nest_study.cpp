// SPDX-License-Identifier: Apache-2.0
// How far a too small ground errs, and what nesting it mends: the tables of docs/verification.md.
//
// nest_study hills HOURS            on invented hills
// nest_study FILE ROWS COLS CELL_M HOURS   on float32 elevations, row by row, first row north
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>

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

void say(const std::string& name, std::int32_t cells, const FieldError& e, double seconds_share) {
    fmt::print("| {} | {} | {:.2f} | {:.2f} | {:+.2f} | {:.2f} |\n", cells, name, e.rms, e.most, e.bias,
               seconds_share);
    std::fflush(stdout);
}

void study(const Ground& wide, double hours) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.reference_elevation_m = 250;
    s.cell_m = wide.grid.dx;
    const NightPlan whole = plan_night(wide, s);
    const NightResult night = run_night(wide, s, whole);
    const Field<float> truth = coldest(wide, s, night);
    const std::int32_t inner = wide.grid.rows / 8 / 4 * 4;
    fmt::print("{} x {} cells of {} m, {} h, fields {} cells square in the middle\n", wide.grid.rows,
               wide.grid.cols, wide.grid.dx, hours, inner);
    fmt::print(
        "| ground, cells | edges | rms, K | most, K | bias, K | edges' heat share |\n| --- | --- | --- | --- "
        "| --- | --- |\n");
    for (const double share : {0.75, 0.5, 0.25, 0.17}) {
        const Cutout cut = cut_out(wide, static_cast<std::int32_t>(share * wide.grid.rows) / 4 * 4, 4);
        const NightPlan plan = plan_night(cut.farm, s);
        for (const EdgeKind kind : {EdgeKind::far_field, EdgeKind::open, EdgeKind::wall}) {
            NightSetup alone = s;
            alone.edges = kind;
            const NightResult r = run_night(cut.farm, alone, plan);
            say(kind == EdgeKind::far_field ? "far field"
                : kind == EdgeKind::open    ? "open"
                                            : "wall",
                cut.farm.grid.rows, inner_error(truth, coldest(cut.farm, s, r), cut.first, inner),
                r.heat_through_edges_k_m3 / r.heat_lost_k_m3);
        }
        for (const std::int32_t ratio : {1, 2, 4}) {
            const Surround surround = surround_of(wide, cut, ratio);
            NightSetup outer = s;
            outer.cell_m = ratio * wide.grid.dx;
            outer.sheets = plan.sheets;
            outer.sheet_step_k = plan.sheet_step_k;
            const NightPlan around = plan_night(surround.ground, outer);
            const NestedNight nested = run_nested_night(cut.farm, surround, s, plan, around);
            say(fmt::format("nested, {}x cells", ratio), cut.farm.grid.rows,
                inner_error(truth, coldest(cut.farm, s, nested.farm), cut.first, inner),
                nested.farm.heat_through_edges_k_m3 / nested.farm.heat_lost_k_m3);
            // The outer night alone, read over the farm's ground.
            if (ratio > 1 && share == 0.5) {
                NightSetup only = s;
                only.cell_m = ratio * wide.grid.dx;
                const NightResult r = run_night(wide, only, plan_night(wide, only));
                say(fmt::format("whole, {}x cells", ratio), wide.grid.rows,
                    inner_error(truth, coldest(wide, s, r), 0, inner), 0);
            }
        }
    }
}

}  // namespace
}  // namespace lielow::test

int main(int argc, char** argv) {
    using namespace lielow::test;
    if (argc == 3) {
        study(hill_ground(144, 144, 15), std::atof(argv[2]));
    } else if (argc == 6) {
        study(read_raw(argv[1], std::atoi(argv[2]), std::atoi(argv[3]), std::atof(argv[4])),
              std::atof(argv[5]));
    } else {
        fmt::print("nest_study hills HOURS | FILE ROWS COLS CELL_M HOURS\n");
        return 2;
    }
}
