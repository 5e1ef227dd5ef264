// SPDX-License-Identifier: Apache-2.0
#include "sim/tile_directions.hpp"

#include <algorithm>
#include <limits>

#include "sim/flat_drainage.hpp"
#include "sim/neighbours.hpp"

namespace lielow {
namespace {

constexpr std::int32_t kHalo = 2;  // a neighbour's direction hangs on its own neighbours

/// One tile with its halo, and the steps on its level ground.
class FlatTile {
  public:
    FlatTile(const TileCut& cut, std::size_t number, const ReadWindow<float>& read)
        : cut_(cut), tile_(cut.tile(number)) {
        const Grid around{tile_.rows + 2 * kHalo, tile_.cols + 2 * kHalo, cut.grid().dx, cut.grid().dy};
        flow_ = steepest_directions(
            around, with_halo(cut.grid(), tile_, kHalo, std::numeric_limits<float>::quiet_NaN(), read));
        each_inner([&](std::size_t cell) { any_ |= flow_.to[cell] == kUnset; });
    }

    /// Whether the tile holds level ground without a way yet.
    [[nodiscard]] bool any() const { return any_; }

    void count(const FlatBorders& known) {
        to_lower_ = spread(known, &FlatSteps::to_lower, [&](std::size_t cell) {
            return any_neighbour(cell, [&](std::size_t n) {
                return flow_.surface[n] == flow_.surface[cell] && flow_.to[n] < kUnset;
            });
        });
        from_higher_ = spread(known, &FlatSteps::from_higher, [&](std::size_t cell) {
            return any_neighbour(cell, [&](std::size_t n) { return flow_.surface[n] > flow_.surface[cell]; });
        });
    }

    [[nodiscard]] std::vector<FlatSteps> border() const {
        std::vector<FlatSteps> steps(border_size(tile_), {kManySteps, kManySteps});
        each_border_cell(tile_, [&](std::int32_t row, std::int32_t col) {
            const std::size_t cell = cell_at(row, col);
            if (flow_.to[cell] == kUnset)
                steps[border_index(tile_, row, col)] = {to_lower_[cell], from_higher_[cell]};
        });
        return steps;
    }

    [[nodiscard]] Field<std::uint8_t> directions() const {
        Field<std::uint8_t> out(tile_.rows, tile_.cols);
        for (std::int32_t r = 0; r < tile_.rows; ++r) {
            for (std::int32_t c = 0; c < tile_.cols; ++c) {
                const std::size_t cell = cell_at(tile_.row + r, tile_.col + c);
                out(r, c) = flow_.to[cell] == kUnset ? across_level(cell) : flow_.to[cell];
            }
        }
        return out;
    }

  private:
    using Steps = Field<std::int32_t>;

    [[nodiscard]] std::size_t cell_at(std::int32_t row, std::int32_t col) const {
        const auto r = static_cast<std::size_t>(row - tile_.row + kHalo);
        const auto c = static_cast<std::size_t>(col - tile_.col + kHalo);
        return r * static_cast<std::size_t>(flow_.to.cols()) + c;
    }

    template <class Visit>
    void each_inner(Visit visit) const {
        for (std::int32_t r = 0; r < tile_.rows; ++r) {
            for (std::int32_t c = 0; c < tile_.cols; ++c) visit(cell_at(tile_.row + r, tile_.col + c));
        }
    }

    /// `cell` lies on the tile, so all its neighbours lie on the halo at most.
    template <class Holds>
    [[nodiscard]] bool any_neighbour(std::size_t cell, Holds holds) const {
        for (std::uint8_t k = 0; k < 8; ++k) {
            if (holds(neighbour_cell(flow_.to.rows(), flow_.to.cols(), cell, k))) return true;
        }
        return false;
    }

    /// Visits level ground of other tiles that touches this one.
    template <class Visit>
    void each_outer(Visit visit) const {
        const Window ring{tile_.row - 1, tile_.col - 1, tile_.rows + 2, tile_.cols + 2};
        each_border_cell(ring, [&](std::int32_t row, std::int32_t col) {
            if (cut_.grid().contains(row, col) && flow_.to[cell_at(row, col)] == kUnset) visit(row, col);
        });
    }

    /// Steps from where `starts` holds and from what the neighbours' borders know, the fewest first.
    template <class Starts>
    Steps spread(const FlatBorders& known, std::int32_t FlatSteps::*which, Starts starts) {
        Steps steps(flow_.to.rows(), flow_.to.cols(), kManySteps);
        std::vector<std::uint32_t> seeds;
        each_inner([&](std::size_t cell) {
            if (flow_.to[cell] != kUnset || !starts(cell)) return;
            steps[cell] = 1;
            seeds.push_back(static_cast<std::uint32_t>(cell));
        });
        each_outer([&](std::int32_t row, std::int32_t col) {
            const std::size_t other = cut_.tile_of(row, col);
            if (known[other].empty()) return;
            const std::int32_t there = known[other][border_index(cut_.tile(other), row, col)].*which;
            if (there >= kManySteps) return;
            steps[cell_at(row, col)] = there;
            seeds.push_back(static_cast<std::uint32_t>(cell_at(row, col)));
        });
        std::sort(seeds.begin(), seeds.end(), [&](std::uint32_t p, std::uint32_t q) {
            return steps[p] != steps[q] ? steps[p] < steps[q] : p < q;
        });
        run_on(steps, seeds);
        return steps;
    }

