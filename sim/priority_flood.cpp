// SPDX-License-Identifier: Apache-2.0
#include "sim/priority_flood.hpp"

#include <cmath>
#include <functional>
#include <queue>
#include <utility>
#include <vector>

#include "sim/neighbours.hpp"

namespace lielow {
namespace {

using Open = std::priority_queue<std::pair<float, std::size_t>, std::vector<std::pair<float, std::size_t>>,
                                 std::greater<>>;

bool drains_outside(const Field<float>& z, std::size_t cell) {
    int beside = 0;
    for_each_neighbour(cell, z.rows(), z.cols(), [&](std::size_t n) { beside += std::isnan(z[n]) ? 0 : 1; });
    return beside < 8;
}

}  // namespace

Field<float> priority_flood(const Field<float>& z) {
    Field<float> water = z.clone();
    Field<std::uint8_t> closed(z.rows(), z.cols(), 0);
    Open open;
    std::queue<std::size_t> pit;
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        if (std::isnan(z[cell])) {
            closed[cell] = 1;
        } else if (drains_outside(z, cell)) {
            closed[cell] = 1;
            open.emplace(z[cell], cell);
        }
    }
    while (!open.empty() || !pit.empty()) {
        std::size_t cell = 0;
        if (pit.empty()) {
            cell = open.top().second;
            open.pop();
        } else {
            cell = pit.front();
            pit.pop();
        }
        for_each_neighbour(cell, z.rows(), z.cols(), [&](std::size_t n) {
            if (closed[n] != 0) return;
            closed[n] = 1;
            if (z[n] <= water[cell]) {
                water[n] = water[cell];
                pit.push(n);
            } else {
                open.emplace(z[n], n);
            }
        });
    }
    return water;
}

}  // namespace lielow
