// SPDX-License-Identifier: Apache-2.0
// A frost night on more cells than memory holds: window after window, the same bits as the whole grid would
// give for the same steps.
//
// The flow's step is explicit: what a cell holds afterwards hangs on the cell and on those beside it. So a
// window of whole rows with n + 1 more rows on either side can be moved on by n steps and is then right in
// its own rows, whatever happens beyond: each step leaves one row more beside a cut behind. A block of steps
// is done for one window after the other; all read the state at the block's beginning and write that at its
// end elsewhere, so no window sees what another has done. All steps of a block are agreed on beforehand for
// all windows; if one of them turns out longer than the flow let it be, the block is done again with steps
// half as long.
//
// What must be held: one window's state, and a few planes of the whole grid (elevations, loss factor, shelter
// from the wind, what stands on the ground). docs/tiles.md tells how much.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <utility>
#include <vector>

#include "sim/night.hpp"

namespace lielow {

/// Where a night's state lies between blocks: numbered slots, each a table of rows of floats. Throws RunError
/// when it can't be kept. No slot is read where it hasn't been written.
class WindowStore {
  public:
    virtual ~WindowStore() = default;
    /// Before a slot is first used in a night: it has `rows` rows of `row_values` floats. What it held before
    /// is of no use any more.
    virtual void lay_out(int slot, std::int32_t rows, std::size_t row_values) = 0;
    /// Whole rows, from `first_row` on.
    virtual void write(int slot, std::int32_t first_row, std::span<const float> values) = 0;
    virtual void read(int slot, std::int32_t first_row, std::span<float> values) = 0;
};

/// In memory: for tests. Not-a-number where nothing was written.
class MemoryStore final : public WindowStore {
  public:
    void lay_out(int slot, std::int32_t rows, std::size_t row_values) override;
    void write(int slot, std::int32_t first_row, std::span<const float> values) override;
    void read(int slot, std::int32_t first_row, std::span<float> values) override;

  private:
    struct Slot {
        std::size_t row_values = 0;
        std::vector<float> values;
    };
    std::map<int, Slot> slots_;
};

/// How a night is cut.
struct WindowPlan {
    std::int32_t rows = 0;   ///< of a window, those beside its cuts left out; the last one may have fewer
    std::int32_t steps = 0;  ///< most of a block
    std::uint64_t memory_bytes = 0;  ///< what the night then holds at most, the caller's own left out
    std::uint64_t store_bytes = 0;   ///< what its store comes to hold
};

/// Steps of a block unless memory is too small for it. The night's steps hang on this and not on the rows, so
/// as long as it can be kept the memory changes no bit.
inline constexpr std::int32_t usual_block_steps = 24;

/// Throws InputError when a night's settings don't allow windows.
void judge_windows(const NightSetup& settings);
/// The fewest windows that `memory_bytes` are enough for. Throws InputError when a night's settings don't
/// allow windows or memory is too small.
WindowPlan plan_windows(const NightSetup& settings, const NightPlan& plan, std::uint64_t memory_bytes);

/// A night's sums; its cells lie in the store.
struct WindowedNight : NightHeat {
    NightPlan plan;
    ColumnScale scale;
    Field<double> ground;                  ///< as NightResult::ground
    std::vector<double> far_field_height;  ///< these as in NightResult
    double far_ground_m = 0;
    double ladder_full_share = 0;
    std::vector<double> step_ends;  ///< s after sunset
    std::int64_t blocks = 0;
    std::int64_t blocks_again = 0;   ///< of which were done again
    std::vector<int> coldest_slots;  ///< see coldest_rows: a sheet each, then gradient and time
    [[nodiscard]] std::int64_t steps() const { return static_cast<std::int64_t>(step_ends.size()); }
};

/// run_night over `cells` (m, finite; `plan.blocks` 1 × 1, fields of `settings` and `surface` on these cells)
/// with its state in `store`. No states are kept on the way. First-order scheme, no night around.
WindowedNight run_night_by_windows(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                                   const WindowPlan& windows, WindowStore& store,
                                   const NightSurface* surface = nullptr, const NightProgress& progress = {});

/// Some rows of a night at its cells' coldest, as NightResult has them of all.
struct ColdestRows {
    std::vector<Field<float>> height;  ///< per sheet, m above the ground
    Field<float> gradient;             ///< K/m
    Field<float> time_s;
};
ColdestRows coldest_rows(const WindowedNight& night, WindowStore& store, std::int32_t first_row,
                         std::int32_t rows);

}  // namespace lielow