    /// Two queues, each of which only rises: the seeds, and what was reached from them.
    void run_on(Steps& steps, const std::vector<std::uint32_t>& seeds) const {
        std::vector<std::uint32_t> reached;
        std::size_t s = 0;
        std::size_t f = 0;
        while (s < seeds.size() || f < reached.size()) {
            const bool seed =
                f >= reached.size() || (s < seeds.size() && steps[seeds[s]] <= steps[reached[f]]);
            const std::uint32_t cell = seed ? seeds[s++] : reached[f++];
            for (std::uint8_t k = 0; k < 8; ++k) {
                const std::size_t n = neighbour_cell(flow_.to.rows(), flow_.to.cols(), cell, k);
                if (!inner(n) || flow_.to[n] != kUnset || flow_.surface[n] != flow_.surface[cell]) continue;
                if (steps[n] <= steps[cell] + 1) continue;
                steps[n] = steps[cell] + 1;
                reached.push_back(static_cast<std::uint32_t>(n));
            }
        }
    }

    [[nodiscard]] bool inner(std::size_t cell) const {
        const auto cols = static_cast<std::size_t>(flow_.to.cols());
        const auto r = static_cast<std::int32_t>(cell / cols) - kHalo;
        const auto c = static_cast<std::int32_t>(cell % cols) - kHalo;
        return r >= 0 && c >= 0 && r < tile_.rows && c < tile_.cols;
    }

    [[nodiscard]] std::uint8_t across_level(std::size_t cell) const {
        if (to_lower_[cell] >= kManySteps) return kUnset;
        std::uint8_t best = kUnset;
        std::int32_t fewest = std::numeric_limits<std::int32_t>::max();
        for (const std::uint8_t k : kSidesFirst) {
            const std::size_t n = neighbour_cell(flow_.to.rows(), flow_.to.cols(), cell, k);
            if (flow_.surface[n] != flow_.surface[cell]) continue;
            const std::int32_t away = from_higher_[n] < kManySteps ? from_higher_[n] : 0;
            const std::int32_t value =
                flow_.to[n] < kUnset ? std::numeric_limits<std::int32_t>::min() : 2 * to_lower_[n] - away;
            if (value >= fewest) continue;
            fewest = value;
            best = k;
        }
        return best;
    }

    const TileCut& cut_;
    Window tile_;
    DrainDirections flow_;
    Steps to_lower_;
    Steps from_higher_;
    bool any_ = false;
};

/// Marks the tiles that see a border cell of `tile` which has changed.
void mark_neighbours(const TileCut& cut, const Window& tile, const std::vector<FlatSteps>& before,
                     const std::vector<FlatSteps>& after, std::vector<std::uint8_t>& due) {
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        const std::size_t at = border_index(tile, row, col);
        if (before[at] == after[at]) return;
        for (const Neighbour& n : kNeighbours) {
            if (cut.grid().contains(row + n.down, col + n.across))
                due[cut.tile_of(row + n.down, col + n.across)] = 1;
        }
    });
}

}  // namespace

FlatBorders flat_borders(const TileCut& cut, const ReadWindow<float>& read) {
    FlatBorders borders(cut.count());
    std::vector<std::uint8_t> due(cut.count(), 1);
    std::vector<std::uint8_t> level(cut.count(), 1);  // may hold level ground
    while (std::find(due.begin(), due.end(), std::uint8_t{1}) != due.end()) {
        for (std::size_t t = 0; t < cut.count(); ++t) {
            if (due[t] == 0) continue;
            due[t] = 0;
            if (level[t] == 0) continue;
            const Window tile = cut.tile(t);
            if (borders[t].empty()) borders[t].assign(border_size(tile), {kManySteps, kManySteps});
            FlatTile flats(cut, t, read);
            level[t] = flats.any() ? 1 : 0;
            if (!flats.any()) continue;
            flats.count(borders);
            std::vector<FlatSteps> now = flats.border();
            mark_neighbours(cut, tile, borders[t], now, due);
            due[t] = 0;
            borders[t] = std::move(now);
        }
    }
    return borders;
}

Field<std::uint8_t> finish_tile_directions(const TileCut& cut, std::size_t tile,
                                           const ReadWindow<float>& read, const FlatBorders& known) {
    FlatTile flats(cut, tile, read);
    if (flats.any()) flats.count(known);
    return flats.directions();
}

}  // namespace lielow
