// SPDX-License-Identifier: Apache-2.0
#include "sim/test_overlay.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

/// Calls see(cell, distance) for every cell within reach of a test.
template <class See>
void for_cells_near(const Grid& grid, const PlacedFinding& test, double reach_m, See see) {
    if (!test.at_m) {
        for (const std::uint32_t cell : test.cells) see(cell, 0.5 * reach_m);
        return;
    }
    const auto bound = [](double at, double step, std::int32_t count) {
        return static_cast<std::int32_t>(
            std::clamp(std::floor(at / step), 0.0, static_cast<double>(count - 1)));
    };
    const double x = (*test.at_m)[0];
    const double y = (*test.at_m)[1];
    const std::int32_t last_row = bound(y + reach_m, grid.dy, grid.rows);
    const std::int32_t last_col = bound(x + reach_m, grid.dx, grid.cols);
    for (std::int32_t r = bound(y - reach_m, grid.dy, grid.rows); r <= last_row; ++r) {
        for (std::int32_t c = bound(x - reach_m, grid.dx, grid.cols); c <= last_col; ++c) {
            const double d = std::hypot((c + 0.5) * grid.dx - x, (r + 0.5) * grid.dy - y);
            if (d < reach_m) see(grid.index(r, c), d);
        }
    }
}

/// One number of the facts under the tests that speak of it.
class NumberOverlay {
  public:
    NumberOverlay(const Grid& grid, std::span<const PlacedFinding> tests, double reach_m)
        : grid_(grid), tests_(tests), reach_m_(reach_m) {}

    /// `bound`: a test may lower what stands, never raise it, and where nothing stands its value is a bound
    /// alone, marked with 1.
    void lay(double SoilFinding::*member, Field<float>& values, bool logarithm = false,
             Field<std::uint8_t>* bound = nullptr) {
        const bool any = std::any_of(tests_.begin(), tests_.end(), [member](const PlacedFinding& test) {
            return !std::isnan(test.finding.*member);
        });
        if (!any) return;
        gather(member, logarithm);
        if (values.empty()) values = Field<float>(grid_.rows, grid_.cols, unknown);
        for (std::size_t c = 0; c < values.size(); ++c) {
            if (!(share_[c] > 0)) continue;
            const double mean = sum_[c] / share_[c];
            const auto before = static_cast<double>(values[c]);
            const double survey = logarithm ? std::log(before) : before;
            const auto weight = static_cast<double>(weight_[c]);
            if (bound != nullptr && survey <= mean) continue;
            if (bound != nullptr && std::isnan(survey)) mark(*bound, c);
            const double mixed = std::isnan(survey) ? mean : weight * mean + (1 - weight) * survey;
            values[c] = static_cast<float>(logarithm ? std::exp(mixed) : mixed);
        }
    }

  private:
    void mark(Field<std::uint8_t>& marks, std::size_t cell) const {
        if (marks.empty()) marks = Field<std::uint8_t>(grid_.rows, grid_.cols, std::uint8_t{0});
        marks[cell] = 1;
    }
    void gather(double SoilFinding::*member, bool logarithm) {
        share_ = Field<double>(grid_.rows, grid_.cols, 0.0);
        sum_ = Field<double>(grid_.rows, grid_.cols, 0.0);
        weight_ = Field<float>(grid_.rows, grid_.cols, 0.0F);
        for (const PlacedFinding& test : tests_) {
            const double found = test.finding.*member;
            if (std::isnan(found)) continue;
            const double value = logarithm ? std::log(found) : found;
            for_cells_near(grid_, test, reach_m_, [&](std::size_t cell, double d) {
                const double at_least = 1e-6 * reach_m_;
                const double root = (reach_m_ - d) / (reach_m_ * std::max(d, at_least));
                share_[cell] += root * root;
                sum_[cell] += root * root * value;
                weight_[cell] = std::max(weight_[cell], static_cast<float>(1 - d / reach_m_));
            });
        }
    }

    const Grid& grid_;
    std::span<const PlacedFinding> tests_;
    double reach_m_;
    Field<double> share_;
    Field<double> sum_;
    Field<float> weight_;
};

void lay_classes(const Grid& grid, std::span<const PlacedFinding> tests, double reach_m,
                 Field<std::uint8_t>& classes) {
    Field<float> nearest(grid.rows, grid.cols, std::numeric_limits<float>::infinity());
    for (const PlacedFinding& test : tests) {
        if (test.finding.drainage == DrainageClass::unknown) continue;
        if (classes.empty())
            classes =
                Field<std::uint8_t>(grid.rows, grid.cols, static_cast<std::uint8_t>(DrainageClass::unknown));
        for_cells_near(grid, test, reach_m, [&](std::size_t cell, double d) {
            if (!(static_cast<float>(d) < nearest[cell])) return;
            nearest[cell] = static_cast<float>(d);
            classes[cell] = static_cast<std::uint8_t>(test.finding.drainage);
        });
    }
}

}  // namespace

void lay_tests(const Grid& grid, std::span<const PlacedFinding> tests, double reach_m, SoilFacts& facts) {
    if (!(reach_m > 0)) throw InputError("the reach of field tests must be above 0");
    NumberOverlay overlay(grid, tests, reach_m);
    overlay.lay(&SoilFinding::table_depth_year_m, facts.table_depth_year_m, false, &facts.table_seen_only);
    overlay.lay(&SoilFinding::table_depth_spring_m, facts.table_depth_spring_m, false,
                &facts.table_seen_only);
    overlay.lay(&SoilFinding::floor_depth_m, facts.floor_depth_m);
    overlay.lay(&SoilFinding::ph, facts.ph);
    overlay.lay(&SoilFinding::available_water_m, facts.available_water_m);
    overlay.lay(&SoilFinding::conductivity_m_s, facts.conductivity_m_s, true);
    overlay.lay(&SoilFinding::hard_share, facts.hard_share);
    lay_classes(grid, tests, reach_m, facts.drainage_class);
    if (tests.empty()) return;
    if (facts.test_weight.empty()) facts.test_weight = Field<float>(grid.rows, grid.cols, 0.0F);
    for (const PlacedFinding& test : tests) {
        for_cells_near(grid, test, reach_m, [&](std::size_t cell, double d) {
            facts.test_weight[cell] = std::max(facts.test_weight[cell], static_cast<float>(1 - d / reach_m));
        });
    }
}

}  // namespace lielow
