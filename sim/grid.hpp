// SPDX-License-Identifier: Apache-2.0
// A regular grid and a plain two-dimensional array on it.
//
// Conventions used everywhere in sim/: row 0 is the first row of the raster (north in a north-up raster),
// column 0 its first column (west); x runs along columns, y along rows, so y grows *down* the raster
// (southward). Lengths are metres. A value that isn't known is NaN.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>

namespace lielow {

/// Shape and cell size; holds no data and no place on the Earth (io/georef.hpp has that).
struct Grid {
    std::int32_t rows = 0;
    std::int32_t cols = 0;
    double dx = 1.0;  ///< cell size along a row, m, > 0
    double dy = 1.0;  ///< cell size down a column, m, > 0

    [[nodiscard]] std::size_t cells() const {
        return static_cast<std::size_t>(rows) * static_cast<std::size_t>(cols);
    }
    [[nodiscard]] double cell_area() const { return dx * dy; }
    [[nodiscard]] std::size_t index(std::int32_t row, std::int32_t col) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(cols) + static_cast<std::size_t>(col);
    }
    [[nodiscard]] bool contains(std::int32_t row, std::int32_t col) const {
        return row >= 0 && row < rows && col >= 0 && col < cols;
    }
    bool operator==(const Grid&) const = default;
};

/// Rows first … last − 1.
struct RowSpan {
    std::int32_t first = 0;
    std::int32_t last = 0;

    [[nodiscard]] std::int32_t rows() const { return last - first; }
    [[nodiscard]] bool contains(std::int32_t row) const { return row >= first && row < last; }
    bool operator==(const RowSpan&) const = default;
};

/// Row-major array, rows × cols, owning, movable; copying is explicit through clone() because rasters are
/// large.
template <class T>
class Field {
  public:
    Field() = default;
    /// Leaves the values uninitialised.
    Field(std::int32_t rows, std::int32_t cols)
        : rows_(rows),
          cols_(cols),
          data_(std::make_unique_for_overwrite<T[]>(static_cast<std::size_t>(rows) *
                                                    static_cast<std::size_t>(cols))) {}
    Field(std::int32_t rows, std::int32_t cols, T value) : Field(rows, cols) {
        std::fill_n(data_.get(), size(), value);
    }

    [[nodiscard]] Field clone() const {
        Field copy(rows_, cols_);
        std::copy_n(data_.get(), size(), copy.data_.get());
        return copy;
    }

    [[nodiscard]] std::int32_t rows() const { return rows_; }
    [[nodiscard]] std::int32_t cols() const { return cols_; }
    [[nodiscard]] std::size_t size() const {
        return static_cast<std::size_t>(rows_) * static_cast<std::size_t>(cols_);
    }
    [[nodiscard]] bool empty() const { return size() == 0; }

    T& operator()(std::int32_t row, std::int32_t col) { return data_[offset(row, col)]; }
    const T& operator()(std::int32_t row, std::int32_t col) const { return data_[offset(row, col)]; }
    T& operator[](std::size_t cell) { return data_[cell]; }
    const T& operator[](std::size_t cell) const { return data_[cell]; }

    T* data() { return data_.get(); }
    const T* data() const { return data_.get(); }
    std::span<T> row(std::int32_t r) { return {data_.get() + offset(r, 0), static_cast<std::size_t>(cols_)}; }
    std::span<const T> row(std::int32_t r) const {
        return {data_.get() + offset(r, 0), static_cast<std::size_t>(cols_)};
    }
    std::span<T> all() { return {data_.get(), size()}; }
    std::span<const T> all() const { return {data_.get(), size()}; }

  private:
    [[nodiscard]] std::size_t offset(std::int32_t row, std::int32_t col) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(cols_) +
               static_cast<std::size_t>(col);
    }
    std::int32_t rows_ = 0;
    std::int32_t cols_ = 0;
    std::unique_ptr<T[]> data_;
};

}  // namespace lielow
