// SPDX-License-Identifier: Apache-2.0
// In how many runs of an ensemble a cell has which class, and how sure that makes the answer.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "sim/grid.hpp"
#include "sim/siting_factors.hpp"
#include "sim/zonal.hpp"

namespace lielow {

/// Counts by class; 8 bytes a cell.
class ClassCounts {
  public:
    explicit ClassCounts(const Grid& grid);

    /// Numbers of SitingClass; cells without ground count for nothing. At most 65535 runs.
    void add(const Field<std::uint8_t>& classes);

    [[nodiscard]] int of(std::size_t cell, SitingClass siting) const;
    /// Runs in which the cell had any class.
    [[nodiscard]] int runs(std::size_t cell) const;
    /// Share of those with that class, 0..1; NaN where the cell never had one.
    [[nodiscard]] Field<float> share_of(SitingClass siting) const;
    /// The class of most runs, the milder one of equals; unknown without a run.
    [[nodiscard]] SitingClass most_frequent(std::size_t cell) const;
    /// Whether at least the share `agreement` of the runs give the cell one class, and that isn't unknown.
    [[nodiscard]] bool is_settled(std::size_t cell, double agreement) const;

  private:
    std::int32_t rows_;
    std::int32_t cols_;
    std::array<Field<std::uint16_t>, siting_classes> counts_;
};

/// Mean and spread of a value over runs, cell by cell, by Welford's recurrence (1962, Technometrics 4,
/// 419-420); 8 bytes a cell.
class RunSpread {
  public:
    explicit RunSpread(const Grid& grid);
    void add(const Field<float>& values);
    /// Standard deviation with n - 1; NaN with fewer than two runs, or where a run had no value.
    [[nodiscard]] Field<float> spread() const;

  private:
    int runs_ = 0;
    Field<float> mean_;
    Field<float> squares_;
};

/// How sure a field's siting is.
enum class Confidence : std::uint8_t { sure, fairly_sure, open };
inline constexpr std::array<std::string_view, 3> confidence_names{"sure", "fairly sure", "open"};

/// Shares of a field's ground that must be settled for the first two words.
inline constexpr double sure_from = 0.9;
inline constexpr double fairly_sure_from = 0.7;

/// By the share of the ground that is settled, 0..1; the limits belong to the better word.
Confidence confidence_of(double settled_share);

/// One field's ground by what the runs say, m².
struct FieldAgreement {
    double ground_m2 = 0;
    double settled_m2 = 0;
    std::array<double, siting_classes> settled_by_class_m2{};
    double unknown_m2 = 0;  ///< class unknown in most runs
    [[nodiscard]] double settled_share() const { return ground_m2 > 0 ? settled_m2 / ground_m2 : 0.0; }
};
FieldAgreement field_agreement(const Grid& grid, const ClassCounts& counts, double agreement,
                               const Zone& zone);

/// Share of the zone's ground on which two maps of classes differ, 0..1.
double differing_share(const Field<std::uint8_t>& a, const Field<std::uint8_t>& b, const Zone& zone);

}  // namespace lielow
