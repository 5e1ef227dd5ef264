// SPDX-License-Identifier: Apache-2.0
#include "tools/tune_trial.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "io/site_keys.hpp"
#include "sim/errors.hpp"
#include "tools/night_around.hpp"
#include "tools/read_ground.hpp"

namespace lielow {
namespace {

constexpr double trial_work = 1e9;  ///< a sixth of NightSetup::work_limit

NightSetup with_cell(NightSetup setup, double cell_m) {
    setup.cell_m = cell_m;
    if (cell_m == 0) setup.work_limit = trial_work;
    return setup;
}

bool is_tuned(const Site& site, std::string_view name) {
    return std::any_of(site.tune.ranges.begin(), site.tune.ranges.end(),
                       [&](const TuneRange& range) { return site_keys()[range.key].name == name; });
}

}  // namespace

TuneUnit unit_of(const TuneRange& range) {
    const SiteKey& key = site_keys()[range.key];
    if (key.kind != KeyKind::quantity) return {};
    const double zero = parse_quantity("0 " + range.unit, key.dimension);
    return {range.unit, zero, parse_quantity("1 " + range.unit, key.dimension) - zero};
}

TrialNight::TrialNight(const Site& site, const Dem& dem, const SiteEvening& evening,
                       std::shared_ptr<const Field<float>> sky_view, std::vector<std::size_t> cells,
                       double cell_m)
    : site_(site),
      dem_(dem),
      evening_(evening),
      sky_view_(std::move(sky_view)),
      cells_(std::move(cells)),
      cell_m_(cell_m) {
    std::vector<std::string> notes;
    plan_ = site_night_plan(site, dem.ground.grid, with_cell(night_setup(site, evening, notes), cell_m_));
    // The cells stay the same from trial to trial, or the fit would stumble over a change of cells.
    if (cell_m_ == 0) cell_m_ = std::max(plan_.grid.dx, plan_.grid.dy);
    around_ = read_site_around(site, dem, plan_.blocks, notes);
}

double TrialNight::value(std::size_t parameter, double share) const {
    const TuneRange& range = site_.tune.ranges[parameter];
    return range.low + share * (range.high - range.low);
}

std::string TrialNight::text(std::span<const double> shares) const {
    std::string text;
    for (std::size_t p = 0; p < shares.size(); ++p) {
        const TuneUnit unit = unit_of(site_.tune.ranges[p]);
        text +=
            fmt::format("{}{} = {:.4g}{}{}", p == 0 ? "" : ", ", site_keys()[site_.tune.ranges[p].key].name,
                        unit.value(value(p, shares[p])), unit.unit.empty() ? "" : " ", unit.unit);
    }
    return text;
}

Site TrialNight::site_with(std::span<const double> shares) const {
    Site site = site_;
    for (std::size_t p = 0; p < shares.size(); ++p) {
        SiteValue value;
        value.number = this->value(p, shares[p]);
        site_keys()[site_.tune.ranges[p].key].set(site, value);
    }
    return site;
}

SpotTemperatures TrialNight::run(std::span<const double> shares, const NightProgress& progress) const {
    const Site site = site_with(shares);
    std::vector<std::string> notes;
    const auto here = [&](const std::exception& error) {
        return shares.empty() ? std::string(error.what())
                              : fmt::format("{} (in the trial with {})", error.what(), text(shares));
    };
    try {
        NightSetup setup = with_cell(night_setup(site, evening_, notes), cell_m_);
        setup.sky_view = sky_view_;
        const NightPlan plan = site_night_plan(site, dem_.ground.grid, setup);
        const NightSurface surface = night_surface(evening_.surface, setup, plan, dem_.ground, notes);
        const NightResult night = farm_night(dem_.ground, around_ ? &*around_ : nullptr, setup, plan, surface,
                                             evening_.loss.sky_directions, progress);
        return spot_temperatures(dem_.ground, night, setup, cells_);
    } catch (const InputError& error) {
        throw InputError(here(error));
    } catch (const RunError& error) {
        throw RunError(here(error));
    }
}

void check_parameters_count(const Site& site, const NightSetup& setup) {
    const auto refuse = [&](std::string_view name, std::string_view why) {
        if (is_tuned(site, name))
            throw InputError(fmt::format("{}: tune.ranges: {} has no say in this night: {}",
                                         site.file.string(), name, why));
    };
    if (setup.loss_rule == LossRule::constant) {
        constexpr std::string_view why =
            "the loss is a constant; tune night.heat_loss, or give a dew point or weather";
        for (const std::string_view name : {"night.air_share", "night.dew_point"}) refuse(name, why);
    } else {
        refuse("night.heat_loss", "the loss comes from radiation; tune night.air_share");
        if (!setup.weather.empty()) {
            for (const std::string_view name : {"night.dew_point", "night.cloud"})
                refuse(name, "it comes from night.weather");
        }
    }
    if (setup.mixing_law == MixingLaw::stability) {
        refuse("night.mixing", "night.mixing_law is \"stability\"; tune night.calm_friction_velocity");
    } else {
        refuse("night.calm_friction_velocity", "night.mixing_law is \"uniform\"; tune night.mixing");
    }
}

}  // namespace lielow
