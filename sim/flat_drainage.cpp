// SPDX-License-Identifier: Apache-2.0
#include "sim/flat_drainage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "sim/neighbours.hpp"

namespace lielow {
namespace {

class Flats {
  public:
    explicit Flats(DrainDirections& out)
        : out_(out),
          steps_away_(out.to.rows(), out.to.cols(), 0),
          steps_to_(out.to.rows(), out.to.cols(), 0) {}

    /// True for cells of level ground that turned out to have no way out.
    [[nodiscard]] bool tried(std::size_t cell) const { return steps_away_[cell] == kNoWayOut; }

    void drain(std::size_t seed) {
        gather(seed);
        const std::int32_t most = spread(steps_away_, [&](std::size_t cell) { return beside_higher(cell); });
        spread(steps_to_, [&](std::size_t cell) { return beside_way_out(cell); });
        for (const std::size_t cell : cells_) {
            // Away from higher ground: most at its foot. Steps towards lower ground count double, so that
            // there is always a neighbour with less.
            const std::int32_t away = steps_away_[cell] > 0 ? most - steps_away_[cell] + 1 : 0;
            steps_away_[cell] = away + 2 * steps_to_[cell];
        }
        for (const std::size_t cell : cells_) choices_.push_back(lowest_of(cell));
        for (std::size_t i = 0; i < cells_.size(); ++i) {
            out_.to[cells_[i]] = choices_[i];
            if (choices_[i] == kUnset) steps_away_[cells_[i]] = kNoWayOut;
        }
        choices_.clear();
    }

  private:
    static constexpr std::int32_t kSeen = -1;
    static constexpr std::int32_t kNoWayOut = -1;

    /// The cells without a way that hang together with `seed` at its level; marks them.
    void gather(std::size_t seed) {
        cells_.assign(1, seed);
        steps_to_[seed] = kSeen;
        for (std::size_t k = 0; k < cells_.size(); ++k) {
            each_level_neighbour(cells_[k], [&](std::size_t n) {
                if (out_.to[n] != kUnset || steps_to_[n] == kSeen) return;
                steps_to_[n] = kSeen;
                cells_.push_back(n);
            });
        }
    }

    /// Counts steps from the cells where `starts` holds, 1 there; returns the most. Cells not reached have 0.
    template <class Starts>
    std::int32_t spread(Field<std::int32_t>& steps, Starts starts) {
        for (const std::size_t cell : cells_) steps[cell] = 0;
        front_.clear();
        for (const std::size_t cell : cells_) {
            if (!starts(cell)) continue;
            steps[cell] = 1;
            front_.push_back(cell);
        }
        for (std::size_t k = 0; k < front_.size(); ++k) {
            const std::size_t cell = front_[k];
            each_level_neighbour(cell, [&](std::size_t n) {
                if (out_.to[n] != kUnset || steps[n] != 0) return;
                steps[n] = steps[cell] + 1;
                front_.push_back(n);
            });
        }
        return front_.empty() ? 0 : steps[front_.back()];
    }

    [[nodiscard]] bool beside_higher(std::size_t cell) const {
        bool higher = false;
        for_each_neighbour(cell, out_.surface.rows(), out_.surface.cols(),
                           [&](std::size_t n) { higher |= out_.surface[n] > out_.surface[cell]; });
        return higher;
    }

    bool beside_way_out(std::size_t cell) const {
        bool out = false;
        each_level_neighbour(cell, [&](std::size_t n) { out |= out_.to[n] < kUnset; });
        return out;
    }

    template <class Visit>
    void each_level_neighbour(std::size_t cell, Visit visit) const {
        for_each_neighbour(cell, out_.surface.rows(), out_.surface.cols(), [&](std::size_t n) {
            if (out_.surface[n] == out_.surface[cell]) visit(n);
        });
    }

    [[nodiscard]] std::uint8_t lowest_of(std::size_t cell) const {
        if (steps_to_[cell] == 0) return kUnset;
        std::uint8_t best = kUnset;
        std::int32_t fewest = std::numeric_limits<std::int32_t>::max();
        for (const std::uint8_t k : kSidesFirst) {
            const auto n = neighbour_cell(out_.surface.rows(), out_.surface.cols(), cell, k);
            if (n == cell || out_.surface[n] != out_.surface[cell]) continue;
            const std::int32_t steps = out_.to[n] < kUnset ? 0 : steps_away_[n];
            if (steps >= fewest) continue;
            fewest = steps;
            best = k;
        }
        return best;
    }

    DrainDirections& out_;
    Field<std::int32_t> steps_away_;  // in the end: what falls along every way
    Field<std::int32_t> steps_to_;
    std::vector<std::size_t> cells_;
    std::vector<std::size_t> front_;
    std::vector<std::uint8_t> choices_;
};

}  // namespace

void drain_flats(DrainDirections& out) {
    const auto all = out.to.all();
    std::size_t seed = static_cast<std::size_t>(std::find(all.begin(), all.end(), kUnset) - all.begin());
    if (seed == all.size()) return;
    Flats flats(out);
    for (; seed < all.size(); ++seed) {
        if (all[seed] == kUnset && !flats.tried(seed)) flats.drain(seed);
    }
}

}  // namespace lielow
