// SPDX-License-Identifier: Apache-2.0
// Storage for a quantity of every sheet on a grid with a rim of ghost cells.
//
// Layout [row][sheet][column]: all sheets of a row lie together, so that a sweep down the rows keeps what a
// column needs in cache while its inner loops run along columns. Column 0 of every row and sheet lies on a
// 64-byte boundary.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <new>
#include <span>

namespace lielow {

template <class Real>
class SheetArray {
  public:
    static constexpr std::int32_t rim = 3;        ///< ghost rows and columns on each side
    static constexpr std::size_t alignment = 64;  ///< bytes

    SheetArray() = default;
    /// Zero-filled. Faces and cells use the same shape: the last face column or row lies in the rim.
    SheetArray(std::int32_t rows, std::int32_t cols, std::int32_t sheets)
        : stride_(padded(cols)),
          row_stride_(stride_ * sheets),
          sheets_(sheets),
          size_(static_cast<std::size_t>(row_stride_) * static_cast<std::size_t>(rows + 2 * rim)) {
        data_.reset(static_cast<Real*>(::operator new[](size_ * sizeof(Real), std::align_val_t{alignment})));
        std::fill_n(data_.get(), size_, Real(0));
    }

    [[nodiscard]] int sheets() const { return sheets_; }
    /// Everything that is stored, rims and padding too.
    [[nodiscard]] std::span<Real> all() { return {data_.get(), size_}; }
    /// Rows first … first + count − 1 with their padding, as they lie in memory.
    [[nodiscard]] std::span<Real> whole_rows(std::int32_t first, std::int32_t count) {
        return {data_.get() + (first + rim) * row_stride_, static_cast<std::size_t>(count * row_stride_)};
    }
    /// Distance in elements between neighbouring sheets of a row.
    [[nodiscard]] std::ptrdiff_t stride() const { return stride_; }
    /// Distance in elements between neighbouring rows.
    [[nodiscard]] std::ptrdiff_t row_stride() const { return row_stride_; }
    /// Elements before column 0 that belong to the row.
    [[nodiscard]] static constexpr std::ptrdiff_t lead() {
        return static_cast<std::ptrdiff_t>(alignment / sizeof(Real));
    }

    /// Column 0 of sheet k (0 = top) in a row; row from -rim to rows + rim - 1, columns from -rim to cols +
    /// rim - 1.
    Real* row(std::int32_t row, std::int32_t sheet = 0) { return data_.get() + offset(row, sheet); }
    const Real* row(std::int32_t row, std::int32_t sheet = 0) const {
        return data_.get() + offset(row, sheet);
    }

    [[nodiscard]] static std::ptrdiff_t padded(std::int32_t cols) {
        const std::ptrdiff_t unit = lead();
        return ((lead() + cols + rim + unit - 1) / unit) * unit;
    }

  private:
    [[nodiscard]] std::ptrdiff_t offset(std::int32_t row, std::int32_t sheet) const {
        return (row + rim) * row_stride_ + sheet * stride_ + lead();
    }
    struct Release {
        void operator()(Real* p) const { ::operator delete[](p, std::align_val_t{alignment}); }
    };
    std::ptrdiff_t stride_ = 0;
    std::ptrdiff_t row_stride_ = 0;
    std::int32_t sheets_ = 0;
    std::size_t size_ = 0;
    std::unique_ptr<Real[], Release> data_;
};

}  // namespace lielow
