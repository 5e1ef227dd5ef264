// SPDX-License-Identifier: Apache-2.0
#include "sim/descent.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cmath>
#include <limits>

#include "sim/neighbours.hpp"

namespace lielow {
namespace {

// Bits 0..7 of a cell's sign: the neighbours (in the order of kNeighbours) lower than it in the strict order.
constexpr std::int32_t kLower = 255;
constexpr std::int32_t kBesideNothing = 256;  // a neighbour has no value
constexpr std::int32_t kNothing = 512;        // the cell itself has no value

/// A row with one cell of nothing on either side, so that the edge needs no special case.
using PaddedRow = std::vector<float>;

void load_row(const Field<float>& z, std::int32_t r, PaddedRow& row) {
    std::fill(row.begin(), row.end(), std::numeric_limits<float>::quiet_NaN());
    if (r >= 0 && r < z.rows()) std::copy_n(z.row(r).data(), z.cols(), row.begin() + 1);
}

/// Sign of each cell of the row, and the step in cell numbers to its lowest neighbour. Straight-line
/// arithmetic over the row so that the compiler can vectorise it.
void read_row(const float* north, const float* here, const float* south, std::int32_t cols,
              std::int32_t* sign, std::int32_t* step) {
    for (std::int32_t c = 0; c < cols; ++c) {
        const float z = here[c + 1];
        float lowest = std::numeric_limits<float>::infinity();
        std::int32_t towards = 0;
        std::int32_t bits = 0;
        const auto look = [&](float other, std::int32_t by, std::int32_t bit, bool lower) {
            towards = other < lowest ? by : towards;
            lowest = other < lowest ? other : lowest;
            bits |= lower ? bit : 0;
            bits |= other == other ? 0 : kBesideNothing;
        };
        // An equal neighbour with a smaller cell number counts as lower.
        look(north[c], -cols - 1, 1, north[c] <= z);
        look(north[c + 1], -cols, 2, north[c + 1] <= z);
        look(north[c + 2], -cols + 1, 4, north[c + 2] <= z);
        look(here[c], -1, 8, here[c] <= z);
        look(here[c + 2], 1, 16, here[c + 2] < z);
        look(south[c], cols - 1, 32, south[c] < z);
        look(south[c + 1], cols, 64, south[c + 1] < z);
        look(south[c + 2], cols + 1, 128, south[c + 2] < z);
        sign[c] = z == z ? bits : kNothing;
        step[c] = (bits & kLower) != 0 ? towards : 0;
    }
}

/// The lower neighbours of a cell, split into sides: neighbours that touch each other are one side.
struct Sides {
    std::uint8_t count = 0;
    std::array<std::uint8_t, 4> bits{};
};

constexpr bool touch(const Neighbour& p, const Neighbour& q) {
    const int down = p.down - q.down;
    const int across = p.across - q.across;
    return down * down <= 1 && across * across <= 1;
}

constexpr std::uint32_t grow_side(std::uint32_t side, std::uint32_t lower) {
    for (int pass = 0; pass < 8; ++pass) {
        for (std::uint32_t p = 0; p < 8; ++p) {
            for (std::uint32_t q = 0; q < 8; ++q) {
                const bool joined = ((side >> p) & 1U) != 0 && touch(kNeighbours[p], kNeighbours[q]);
                if (joined) side |= lower & (1U << q);
            }
        }
    }
    return side;
}

constexpr Sides split_sides(std::uint32_t lower) {
    Sides sides;
    while (lower != 0) {
        const std::uint32_t side = grow_side(lower & (~lower + 1U), lower);
        sides.bits[sides.count++] = static_cast<std::uint8_t>(side);
        lower &= ~side;
    }
    return sides;
}

std::array<Sides, 256> all_sides() {
    std::array<Sides, 256> table;
    for (std::uint32_t lower = 0; lower < 256; ++lower) table[lower] = split_sides(lower);
    return table;
}

const std::array<Sides, 256> kSides = all_sides();

/// Notes the sides of a cell that its own way doesn't take.
void note_saddle(std::uint32_t cell, const Sides& sides, std::int32_t step,
                 const std::array<std::int32_t, 8>& steps, std::vector<Saddle>& saddles) {
    for (std::size_t s = 0; s < sides.count; ++s) {
        std::uint32_t bits = sides.bits[s];
        const auto first = static_cast<std::size_t>(std::countr_zero(bits));
        bool taken = false;
        for (; bits != 0; bits &= bits - 1U) {
            taken = taken || steps[static_cast<std::size_t>(std::countr_zero(bits))] == step;
        }
        if (!taken) saddles.push_back({cell, cell + static_cast<std::uint32_t>(steps[first])});
    }
}

std::int32_t read(std::int32_t& number) {
    return std::atomic_ref<std::int32_t>(number).load(std::memory_order_relaxed);
}
void write(std::int32_t& number, std::int32_t value) {
    std::atomic_ref<std::int32_t>(number).store(value, std::memory_order_relaxed);
}

}  // namespace

Landmarks find_descent(const Field<float>& z, std::int32_t first, std::int32_t last,
                       Field<std::int32_t>& way) {
    const std::int32_t cols = z.cols();
    const auto width = static_cast<std::size_t>(cols);
    std::array<std::int32_t, 8> steps{};
    std::transform(kNeighbours.begin(), kNeighbours.end(), steps.begin(),
                   [cols](const Neighbour& n) { return n.down * cols + n.across; });
    PaddedRow north(width + 2);
    PaddedRow here(width + 2);
    PaddedRow south(width + 2);
    std::vector<std::int32_t> sign(width);
    std::vector<std::int32_t> step(width);
    Landmarks found;
    load_row(z, first - 1, north);
    load_row(z, first, here);
    for (std::int32_t r = first; r < last; ++r) {
        load_row(z, r + 1, south);
        read_row(north.data(), here.data(), south.data(), cols, sign.data(), step.data());
        const auto start = static_cast<std::uint32_t>(static_cast<std::size_t>(r) * width);
        std::int32_t* out = way.row(r).data();
        for (std::size_t c = 0; c < width; ++c) {
            const auto cell = start + static_cast<std::uint32_t>(c);
            out[c] = sign[c] == kNothing ? kNoCatchment : onward(static_cast<std::int32_t>(cell) + step[c]);
        }
        for (std::size_t c = 0; c < width; ++c) {
            const auto cell = start + static_cast<std::uint32_t>(c);
            const Sides& sides = kSides[static_cast<std::size_t>(sign[c] & kLower)];
            if (sides.count == 1 && sign[c] < kBesideNothing) continue;
            if (sign[c] == kNothing) continue;
            if (sides.count == 0) found.pits.push_back(cell);
            if ((sign[c] & kBesideNothing) != 0) found.rim.push_back(cell);
            if (sides.count > 1) note_saddle(cell, sides, step[c], steps, found.saddles);
        }
        north.swap(here);
        here.swap(south);
    }
    return found;
}

void shorten_ways(std::span<std::int32_t> way, std::size_t begin, std::size_t end) {
    const auto inside = [&](std::int32_t number) {
        return number < kNoCatchment && static_cast<std::size_t>(onward(number)) - begin < end - begin;
    };
    for (std::size_t cell = begin; cell < end; ++cell) {
        std::int32_t next = way[cell];
        std::size_t at = cell;
        while (inside(next) && static_cast<std::size_t>(onward(next)) != at) {
            at = static_cast<std::size_t>(onward(next));
            next = way[at];
        }
        for (std::size_t from = cell; from != at;) {
            const auto to = static_cast<std::size_t>(onward(way[from]));
            way[from] = next;
            from = to;
        }
    }
}

void follow_ways(std::span<std::int32_t> way) {
    // Several threads may walk the same way at once: each only ever replaces a number by one further along
    // the same way, so whatever another thread reads leads to the same end.
#pragma omp parallel for schedule(static) if (way.size() > 32768)
    for (std::size_t cell = 0; cell < way.size(); ++cell) {
        std::int32_t end = read(way[cell]);
        if (end >= kNoCatchment) continue;
        while (end < kNoCatchment) end = read(way[static_cast<std::size_t>(onward(end))]);
        std::size_t from = cell;
        for (std::int32_t next = read(way[from]); next < kNoCatchment; next = read(way[from])) {
            write(way[from], end);
            from = static_cast<std::size_t>(onward(next));
        }
    }
}

}  // namespace lielow
