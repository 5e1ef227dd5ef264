// SPDX-License-Identifier: Apache-2.0
// A finished raster read back for the report, thinned where it is large.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/raster.hpp"
#include "sim/grid.hpp"

namespace lielow {

struct ResultGrid {
    Field<float> values;  ///< NaN where there is none; of a class raster the class
    BandLabel label;
    std::vector<RasterClass> classes;  ///< empty but for a class raster
    float least = 0;                   ///< of all cells, thinned out or not; NaN where none has a value
    float greatest = 0;
};

/// Every how many rows and columns a raster is read so that no more than `most_cells` remain; 1 = all.
std::int32_t thinning(std::int32_t rows, std::int32_t cols, std::size_t most_cells);

/// What write_raster() or write_class_raster() wrote. Of each block of `every` × `every` cells (the last ones
/// may be cut) the middle cell is kept, as it is. Nothing where there is no such file. Throws RunError when
/// it can't be read.
std::optional<ResultGrid> read_result_grid(const std::filesystem::path& path, std::int32_t every);

/// The same, thinned so that no more than `most_cells` remain.
std::optional<ResultGrid> read_result_grid_within(const std::filesystem::path& path, std::size_t most_cells);

/// The same choice of cells from a raster in memory.
template <class T>
Field<T> thinned(const Field<T>& all, std::int32_t every) {
    const auto kept = [every](std::int32_t n) { return (n + every - 1) / every; };
    const auto middle = [every](std::int32_t i, std::int32_t n) {
        return std::min(i * every + every / 2, n - 1);
    };
    Field<T> few(kept(all.rows()), kept(all.cols()));
    for (std::int32_t j = 0; j < few.rows(); ++j) {
        for (std::int32_t i = 0; i < few.cols(); ++i)
            few(j, i) = all(middle(j, all.rows()), middle(i, all.cols()));
    }
    return few;
}

}  // namespace lielow
