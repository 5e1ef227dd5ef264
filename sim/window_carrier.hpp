// SPDX-License-Identifier: Apache-2.0
// Carries a window's rows between a night and the store that holds all rows (private to sim/).
#pragma once

#include <array>
#include <vector>

#include "sim/night_windows.hpp"
#include "sim/state_walk.hpp"

namespace lielow {

/// Rows of a night's grid that are run together.
struct NightWindow {
    RowSpan held;  ///< those beside the cuts too
    RowSpan own;
};

/// Which slots hold what. A quantity is whatever a walk visits, numbered in its order; it has two slots, one
/// of which holds it at the block's beginning and the other at its end.
class SlotTable {
  public:
    SlotTable(WindowStore& store, std::int32_t rows) : store_(store), rows_(rows) {}

    /// Whether a block that has been done wrote those quantities.
    [[nodiscard]] bool holds(bool seldom) const { return blocks_[part(seldom)] > 0; }
    [[nodiscard]] int slot_before(int quantity, bool seldom) const { return 2 * quantity + parity(seldom); }
    [[nodiscard]] int slot_after(int quantity, bool seldom) const {
        return 2 * quantity + 1 - parity(seldom);
    }
    /// The slot to write to, laid out.
    int slot_for(int quantity, bool seldom, std::int32_t more_rows, std::size_t row_values);
    /// A block has been done; what changes seldom was written in it or not.
    void turn(bool with_seldom);
    [[nodiscard]] WindowStore& store() const { return store_; }
    [[nodiscard]] std::int32_t rows() const { return rows_; }

    int first_seldom = 0;  ///< number of the first quantity that changes seldom

  private:
    static std::size_t part(bool seldom) { return seldom ? 1 : 0; }
    [[nodiscard]] int parity(bool seldom) const { return static_cast<int>(blocks_[part(seldom)] % 2); }
    WindowStore& store_;
    std::int32_t rows_;
    std::array<std::int64_t, 2> blocks_{};
    std::vector<std::uint8_t> laid_out_;  ///< of every slot
};

enum class Carry : std::uint8_t { in, out };

/// `in`: the held rows as they are at the block's beginning; `out`: its own rows at its end.
class WindowCarrier final : public CellCarrier {
  public:
    WindowCarrier(SlotTable& slots, const NightWindow& window, Carry way, bool with_seldom)
        : slots_(slots), window_(window), way_(way), with_seldom_(with_seldom) {}
    void plane(Field<float>& values) override;
    void sheets(SheetArray<float>& values) override;
    void begin_seldom() override;
    void end_seldom() override { in_seldom_ = false; }

  private:
    [[nodiscard]] bool passes_over() const;
    SlotTable& slots_;
    NightWindow window_;
    Carry way_;
    bool with_seldom_;
    bool in_seldom_ = false;
    int quantity_ = 0;
};

}  // namespace lielow
