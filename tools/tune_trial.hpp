// SPDX-License-Identifier: Apache-2.0
// The night of a site with some keys changed, as its loggers would read it.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "io/around.hpp"
#include "tools/night_setup.hpp"
#include "tools/night_spots.hpp"

namespace lielow {

/// A key's value in SI, and as the person who wrote its range would write it.
struct TuneUnit {
    std::string unit;  ///< "W/m2"; empty for a plain number
    double si_at_zero = 0;
    double si_per_unit = 1;
    [[nodiscard]] double value(double si) const { return (si - si_at_zero) / si_per_unit; }
    [[nodiscard]] double difference(double si) const { return si / si_per_unit; }
};
TuneUnit unit_of(const TuneRange& range);

/// What all trials share; only the night itself is solved anew. What it refers to must outlive it.
class TrialNight {
  public:
    /// `cell_m`: of the trials' nights, 0 = chosen for a sixth of a night's work.
    TrialNight(const Site& site, const Dem& dem, const SiteEvening& evening,
               std::shared_ptr<const Field<float>> sky_view, std::vector<std::size_t> cells, double cell_m);

    /// The night with parameters at these shares of their ranges; with none, as the site file has it. Throws
    /// InputError or RunError with the parameters' values where it can't be run, Interrupted.
    [[nodiscard]] SpotTemperatures run(std::span<const double> shares, const NightProgress& progress) const;

    /// Value of a parameter, SI.
    [[nodiscard]] double value(std::size_t parameter, double share) const;
    /// "night.mixing = 0.05 m2/s, …".
    [[nodiscard]] std::string text(std::span<const double> shares) const;
    [[nodiscard]] const NightPlan& plan() const { return plan_; }

  private:
    [[nodiscard]] Site site_with(std::span<const double> shares) const;
    const Site& site_;
    const Dem& dem_;
    const SiteEvening& evening_;
    std::shared_ptr<const Field<float>> sky_view_;
    std::vector<std::size_t> cells_;
    double cell_m_;
    NightPlan plan_;  ///< with the site file's own values
    std::optional<Around> around_;
};

/// Throws InputError where a parameter has no say in this site's night, such as night.air_share under a
/// constant loss.
void check_parameters_count(const Site& site, const NightSetup& setup);

}  // namespace lielow
