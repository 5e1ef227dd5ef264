// SPDX-License-Identifier: Apache-2.0
#include "sim/siting.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();
constexpr std::uint32_t all_unknown = (1U << (2 * siting_factors)) - 1;  // class 3 in every place

static_assert(static_cast<unsigned>(SitingClass::unknown) == 3 && 2 * siting_factors < 32);

std::uint32_t with_state(std::uint32_t states, SitingFactor factor, SitingClass now) {
    const unsigned at = 2 * static_cast<unsigned>(factor);
    return (states & ~(3U << at)) | (static_cast<std::uint32_t>(now) << at);
}

SitingClass state_of(std::uint32_t states, std::size_t factor) {
    return static_cast<SitingClass>((states >> (2 * factor)) & 3U);
}

/// The worse of two, unknown being the least that can be said.
SitingClass worse_known(SitingClass a, SitingClass b) {
    if (a == SitingClass::unknown) return b;
    if (b == SitingClass::unknown) return a;
    return std::max(a, b);
}

std::size_t partner_of(std::size_t factor) {
    constexpr auto days = static_cast<std::size_t>(SitingFactor::days_wet);
    constexpr auto soil = static_cast<std::size_t>(SitingFactor::soil_wetness);
    if (factor == days) return soil;
    return factor == soil ? days : factor;
}

bool lacks(std::uint32_t states, std::size_t factor) {
    return state_of(states, factor) == SitingClass::unknown &&
           state_of(states, partner_of(factor)) == SitingClass::unknown;
}

struct Verdict {
    SitingClass siting;
    std::uint8_t reason;
};

Verdict verdict_of(std::uint32_t states, const FactorSet& necessary) {
    const auto first = [&](auto holds) {
        for (std::size_t f = 0; f < siting_factors; ++f) {
            if (holds(f)) return static_cast<std::uint8_t>(f + 1);
        }
        return no_reason;
    };
    const auto with = [&](SitingClass c) {
        return first([&](std::size_t f) { return state_of(states, f) == c; });
    };
    if (const auto reason = with(SitingClass::not_here); reason != no_reason)
        return {SitingClass::not_here, reason};
    const auto untested = first([&](std::size_t f) { return necessary[f] && lacks(states, f); });
    if (untested != no_reason) return {SitingClass::unknown, untested};
    if (const auto reason = with(SitingClass::with_work); reason != no_reason)
        return {SitingClass::with_work, reason};
    if (with(SitingClass::plant) == no_reason) return {SitingClass::unknown, no_reason};
    return {SitingClass::plant, no_reason};
}

}  // namespace

bool in_order(const SitingLimits& limits) {
    return limits.work_from <= limits.plant_from && limits.plant_from <= limits.plant_to &&
           limits.plant_to <= limits.work_to;
}

SitingClass siting_class(const SitingLimits& limits, double value) {
    if (std::isnan(value)) return SitingClass::unknown;
    // Layers are single precision: a pH of 5.6 kept there is no less than a limit of 5.6.
    const auto v = static_cast<float>(value);
    const auto within = [v](double from, double to) {
        return v >= static_cast<float>(from) && v <= static_cast<float>(to);
    };
    if (within(limits.plant_from, limits.plant_to)) return SitingClass::plant;
    if (within(limits.work_from, limits.work_to)) return SitingClass::with_work;
    return SitingClass::not_here;
}

Siting judge_siting(const Grid& grid, const Field<std::uint8_t>& known,
                    const std::vector<SitingEvidence>& evidence, const SitingRule& rule) {
    Siting result{Field<std::uint8_t>(grid.rows, grid.cols), Field<std::uint8_t>(grid.rows, grid.cols),
                  Field<std::uint32_t>(grid.rows, grid.cols, all_unknown)};
    const auto cells = static_cast<std::int64_t>(grid.cells());
#pragma omp parallel for schedule(static)
    for (std::int64_t i = 0; i < cells; ++i) {
        const auto cell = static_cast<std::size_t>(i);
        if (known[cell] == 0) {
            result.siting[cell] = result.reason[cell] = static_cast<std::uint8_t>(SitingClass::no_ground);
            continue;
        }
        std::uint32_t states = all_unknown;
        for (const SitingEvidence& e : evidence) {
            const SitingClass before = state_of(states, static_cast<std::size_t>(e.factor));
            states = with_state(states, e.factor, worse_known(before, siting_class(e.limits, e.value(cell))));
        }
        const Verdict verdict = verdict_of(states, rule.necessary);
        result.states[cell] = states;
        result.siting[cell] = static_cast<std::uint8_t>(verdict.siting);
        result.reason[cell] = verdict.reason;
    }
    return result;
}

bool lacks_factor(const Siting& siting, const SitingRule& rule, std::size_t cell, SitingFactor factor) {
    const auto f = static_cast<std::size_t>(factor);
    return rule.necessary[f] && lacks(siting.states[cell], f);
}

SitingClass known_siting(const Siting& siting, std::size_t cell) {
    auto worst = SitingClass::unknown;
    for (std::size_t f = 0; f < siting_factors; ++f)
        worst = worse_known(worst, state_of(siting.states[cell], f));
    return worst;
}

std::vector<int> siting_ranks(const std::vector<FieldSiting>& fields) {
    // Less is better, the first difference decides.
    const auto merit = [](const FieldSiting& f) {
        std::array<double, 5> shares{-f.area_m2[0], -f.area_m2[1], -f.by_known_m2[0], -f.by_known_m2[1],
                                     f.area_m2[2]};
        for (double& share : shares) share = f.ground_m2 > 0 ? share / f.ground_m2 : 0.0;
        return shares;
    };
    std::vector<int> ranks;
    for (const FieldSiting& field : fields) {
        const auto better = std::count_if(fields.begin(), fields.end(), [&](const FieldSiting& other) {
            return merit(other) < merit(field);
        });
        ranks.push_back(static_cast<int>(better) + 1);
    }
    return ranks;
}

Field<float> ground_slope(const Grid& grid, const Field<float>& z, double length_m) {
    const auto along = std::max(1, static_cast<std::int32_t>(std::lround(length_m / grid.dx)));
    const auto down = std::max(1, static_cast<std::int32_t>(std::lround(length_m / grid.dy)));
    Field<float> slope(grid.rows, grid.cols);
    const auto steepness = [&](std::int32_t r, std::int32_t c, std::int32_t dr, std::int32_t dc,
                               double cell) {
        const auto at = [&](std::int32_t side) {
            const std::int32_t row = std::clamp(r + side * dr, 0, grid.rows - 1);
            const std::int32_t col = std::clamp(c + side * dc, 0, grid.cols - 1);
            return std::isnan(z(row, col)) ? std::pair(r, c) : std::pair(row, col);
        };
        const auto [r1, c1] = at(-1);
        const auto [r2, c2] = at(1);
        const int steps = (r2 - r1) + (c2 - c1);
        return steps == 0
                   ? 0.0
                   : (static_cast<double>(z(r2, c2)) - static_cast<double>(z(r1, c1))) / (steps * cell);
    };
#pragma omp parallel for schedule(static)
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        for (std::int32_t c = 0; c < grid.cols; ++c) {
            slope(r, c) = std::isnan(z(r, c))
                              ? static_cast<float>(not_known)
                              : static_cast<float>(std::hypot(steepness(r, c, 0, along, grid.dx),
                                                              steepness(r, c, down, 0, grid.dy)));
        }
    }
    return slope;
}

}  // namespace lielow
