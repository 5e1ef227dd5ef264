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

/// Cells handed to a thread at a time. Not one part for each: a thread that another program keeps waiting
/// would hold up all.
constexpr std::size_t kShare = std::size_t{1} << 14U;

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

/// Reads the ground row by row, top to bottom.
class RowReader {
  public:
    RowReader(const Field<float>& z, std::int32_t first)
        : z_(z),
          width_(static_cast<std::size_t>(z.cols())),
          north_(width_ + 2),
          here_(width_ + 2),
          south_(width_ + 2),
          sign_(width_),
          step_(width_),
          pits_(width_ + 1),
          rim_(width_ + 1),
          saddles_(width_ + 1),
          row_(first) {
        for (std::size_t k = 0; k < 8; ++k) {
            steps_[k] = kNeighbours[k].down * z.cols() + kNeighbours[k].across;
        }
        load_row(z, first - 1, north_);
        load_row(z, first, here_);
    }

    void next(std::int32_t* way, Landmarks& found) {
        load_row(z_, row_ + 1, south_);
        read_row(north_.data(), here_.data(), south_.data(), z_.cols(), sign_.data(), step_.data());
        const auto start = static_cast<std::uint32_t>(static_cast<std::size_t>(row_) * width_);
        for (std::size_t c = 0; c < width_; ++c) {
            const auto cell = static_cast<std::int32_t>(start) + static_cast<std::int32_t>(c);
            way[c] = sign_[c] == kNothing ? kNoCatchment : onward(cell + step_[c]);
        }
        note_landmarks(start, found);
        ++row_;
        north_.swap(here_);
        here_.swap(south_);
    }

  private:
    /// Every cell is written to each list and the list then grows past it or doesn't: on rough ground no
    /// processor guesses which cells are pits or saddles, so a branch here would cost more than the write.
    void note_landmarks(std::uint32_t start, Landmarks& found) {
        std::size_t pits = 0;
        std::size_t rim = 0;
        std::size_t saddles = 0;
        for (std::size_t c = 0; c < width_; ++c) {
            const std::int32_t sign = sign_[c];
            const auto cell = start + static_cast<std::uint32_t>(c);
            pits_[pits] = cell;
            pits += (sign & (kLower | kNothing)) == 0 ? 1U : 0U;
            rim_[rim] = cell;
            rim += (sign & kBesideNothing) != 0 ? 1U : 0U;
            saddles_[saddles] = static_cast<std::uint32_t>(c);
            saddles += kSides[static_cast<std::size_t>(sign & kLower)].count > 1 ? 1U : 0U;
        }
        found.pits.insert(found.pits.end(), pits_.begin(), pits_.begin() + static_cast<std::ptrdiff_t>(pits));
        found.rim.insert(found.rim.end(), rim_.begin(), rim_.begin() + static_cast<std::ptrdiff_t>(rim));
        for (std::size_t k = 0; k < saddles; ++k) note_saddle(start, saddles_[k], found.saddles);
    }

    /// Notes the sides of a saddle that its own way doesn't take.
    void note_saddle(std::uint32_t start, std::size_t c, std::vector<Saddle>& saddles) const {
        const Sides& sides = kSides[static_cast<std::size_t>(sign_[c] & kLower)];
        std::uint32_t taken = 0;
        for (std::uint32_t k = 0; k < 8; ++k) taken |= (steps_[k] == step_[c] ? 1U : 0U) << k;
        // On very narrow ground two steps may be the same number, but only one of them stays on the ground.
        taken &= static_cast<std::uint32_t>(sign_[c]) & 255U;
        const auto cell = start + static_cast<std::uint32_t>(c);
        for (std::size_t s = 0; s < sides.count; ++s) {
            const std::uint32_t side = sides.bits[s];
            if ((side & taken) == 0)
                saddles.push_back({cell, cell + static_cast<std::uint32_t>(steps_[lowest_on(side, c)])});
        }
    }

    /// The lowest of the neighbours of column c on a side, the first of equals.
    [[nodiscard]] std::size_t lowest_on(std::uint32_t side, std::size_t c) const {
        const auto elevation = [&](std::size_t k) {
            const PaddedRow& row = kNeighbours[k].down < 0   ? north_
                                   : kNeighbours[k].down > 0 ? south_
                                                             : here_;
            return row[c + 1 + static_cast<std::size_t>(kNeighbours[k].across)];
        };
        auto lowest = static_cast<std::size_t>(std::countr_zero(side));
        for (std::size_t k = lowest + 1; k < 8; ++k) {
            if (((side >> k) & 1U) != 0 && elevation(k) < elevation(lowest)) lowest = k;
        }
        return lowest;
    }

    const Field<float>& z_;
    std::size_t width_;
    PaddedRow north_;
    PaddedRow here_;
    PaddedRow south_;
    std::vector<std::int32_t> sign_;
    std::vector<std::int32_t> step_;
    std::vector<std::uint32_t> pits_;
    std::vector<std::uint32_t> rim_;
    std::vector<std::uint32_t> saddles_;  // columns
    std::int32_t row_;
    std::array<std::int32_t, 8> steps_{};
};

std::int32_t read(std::int32_t& number) {
    return std::atomic_ref<std::int32_t>(number).load(std::memory_order_relaxed);
}
void write(std::int32_t& number, std::int32_t value) {
    std::atomic_ref<std::int32_t>(number).store(value, std::memory_order_relaxed);
}

}  // namespace

Landmarks find_descent(const Field<float>& z, std::int32_t first, std::int32_t last,
                       Field<std::int32_t>& way) {
    Landmarks found;
    RowReader reader(z, first);
    for (std::int32_t r = first; r < last; ++r) reader.next(way.row(r).data(), found);
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
#pragma omp parallel for schedule(dynamic, kShare) if (way.size() > 2 * kShare)
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
