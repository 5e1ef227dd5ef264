// SPDX-License-Identifier: Apache-2.0
#include "sim/agreement.hpp"

#include <cmath>
#include <limits>

namespace lielow {
namespace {

constexpr float not_known = std::numeric_limits<float>::quiet_NaN();
constexpr double rounding = 1e-9;  // 0.8 of 5 runs are 4, whatever a double makes of 0.8

}  // namespace

ClassCounts::ClassCounts(const Grid& grid) : rows_(grid.rows), cols_(grid.cols) {
    for (auto& count : counts_) count = Field<std::uint16_t>(grid.rows, grid.cols, 0);
}

void ClassCounts::add(const Field<std::uint8_t>& classes) {
    for (std::size_t cell = 0; cell < classes.size(); ++cell) {
        if (classes[cell] < siting_classes) ++counts_.at(classes[cell])[cell];
    }
}

int ClassCounts::of(std::size_t cell, SitingClass siting) const {
    return counts_.at(static_cast<std::size_t>(siting))[cell];
}

int ClassCounts::runs(std::size_t cell) const {
    int runs = 0;
    for (const auto& count : counts_) runs += count[cell];
    return runs;
}

Field<float> ClassCounts::share_of(SitingClass siting) const {
    Field<float> share(rows_, cols_, not_known);
    for (std::size_t cell = 0; cell < share.size(); ++cell) {
        if (const int all = runs(cell); all > 0)
            share[cell] = static_cast<float>(of(cell, siting)) / static_cast<float>(all);
    }
    return share;
}

SitingClass ClassCounts::most_frequent(std::size_t cell) const {
    auto most = SitingClass::unknown;
    int greatest = 0;
    for (std::size_t c = 0; c < siting_classes; ++c) {
        const auto siting = static_cast<SitingClass>(c);
        if (of(cell, siting) <= greatest) continue;
        greatest = of(cell, siting);
        most = siting;
    }
    return most;
}

bool ClassCounts::is_settled(std::size_t cell, double agreement) const {
    const SitingClass most = most_frequent(cell);
    return most != SitingClass::unknown && of(cell, most) >= agreement * runs(cell) - rounding;
}

RunSpread::RunSpread(const Grid& grid)
    : mean_(grid.rows, grid.cols, 0.0F), squares_(grid.rows, grid.cols, 0.0F) {}

void RunSpread::add(const Field<float>& values) {
    ++runs_;
    for (std::size_t cell = 0; cell < values.size(); ++cell) {
        const float off = values[cell] - mean_[cell];
        mean_[cell] += off / static_cast<float>(runs_);
        squares_[cell] += off * (values[cell] - mean_[cell]);
    }
}

Field<float> RunSpread::spread() const {
    Field<float> spread(mean_.rows(), mean_.cols(), not_known);
    if (runs_ < 2) return spread;
    for (std::size_t cell = 0; cell < spread.size(); ++cell)
        spread[cell] = std::sqrt(squares_[cell] / static_cast<float>(runs_ - 1));
    return spread;
}

Confidence confidence_of(double settled_share) {
    if (settled_share >= sure_from) return Confidence::sure;
    return settled_share >= fairly_sure_from ? Confidence::fairly_sure : Confidence::open;
}

FieldAgreement field_agreement(const Grid& grid, const ClassCounts& counts, double agreement,
                               const Zone& zone) {
    FieldAgreement field;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const std::size_t cell = zone.cells[i];
        if (counts.runs(cell) == 0) continue;
        const double area = static_cast<double>(zone.share[i]) * grid.cell_area();
        const SitingClass most = counts.most_frequent(cell);
        field.ground_m2 += area;
        if (most == SitingClass::unknown) field.unknown_m2 += area;
        if (!counts.is_settled(cell, agreement)) continue;
        field.settled_m2 += area;
        field.settled_by_class_m2.at(static_cast<std::size_t>(most)) += area;
    }
    return field;
}

double differing_share(const Field<std::uint8_t>& a, const Field<std::uint8_t>& b, const Zone& zone) {
    double all = 0;
    double differing = 0;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const std::size_t cell = zone.cells[i];
        if (a[cell] >= siting_classes && b[cell] >= siting_classes) continue;
        all += static_cast<double>(zone.share[i]);
        if (a[cell] != b[cell]) differing += static_cast<double>(zone.share[i]);
    }
    return all > 0 ? differing / all : 0.0;
}

}  // namespace lielow
