// SPDX-License-Identifier: Apache-2.0
#include "sim/window_carrier.hpp"

#include <algorithm>
#include <limits>

namespace lielow {

void MemoryStore::lay_out(int slot, std::int32_t rows, std::size_t row_values) {
    slots_[slot] = {row_values, std::vector<float>(static_cast<std::size_t>(rows) * row_values,
                                                   std::numeric_limits<float>::quiet_NaN())};
}

void MemoryStore::write(int slot, std::int32_t first_row, std::span<const float> values) {
    Slot& to = slots_.at(slot);
    std::copy(values.begin(), values.end(),
              to.values.begin() + static_cast<std::ptrdiff_t>(first_row * to.row_values));
}

void MemoryStore::read(int slot, std::int32_t first_row, std::span<float> values) {
    const Slot& from = slots_.at(slot);
    std::copy_n(from.values.begin() + static_cast<std::ptrdiff_t>(first_row * from.row_values), values.size(),
                values.begin());
}

int SlotTable::slot_for(int quantity, bool seldom, std::int32_t more_rows, std::size_t row_values) {
    const int slot = slot_after(quantity, seldom);
    const auto n = static_cast<std::size_t>(slot);
    if (laid_out_.size() <= n) laid_out_.resize(n + 1, 0);
    if (laid_out_[n] == 0) store_.lay_out(slot, rows_ + more_rows, row_values);
    laid_out_[n] = 1;
    return slot;
}

void SlotTable::turn(bool with_seldom) {
    ++blocks_[0];
    if (with_seldom) ++blocks_[1];
}

bool WindowCarrier::passes_over() const {
    return (in_seldom_ && !with_seldom_) || (way_ == Carry::in && !slots_.holds(in_seldom_));
}

void WindowCarrier::begin_seldom() {
    in_seldom_ = true;
    slots_.first_seldom = quantity_;
}

void WindowCarrier::plane(Field<float>& values) {
    if (values.empty()) return;
    const int quantity = quantity_++;
    if (passes_over()) return;
    const auto cols = static_cast<std::size_t>(values.cols());
    if (way_ == Carry::in) {
        slots_.store().read(slots_.slot_before(quantity, in_seldom_), window_.held.first, values.all());
        return;
    }
    const auto skipped = static_cast<std::size_t>(window_.own.first - window_.held.first) * cols;
    slots_.store().write(slots_.slot_for(quantity, in_seldom_, 0, cols), window_.own.first,
                         values.all().subspan(skipped, static_cast<std::size_t>(window_.own.rows()) * cols));
}

/// With one row more than cells have: the last row of y faces.
void WindowCarrier::sheets(SheetArray<float>& values) {
    const int quantity = quantity_++;
    if (passes_over()) return;
    if (way_ == Carry::in) {
        slots_.store().read(slots_.slot_before(quantity, in_seldom_), window_.held.first,
                            values.whole_rows(0, window_.held.rows() + 1));
        return;
    }
    const std::int32_t rows = window_.own.rows() + (window_.own.last == slots_.rows() ? 1 : 0);
    slots_.store().write(
        slots_.slot_for(quantity, in_seldom_, 1, static_cast<std::size_t>(values.row_stride())),
        window_.own.first, values.whole_rows(window_.own.first - window_.held.first, rows));
}

}  // namespace lielow
