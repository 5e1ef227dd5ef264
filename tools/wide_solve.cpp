// SPDX-License-Identifier: Apache-2.0
#include "tools/wide_solve.hpp"

#include <fmt/format.h>
#include <malloc.h>

#include <memory>
#include <utility>

#include "io/row_store.hpp"
#include "sim/errors.hpp"
#include "tools/wide_memory.hpp"

namespace lielow {
namespace {

Field<float> rows_of(const Field<float>& whole, std::int32_t first, std::int32_t rows) {
    Field<float> part(rows, whole.cols());
    std::copy_n(whole.row(first).begin(), part.size(), part.data());
    return part;
}

SolvedNight solve_in_one_piece(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                               const NightProgress& progress) {
    auto night =
        std::make_shared<NightResult>(run_night(std::move(cells), settings, plan, nullptr, progress));
    night->states.clear();
    SolvedNight solved{night->scale, std::move(night->ground), night->ladder_full_share, {}};
    solved.coldest = [night](std::int32_t first, std::int32_t rows) {
        ColdestRows part;
        for (const Field<float>& height : night->coldest_height)
            part.height.push_back(rows_of(height, first, rows));
        part.gradient = rows_of(night->coldest_gradient, first, rows);
        return part;
    };
    return solved;
}

/// A night by windows and where its cells lie.
struct WindowsOnDisk {
    explicit WindowsOnDisk(const std::filesystem::path& scratch) : store(scratch) {}
    FileRowStore store;
    WindowedNight night;
};

SolvedNight solve_by_windows(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                             const WindowPlan& windows, const std::filesystem::path& scratch,
                             const NightProgress& progress) {
    // Every window makes its arrays anew. glibc learns to keep freed ones up to 32 MB, in pieces that later
    // ones don't always fit into; from a MB on they shall go back to the system.
    mallopt(M_MMAP_THRESHOLD, 1 << 20);
    auto kept = std::make_shared<WindowsOnDisk>(scratch);
    kept->night =
        run_night_by_windows(std::move(cells), settings, plan, windows, kept->store, nullptr, progress);
    WindowedNight& night = kept->night;
    SolvedNight solved{night.scale, std::move(night.ground), night.ladder_full_share, {}};
    solved.coldest = [kept](std::int32_t first, std::int32_t rows) {
        return coldest_rows(kept->night, kept->store, first, rows);
    };
    return solved;
}

/// Windows within `memory` bytes; nothing where that is too little.
std::optional<WindowPlan> windows_within(const NightSetup& settings, const NightPlan& plan,
                                         std::uint64_t memory) {
    const std::uint64_t own = night_bytes_besides_windows(plan);
    if (memory <= own) return std::nullopt;
    try {
        return plan_windows(settings, plan, memory - own);
    } catch (const InputError&) {
        return std::nullopt;
    }
}

/// The least memory, in MB, that is enough for windows.
std::uint64_t least_megabytes(const NightSetup& settings, const NightPlan& plan) {
    std::uint64_t too_little = 0;
    std::uint64_t enough = night_bytes(plan) / 1'000'000 + 1;  // is offered where no window takes less
    while (enough - too_little > 1) {
        const std::uint64_t middle = (too_little + enough) / 2;
        (windows_within(settings, plan, middle * 1'000'000) ? enough : too_little) = middle;
    }
    return enough;
}

}  // namespace

NightFit fit_night(const NightSetup& settings, const NightPlan& plan, std::uint64_t memory) {
    const auto sheets = static_cast<std::uint64_t>(plan.sheets);
    if (night_bytes(plan) <= memory)
        return {std::nullopt, plan.grid.cells() * (sizeof(double) + sizeof(float) * (sheets + 2))};
    const auto windows = windows_within(settings, plan, memory);
    if (windows) return {windows, plan.grid.cells() * sizeof(double)};
    throw InputError(fmt::format(
        "--memory is too little for a night on {} by {} cells of {:.4g} m with {} sheets of air; give at "
        "least {} MB, or a larger night.cell",
        plan.grid.rows, plan.grid.cols, plan.grid.dx, plan.sheets, least_megabytes(settings, plan)));
}

SolvedNight solve_night(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                        const NightFit& fit, const std::filesystem::path& scratch,
                        const NightProgress& progress) {
    if (!fit.windows) return solve_in_one_piece(std::move(cells), settings, plan, progress);
    return solve_by_windows(std::move(cells), settings, plan, *fit.windows, scratch, progress);
}

}  // namespace lielow
