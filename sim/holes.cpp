// SPDX-License-Identifier: Apache-2.0
#include "sim/holes.hpp"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// Cells without a value that lie side by side in one row.
struct Run {
    std::int32_t row = 0;
    std::int32_t begin = 0;
    std::int32_t end = 0;    // one past the last
    std::uint32_t hole = 0;  // first run of the same hole, once they are joined
};

std::vector<Run> runs_of_nothing(const Field<float>& z) {
    std::vector<Run> runs;
    for (std::int32_t r = 0; r < z.rows(); ++r) {
        const auto row = z.row(r);
        const auto has_none = [](float value) { return std::isnan(value); };
        for (auto at = std::find_if(row.begin(), row.end(), has_none); at != row.end();) {
            const auto stop = std::find_if_not(at, row.end(), has_none);
            runs.push_back({r, static_cast<std::int32_t>(at - row.begin()),
                            static_cast<std::int32_t>(stop - row.begin()),
                            static_cast<std::uint32_t>(runs.size())});
            at = std::find_if(stop, row.end(), has_none);
        }
    }
    return runs;
}

std::uint32_t first_of(std::vector<Run>& runs, std::uint32_t run) {
    while (runs[run].hole != run) {
        runs[run].hole = runs[runs[run].hole].hole;
        run = runs[run].hole;
    }
    return run;
}

/// Joins runs that touch from row to row (not at corners).
void join_runs(std::vector<Run>& runs) {
    std::uint32_t above = 0;
    for (std::uint32_t here = 0; here < runs.size(); ++here) {
        const auto ends_before = [&](const Run& run) {
            return run.row < runs[here].row - 1 ||
                   (run.row == runs[here].row - 1 && run.end <= runs[here].begin);
        };
        while (above < here && ends_before(runs[above])) ++above;
        for (std::uint32_t k = above;
             k < here && runs[k].row < runs[here].row && runs[k].begin < runs[here].end; ++k) {
            const std::uint32_t p = first_of(runs, k);
            const std::uint32_t q = first_of(runs, here);
            runs[std::max(p, q)].hole = std::min(p, q);
        }
    }
    for (std::uint32_t run = 0; run < runs.size(); ++run) runs[run].hole = first_of(runs, run);
}

struct Extent {
    std::size_t cells = 0;
    bool reaches_edge = false;
};

/// Extent of each hole, at the number of its first run.
std::vector<Extent> measure(const std::vector<Run>& runs, const Field<float>& z) {
    std::vector<Extent> extents(runs.size());
    for (const Run& run : runs) {
        Extent& extent = extents[run.hole];
        extent.cells += static_cast<std::size_t>(run.end - run.begin);
        extent.reaches_edge = extent.reaches_edge || run.row == 0 || run.row == z.rows() - 1 ||
                              run.begin == 0 || run.end == z.cols();
    }
    return extents;
}

/// Laplace's equation over the cells of one hole, five-point differences; z is known on the whole rim.
class Membrane {
  public:
    Membrane(const Field<float>& z, const Grid& grid, std::vector<std::size_t> cells)
        : cells_(std::move(cells)),
          width_(static_cast<std::size_t>(z.cols())),
          across_(1.0 / (grid.dx * grid.dx)),
          down_(1.0 / (grid.dy * grid.dy)),
          rim_(Eigen::VectorXd::Zero(static_cast<Eigen::Index>(cells_.size()))) {
        base_ = rim_mean(z);
        for (std::size_t k = 0; k < cells_.size(); ++k) add_cell(z, k);
    }

    /// Elevations of the cells, m.
    [[nodiscard]] std::vector<float> solve() const {
        const auto size = static_cast<Eigen::Index>(cells_.size());
        Eigen::SparseMatrix<double> matrix(size, size);
        matrix.setFromTriplets(entries_.begin(), entries_.end());
        const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factors(matrix);
        if (factors.info() != Eigen::Success) throw RunError("could not bridge a hole in the ground");
        const Eigen::VectorXd height = factors.solve(rim_);
        std::vector<float> out(cells_.size());
        std::transform(height.begin(), height.end(), out.begin(),
                       [this](double value) { return static_cast<float>(base_ + value); });
        return out;
    }

