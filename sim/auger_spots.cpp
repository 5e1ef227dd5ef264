// SPDX-License-Identifier: Apache-2.0
#include "sim/auger_spots.hpp"

#include <algorithm>

namespace lielow {
namespace {

class Finder {
  public:
    Finder(const Grid& grid, const Field<float>& hollow, const Field<float>& wetness, const SoilFacts& facts,
           const AugerSpotOptions& options)
        : grid_(grid),
          hollow_(hollow),
          wetness_(wetness),
          facts_(facts),
          options_(options),
          open_(grid.rows, grid.cols, std::uint8_t{0}) {}

    std::vector<AugerSpot> find() {
        std::vector<AugerSpot> spots;
        for (std::size_t c = 0; c < open_.size(); ++c) open_[c] = doubtful(c) ? 1 : 0;
        for (std::size_t c = 0; c < open_.size(); ++c) {
            if (open_[c] == 0) continue;
            const AugerSpot spot = patch_from(c);
            if (spot.area_m2 >= options_.least_area_m2) spots.push_back(spot);
        }
        std::sort(spots.begin(), spots.end(), [](const AugerSpot& a, const AugerSpot& b) {
            return a.area_m2 != b.area_m2 ? a.area_m2 > b.area_m2 : a.cell < b.cell;
        });
        if (spots.size() > options_.most) spots.resize(options_.most);
        return spots;
    }

  private:
    [[nodiscard]] double hollow(std::size_t c) const { return static_cast<double>(hollow_[c]); }
    [[nodiscard]] double index(std::size_t c) const {
        return wetness_.empty() ? 0.0 : static_cast<double>(wetness_[c]);
    }
    [[nodiscard]] bool doubtful(std::size_t c) const {
        const bool settled = !facts_.test_weight.empty() &&
                             static_cast<double>(facts_.test_weight[c]) >= options_.settled_weight;
        const bool dry = facts_.drainage_class[c] <= static_cast<std::uint8_t>(DrainageClass::well);
        return dry && !settled && (hollow(c) >= options_.hollow_m || index(c) >= options_.wetness_index);
    }
    /// A cell in a deep enough hollow outdoes any without; else the deeper, else the wetter.
    [[nodiscard]] bool tells_more(std::size_t a, std::size_t b) const {
        const bool deep = hollow(a) >= options_.hollow_m || hollow(b) >= options_.hollow_m;
        if (deep && hollow(a) != hollow(b)) return hollow(a) > hollow(b);
        return !deep && index(a) > index(b);
    }
    /// Takes the patch out of `open_`.
    AugerSpot patch_from(std::size_t first) {
        std::vector<std::size_t> waiting{first};
        open_[first] = 0;
        std::size_t best = first;
        std::size_t count = 0;
        while (!waiting.empty()) {
            const std::size_t cell = waiting.back();
            waiting.pop_back();
            ++count;
            if (tells_more(cell, best) || (!tells_more(best, cell) && cell < best)) best = cell;
            add_neighbours(cell, waiting);
        }
        return {static_cast<std::uint32_t>(best),
                hollow(best),
                index(best),
                static_cast<double>(count) * grid_.cell_area(),
                hollow(best) >= options_.hollow_m,
                static_cast<DrainageClass>(facts_.drainage_class[best])};
    }
    void add_neighbours(std::size_t cell, std::vector<std::size_t>& waiting) {
        const auto row = static_cast<std::int32_t>(cell / static_cast<std::size_t>(grid_.cols));
        const auto col = static_cast<std::int32_t>(cell % static_cast<std::size_t>(grid_.cols));
        for (std::int32_t r = row - 1; r <= row + 1; ++r) {
            for (std::int32_t c = col - 1; c <= col + 1; ++c) {
                if (!grid_.contains(r, c) || open_(r, c) == 0) continue;
                open_(r, c) = 0;
                waiting.push_back(grid_.index(r, c));
            }
        }
    }

    const Grid& grid_;
    const Field<float>& hollow_;
    const Field<float>& wetness_;
    const SoilFacts& facts_;
    const AugerSpotOptions& options_;
    Field<std::uint8_t> open_;
};

}  // namespace

std::vector<AugerSpot> auger_spots(const Grid& grid, const Field<float>& hollow_depth_m,
                                   const Field<float>& wetness, const SoilFacts& facts,
                                   const AugerSpotOptions& options) {
    if (facts.drainage_class.empty()) return {};
    return Finder(grid, hollow_depth_m, wetness, facts, options).find();
}

}  // namespace lielow
