// SPDX-License-Identifier: Apache-2.0
// Which hollow takes the next drop of water. Inner part of storm_fill.cpp and filling_rain.cpp.
#pragma once

#include <cstdint>
#include <numeric>
#include <vector>

#include "sim/nested_hollows.hpp"

namespace lielow {

/// A full hollow runs over into its neighbour; once that is full too, water goes to what both are within; a
/// full hollow that is within nothing runs over onto ground that drains (Barnes, Callaghan & Wickert 2021,
/// Earth Surf. Dynam. 9:105-121, doi 10.5194/esurf-9-105-2021). Following this always ends: each step leads
/// into a hollow that still has room, to one that holds more, or to one that drains at a lower level.
class FillRoute {
  public:
    static constexpr std::int32_t off_ground = -1;

    explicit FillRoute(const NestedHollows& hollows)
        : hollows_(hollows), full_(hollows.list.size(), 0), outermost_(hollows.list.size()) {
        std::iota(outermost_.begin(), outermost_.end(), 0);
    }

    [[nodiscard]] bool full(std::int32_t hollow) const {
        return full_[static_cast<std::size_t>(hollow)] != 0;
    }

    void set_full(std::int32_t hollow) {
        full_[static_cast<std::size_t>(hollow)] = 1;
        const std::int32_t within = at(hollow).within;
        if (within < 0 || !full(hollows_.neighbour(hollow))) return;
        for (const std::int32_t part : at(within).parts) outermost_[static_cast<std::size_t>(part)] = within;
    }

    /// The outermost hollow whose parts are all full (or that has none) around a hollow or a catchment.
    std::int32_t around(std::int32_t hollow) {
        while (outermost_[static_cast<std::size_t>(hollow)] != hollow) {
            std::int32_t& out = outermost_[static_cast<std::size_t>(hollow)];
            out = outermost_[static_cast<std::size_t>(out)];
            hollow = out;
        }
        return hollow;
    }

    /// Where water that arrives in a hollow stays: a hollow that isn't full, or off_ground.
    std::int32_t end_of(std::int32_t hollow) {
        hollow = around(hollow);
        while (full(hollow)) {
            const std::int32_t to = at(hollow).spills_to;
            if (to < 0) return off_ground;
            hollow = around(to);
        }
        return hollow;
    }

  private:
    [[nodiscard]] const NestedHollow& at(std::int32_t hollow) const {
        return hollows_.list[static_cast<std::size_t>(hollow)];
    }
    const NestedHollows& hollows_;
    std::vector<std::uint8_t> full_;
    std::vector<std::int32_t> outermost_;
};

}  // namespace lielow
