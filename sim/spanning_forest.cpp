// SPDX-License-Identifier: Apache-2.0
#include "sim/spanning_forest.hpp"

#include <omp.h>

#include <algorithm>
#include <atomic>
#include <bit>
#include <limits>
#include <numeric>

#include "sim/descent.hpp"

namespace lielow {
namespace {

/// Fewer candidates than this are not worth waking the other threads for.
constexpr std::size_t kWorthSharing = std::size_t{1} << 15U;

/// Height and place in the list of a group's lowest candidate, as one number that orders as the pair does.
using Lowest = std::uint64_t;
constexpr Lowest kNone = std::numeric_limits<Lowest>::max();

void lower_to(Lowest& lowest, Lowest value) {
    std::atomic_ref<Lowest> shared(lowest);
    Lowest seen = shared.load(std::memory_order_relaxed);
    while (value < seen && !shared.compare_exchange_weak(seen, value, std::memory_order_relaxed)) {
    }
}

std::vector<Lowest> lowest_of_groups(std::size_t groups, const std::vector<Candidate>& live) {
    std::vector<Lowest> lowest(groups, kNone);
#pragma omp parallel for schedule(dynamic, 8192) if (live.size() > kWorthSharing)
    for (std::size_t i = 0; i < live.size(); ++i) {
        if (live[i].a == live[i].b) continue;
        const Lowest value = (static_cast<Lowest>(live[i].height) << 32U) | i;
        lower_to(lowest[static_cast<std::size_t>(live[i].a)], value);
        lower_to(lowest[static_cast<std::size_t>(live[i].b)], value);
    }
    return lowest;
}

/// Sends each group over its lowest candidate; of two that chose the same one, the smaller number stays.
/// Flags the candidates used; returns the ways on (see descent.hpp), with the new number where a group stays.
std::vector<std::int32_t> join_groups(const std::vector<Lowest>& lowest, const std::vector<Candidate>& live,
                                      std::vector<std::uint8_t>& used, std::size_t& groups) {
    std::vector<std::int32_t> way(lowest.size());
    groups = 0;
    for (std::size_t g = 0; g < lowest.size(); ++g) {
        const auto self = static_cast<std::int32_t>(g);
        std::int32_t other = self;
        if (lowest[g] != kNone) {
            const Candidate& best = live[lowest[g] & 0xffffffffU];
            other = best.a == self ? best.b : best.a;
            const bool stays = lowest[static_cast<std::size_t>(other)] == lowest[g] && self < other;
            if (stays) other = self;
            if (!stays) used[best.id] = 1;
        }
        way[g] = other == self ? static_cast<std::int32_t>(groups++) : onward(other);
    }
    return way;
}

/// Renames the groups and drops candidates that now lie inside one; the order of the list is kept.
void rename_and_drop(const std::vector<std::int32_t>& name, std::vector<Candidate>& live) {
    const auto parts = static_cast<std::size_t>(live.size() > kWorthSharing ? omp_get_max_threads() : 1);
    const std::size_t share = (live.size() + parts - 1) / parts;
    std::vector<std::size_t> kept(parts, 0);
#pragma omp parallel for schedule(static, 1) if (parts > 1)
    for (std::size_t part = 0; part < parts; ++part) {
        const std::size_t begin = std::min(part * share, live.size());
        const std::size_t end = std::min(begin + share, live.size());
        std::size_t out = begin;
        for (std::size_t i = begin; i < end; ++i) {
            Candidate candidate = live[i];
            candidate.a = name[static_cast<std::size_t>(candidate.a)];
            candidate.b = name[static_cast<std::size_t>(candidate.b)];
            live[out] = candidate;
            out += candidate.a != candidate.b ? 1 : 0;
        }
        kept[part] = out - begin;
    }
    std::size_t size = 0;
    for (std::size_t part = 0; part < parts; ++part) {
        const auto begin = live.begin() + static_cast<std::ptrdiff_t>(std::min(part * share, live.size()));
        std::copy_n(begin, kept[part], live.begin() + static_cast<std::ptrdiff_t>(size));
        size += kept[part];
    }
    live.resize(size);
}

/// The passes of each catchment, one after the other.
struct Adjacency {
    std::vector<std::uint32_t> start;   // of each catchment's part of `passes`, and the end
    std::vector<std::uint32_t> passes;  // numbers in the forest
};

Adjacency adjacency(std::size_t count, const std::vector<Pass>& forest) {
    Adjacency list{std::vector<std::uint32_t>(count + 2, 0), std::vector<std::uint32_t>(2 * forest.size())};
    for (const Pass& pass : forest) {
        ++list.start[static_cast<std::size_t>(pass.a) + 2];
        ++list.start[static_cast<std::size_t>(pass.b) + 2];
    }
    std::partial_sum(list.start.begin(), list.start.end(), list.start.begin());
    for (std::uint32_t p = 0; p < forest.size(); ++p) {
        list.passes[list.start[static_cast<std::size_t>(forest[p].a) + 1]++] = p;
        list.passes[list.start[static_cast<std::size_t>(forest[p].b) + 1]++] = p;
    }
    return list;
}

}  // namespace

std::uint32_t height_key(float height) {
    const auto bits = std::bit_cast<std::uint32_t>(height + 0.0F);
    return (bits & 0x80000000U) != 0 ? ~bits : bits | 0x80000000U;
}

std::vector<std::uint8_t> spanning_forest(std::size_t count, std::size_t ids,
                                          std::vector<Candidate> candidates) {
    std::vector<std::uint8_t> used(ids, 0);
    while (!candidates.empty()) {
        std::vector<std::int32_t> name =
            join_groups(lowest_of_groups(count, candidates), candidates, used, count);
        follow_ways(name);
        rename_and_drop(name, candidates);
    }
    return used;
}

std::vector<Pass> rooted(std::size_t count, const std::vector<Pass>& forest) {
    const Adjacency list = adjacency(count, forest);
    std::vector<Pass> tree;
    tree.reserve(forest.size());
    std::vector<std::uint8_t> seen(count, 0);
    struct Step {
        std::uint32_t pass;
        std::int32_t to;
    };
    std::vector<Step> ahead;
    const auto look_around = [&](std::int32_t at) {
        seen[static_cast<std::size_t>(at)] = 1;
        for (std::uint32_t k = list.start[static_cast<std::size_t>(at)];
             k < list.start[static_cast<std::size_t>(at) + 1]; ++k) {
            const Pass& pass = forest[list.passes[k]];
            const std::int32_t to = pass.a == at ? pass.b : pass.a;
            if (seen[static_cast<std::size_t>(to)] == 0) ahead.push_back({list.passes[k], to});
        }
    };
    for (std::size_t root = 0; root < count; ++root) {
        if (seen[root] != 0) continue;
        look_around(static_cast<std::int32_t>(root));
        while (!ahead.empty()) {
            const Step step = ahead.back();
            ahead.pop_back();
            Pass pass = forest[step.pass];
            if (pass.b != step.to) std::swap(pass.a, pass.b);
            tree.push_back(pass);
            look_around(step.to);
        }
    }
    return tree;
}

}  // namespace lielow
