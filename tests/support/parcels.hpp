// SPDX-License-Identifier: Apache-2.0
// Water poured on the ground parcel by parcel, by the plainest means: downhill to the lowest neighbour, into
// the lake that stands there; the lake rises, or runs over at a cell of its shore. No catchments, no tree;
// for small grids without equal heights.
#pragma once

#include <algorithm>
#include <limits>
#include <optional>
#include <vector>

#include "sim/grid.hpp"
#include "sim/neighbours.hpp"

namespace lielow::test {

class Parcels {
  public:
    explicit Parcels(const Field<float>& z) : rows_(z.rows()), cols_(z.cols()) {
        for (const float value : z.all()) ground_.push_back(static_cast<double>(value));
        water_ = ground_;
    }

    /// `amount` as a depth over one cell.
    void pour(std::size_t cell, double amount) {
        while (amount > 1e-15) {
            cell = downhill(cell);
            const Lake lake = lake_at(cell);
            if (const auto on = runs_over(lake)) {
                if (*on == off_ground) {
                    left_ += amount;
                    return;
                }
                cell = *on;
                continue;
            }
            const double room = (lake.shore - lake.level) * static_cast<double>(lake.cells.size());
            const double level =
                amount < room ? lake.level + amount / static_cast<double>(lake.cells.size()) : lake.shore;
            for (const std::size_t c : lake.cells) water_[c] = level;
            amount -= room;
        }
    }
    [[nodiscard]] double depth(std::size_t cell) const { return water_[cell] - ground_[cell]; }
    [[nodiscard]] double left() const { return left_; }

  private:
    static constexpr std::size_t off_ground = std::numeric_limits<std::size_t>::max();
    static constexpr double same = 1e-9;

    struct Lake {
        double level = 0;
        double shore = std::numeric_limits<double>::infinity();  ///< lowest of the cells around it
        std::vector<std::size_t> cells;
        std::vector<bool> inside;
    };

    template <class Visit>
    void around(std::size_t cell, Visit visit) const {
        for_each_neighbour(cell, rows_, cols_, visit);
    }
    [[nodiscard]] std::optional<std::size_t> lowest_neighbour(std::size_t cell) const {
        std::optional<std::size_t> lowest;
        around(cell, [&](std::size_t n) {
            if (ground_[n] < ground_[cell] && (!lowest || ground_[n] < ground_[*lowest])) lowest = n;
        });
        return lowest;
    }
    [[nodiscard]] std::size_t downhill(std::size_t cell) const {
        while (water_[cell] - ground_[cell] < 1e-12) {
            const auto next = lowest_neighbour(cell);
            if (!next) break;
            cell = *next;
        }
        return cell;
    }

    /// What hangs together at one level of water, the cell it is about to run over with it.
    [[nodiscard]] Lake lake_at(std::size_t cell) const {
        Lake lake{
            water_[cell], std::numeric_limits<double>::infinity(), {cell}, std::vector<bool>(ground_.size())};
        lake.inside[cell] = true;
        for (std::size_t k = 0; k < lake.cells.size(); ++k) {
            around(lake.cells[k], [&](std::size_t n) {
                if (lake.inside[n] || std::abs(water_[n] - lake.level) > same) return;
                lake.inside[n] = true;
                lake.cells.push_back(n);
            });
        }
        for (const std::size_t c : lake.cells) {
            around(c, [&](std::size_t n) {
                if (!lake.inside[n]) lake.shore = std::min(lake.shore, water_[n]);
            });
        }
        return lake;
    }

    /// Off the ground at a cell of its edge that drains to the lake itself; else over the lowest cell that
    /// lies beyond its shore below its level.
    [[nodiscard]] std::optional<std::size_t> runs_over(const Lake& lake) const {
        std::optional<std::size_t> on;
        for (const std::size_t c : lake.cells) {
            if (std::abs(ground_[c] - lake.level) > same) continue;
            int neighbours = 0;
            around(c, [&](std::size_t n) {
                ++neighbours;
                const bool lower = !lake.inside[n] && water_[n] < lake.level - same;
                if (lower && (!on || ground_[n] < ground_[*on])) on = n;
            });
            const auto down = lowest_neighbour(c);
            if (neighbours < 8 && (!down || lake.inside[*down])) return off_ground;
        }
        return on;
    }

    std::int32_t rows_;
    std::int32_t cols_;
    std::vector<double> ground_;
    std::vector<double> water_;
    double left_ = 0;
};

}  // namespace lielow::test
