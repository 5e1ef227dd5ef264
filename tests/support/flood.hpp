// SPDX-License-Identifier: Apache-2.0
// Filled ground by the catchment method, and ground of every kind to try it on.
#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "sim/hollows.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow::test {

inline Field<float> filled(const Field<float>& z, const Catchments& catchments, const Hollows& hollows) {
    Field<float> out = z.clone();
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        if (c >= 0) out[cell] = std::max(z[cell], hollows.level_of_catchment[static_cast<std::size_t>(c)]);
    }
    return out;
}

inline Field<float> filled(const Field<float>& z) {
    const Catchments catchments = find_catchments(grid_over(z), z);
    return filled(z, catchments, find_hollows(grid_over(z), z, catchments));
}

struct NamedGround {
    std::string name;
    Field<float> z;
};

/// Ground smooth and rough, with and without ties and holes, of awkward shapes too.
inline std::vector<NamedGround> ground_of_every_kind() {
    std::vector<NamedGround> all;
    const auto add = [&](std::string name, Field<float> z) {
        all.push_back({std::move(name), std::move(z)});
    };
    add("noise, large enough for every loop to be shared among threads", noise(700, 650, 14));
    add("noise", noise(301, 257, 1));
    add("fractal", fractal(400, 333, 2));
    add("rough fractal", fractal(256, 300, 3, 20.0F, 0.4));
    Field<float> coarse = fractal(320, 310, 4);
    quantise(coarse, 1.0F);
    add("fractal in steps of 1 m", coarse.clone());
    punch(coarse, 0.02, 5);
    add("fractal in steps with holes", coarse.clone());
    Field<float> few = noise(200, 220, 6, 4.0F);
    quantise(few, 1.0F);
    add("noise of four values", few.clone());
    punch(few, 0.3, 7);
    add("noise of four values, a third missing", few.clone());
    Field<float> below_zero = noise(120, 130, 8, 4.0F);
    for (float& value : below_zero.all()) value = std::floor(value) - 2.0F;
    add("around zero, negative too", below_zero.clone());
    add("flat", Field<float>(90, 80, 3.0F));
    add("bowl", bowl(101, 99, 100.0, 10.0));
    add("plane", plane(130, 140, 200.0, 0.01, 0.1));
    add("wide", noise(3, 70000, 9));
    add("tall", noise(70000, 3, 10));
    add("one row", noise(1, 500, 11));
    add("one column", noise(500, 1, 12));
    add("two columns", noise(500, 2, 13));
    add("one cell", Field<float>(1, 1, 5.0F));
    add("nothing", Field<float>(20, 20, kNaN));
    return all;
}

}  // namespace lielow::test