    [[nodiscard]] const std::vector<std::size_t>& cells() const { return cells_; }

  private:
    struct Side {
        std::size_t cell;
        double weight;
    };
    [[nodiscard]] std::array<Side, 4> sides(std::size_t cell) const {
        return {{{cell - width_, down_}, {cell - 1, across_}, {cell + 1, across_}, {cell + width_, down_}}};
    }

    /// Heights are solved for above the rim's mean: elevations of hundreds of metres would cost digits.
    [[nodiscard]] double rim_mean(const Field<float>& z) const {
        double sum = 0;
        std::size_t count = 0;
        for (const std::size_t cell : cells_) {
            for (const Side& side : sides(cell)) {
                if (std::isnan(z[side.cell])) continue;
                sum += static_cast<double>(z[side.cell]);
                ++count;
            }
        }
        return sum / static_cast<double>(count);
    }

    void add_cell(const Field<float>& z, std::size_t k) {
        const auto row = static_cast<Eigen::Index>(k);
        entries_.emplace_back(row, row, 2.0 * (across_ + down_));
        for (const Side& side : sides(cells_[k])) {
            if (!std::isnan(z[side.cell])) {
                rim_[row] += side.weight * (static_cast<double>(z[side.cell]) - base_);
                continue;
            }
            const auto other = std::lower_bound(cells_.begin(), cells_.end(), side.cell) - cells_.begin();
            entries_.emplace_back(row, other, -side.weight);
        }
    }

    std::vector<std::size_t> cells_;  // rising
    std::size_t width_;
    double across_;
    double down_;
    double base_ = 0;
    Eigen::VectorXd rim_;
    std::vector<Eigen::Triplet<double>> entries_;
};

/// Cells of each hole to be bridged, rising; holes in the order of their first cell.
std::vector<std::vector<std::size_t>> cells_to_bridge(const std::vector<Run>& runs,
                                                      const std::vector<Extent>& extents,
                                                      std::size_t largest_cells, const Grid& grid) {
    std::vector<std::vector<std::size_t>> holes;
    std::vector<std::size_t> place(runs.size(), 0);
    for (std::uint32_t k = 0; k < runs.size(); ++k) {
        const Run& run = runs[k];
        const Extent& extent = extents[run.hole];
        if (extent.reaches_edge || extent.cells > largest_cells) continue;
        if (run.hole == k) {
            place[k] = holes.size();
            holes.emplace_back();
        }
        for (std::int32_t c = run.begin; c < run.end; ++c) {
            holes[place[run.hole]].push_back(grid.index(run.row, c));
        }
    }
    return holes;
}

HoleReport count(const std::vector<Run>& runs, const std::vector<Extent>& extents,
                 std::size_t largest_cells) {
    HoleReport report;
    for (std::uint32_t k = 0; k < runs.size(); ++k) {
        if (runs[k].hole != k) continue;
        const Extent& extent = extents[k];
        if (extent.reaches_edge) {
            report.outside_cells += extent.cells;
        } else if (extent.cells <= largest_cells) {
            ++report.bridged_holes;
            report.bridged_cells += extent.cells;
        } else {
            ++report.open_holes;
            report.open_cells += extent.cells;
        }
    }
    return report;
}

}  // namespace

HoleReport bridge_small_holes(Ground& ground, std::size_t largest_cells) {
    std::vector<Run> runs = runs_of_nothing(ground.z);
    join_runs(runs);
    const std::vector<Extent> extents = measure(runs, ground.z);
    for (std::vector<std::size_t>& cells : cells_to_bridge(runs, extents, largest_cells, ground.grid)) {
        const Membrane membrane(ground.z, ground.grid, std::move(cells));
        const std::vector<float> height = membrane.solve();
        for (std::size_t k = 0; k < height.size(); ++k) ground.z[membrane.cells()[k]] = height[k];
    }
    return count(runs, extents, largest_cells);
}

}  // namespace lielow
