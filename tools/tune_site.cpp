// SPDX-License-Identifier: Apache-2.0
#include "tools/tune_site.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <functional>
#include <limits>
#include <map>

#include "io/logger_record.hpp"
#include "io/site_keys.hpp"
#include "io/staging.hpp"
#include "sim/designs.hpp"
#include "sim/errors.hpp"
#include "tools/night_times.hpp"
#include "tools/read_ground.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr double moment_s = 900;  ///< from one moment to the next, as NightSetup::sample_interval_s
constexpr int morris_levels = 4;
/// Largest change of the error, relative, that ends the fit: the nights are single precision.
constexpr double fit_tolerance = 1e-5;
constexpr int fit_calls_per_parameter = 40;

double root_mean_square(std::span<const double> values) {
    double sum = 0;
    for (const double v : values) sum += v * v;
    return values.empty() ? NAN : std::sqrt(sum / static_cast<double>(values.size()));
}

std::span<const double> row_of(const Field<double>& design, std::int32_t row) {
    return design.row(row);
}

/// The trials of a tuning, in the order they are run; none is run twice.
class Trials {
  public:
    Trials(const TrialNight& night, TuneResult& result, Progress& progress)
        : night_(night), result_(result), progress_(progress) {}

    void begin(TuneStage stage, const std::string& name, double expected) {
        throw_if_stopped();
        progress_.begin(name);
        stage_ = stage;
        expected_ = std::max(expected, 1.0);
        done_ = 0;
    }
    /// Its number in result.runs.
    std::size_t run(std::span<const double> shares) {
        const std::vector<double> key(shares.begin(), shares.end());
        const auto known = known_.find(key);
        const double from = std::min(done_ / expected_, 1.0);
        done_ += 1;
        if (known != known_.end()) return known->second;
        const SpotTemperatures told = night_.run(shares, [&](double share) {
            progress_.at(std::min(from + share / expected_, 1.0));
            return !stop_requested();
        });
        throw_if_stopped();
        TuneRun run{stage_, key, at_moments(told), differences(result_.read, told.time_s, told.celsius), 0};
        run.rms_k = root_mean_square(run.apart_k);
        result_.runs.push_back(std::move(run));
        known_.emplace(key, result_.runs.size() - 1);
        return result_.runs.size() - 1;
    }
    const TuneRun& operator()(std::span<const double> shares) { return result_.runs[run(shares)]; }

  private:
    [[nodiscard]] Field<double> at_moments(const SpotTemperatures& told) const {
        const auto& moments = result_.read.moments_s;
        Field<double> celsius(told.celsius.rows(), static_cast<std::int32_t>(moments.size()));
        for (std::int32_t k = 0; k < celsius.rows(); ++k) {
            for (std::int32_t n = 0; n < celsius.cols(); ++n)
                celsius(k, n) =
                    value_at(told.time_s, told.celsius.row(k), moments[static_cast<std::size_t>(n)]);
        }
        return celsius;
    }
    const TrialNight& night_;
    TuneResult& result_;
    Progress& progress_;
    TuneStage stage_ = TuneStage::design;
    double expected_ = 1;
    double done_ = 0;
    std::map<std::vector<double>, std::size_t> known_;
};

Field<double> first_design(const TuneSettings& tune) {
    const auto parameters = static_cast<int>(tune.ranges.size());
    if (tune.design == TuneDesign::latin) return latin_hypercube_design(parameters, tune.trials, tune.seed);
    if (tune.design == TuneDesign::sobol) return sobol_design(parameters, tune.trials);
    int levels = 1;
    while (std::pow(levels + 1, parameters) <= tune.trials) ++levels;
    return grid_design(parameters, levels);
}

/// The best run of the design.
std::size_t run_design(Trials& trials, TuneResult& result) {
    const Field<double> design = first_design(result.site.tune);
    trials.begin(TuneStage::design, fmt::format("{} first trials", design.rows()), design.rows());
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::int32_t t = 0; t < design.rows(); ++t) {
        const std::size_t at = trials.run(row_of(design, t));
        if (result.runs[at].rms_k < least) {
            least = result.runs[at].rms_k;
            best = at;
        }
    }
    result.design_rms_k = least;
    return best;
}

/// The tuned parameters' shares; fills what `result` says of the fit.
std::vector<double> fit(Trials& trials, const TrialNight& night, std::size_t from, const FitOptions& options,
                        TuneResult& result) {
    const std::vector<double> start = result.runs[from].shares;
    trials.begin(TuneStage::fit, "fit", options.most_calls);
    Fit found =
        fit_least_squares([&](std::span<const double> x) { return trials(x).apart_k; }, start, options);
    result.tuned = trials.run(found.parameters);
    result.rms_k = found.root_mean_square;
    result.settled = found.settled;
    result.correlations = std::move(found.correlations);
    const TuneRun& tuned = result.runs[result.tuned];
    result.lag_one = lag_one_correlation(result.read, tuned.apart_k);
    result.widened_by = widening(result.lag_one);
    for (std::size_t p = 0; p < found.parameters.size(); ++p) {
        const TuneRange& range = result.site.tune.ranges[p];
        TunedParameter parameter;
        parameter.name = site_keys()[range.key].name;
        parameter.range = range;
        parameter.unit = unit_of(range);
        parameter.share = found.parameters[p];
        parameter.value = night.value(p, parameter.share);
        parameter.standard_error = found.standard_errors[p] * (range.high - range.low) * result.widened_by;
        result.parameters.push_back(std::move(parameter));
    }
    return found.parameters;
}

void find_sensitivity(Trials& trials, TuneResult& result) {
    const TuneSettings& tune = result.site.tune;
    if (tune.sensitivity == TuneSensitivity::none) return;
    const auto parameters = static_cast<int>(tune.ranges.size());
    const bool morris = tune.sensitivity == TuneSensitivity::morris;
    const Field<double> design = morris ? morris_design(parameters, tune.paths, morris_levels, tune.seed)
                                        : variance_design(parameters, tune.paths);
    trials.begin(TuneStage::sensitivity, "sensitivity", design.rows());
    std::vector<double> errors;
    for (std::int32_t t = 0; t < design.rows(); ++t) errors.push_back(trials(row_of(design, t)).rms_k);
    for (std::size_t p = 0; p < result.parameters.size(); ++p) {
        if (morris) {
            result.parameters[p].effect = elementary_effects(design, errors)[p];
        } else {
            result.parameters[p].variance = variance_indices(errors, parameters)[p];
        }
    }
}

/// One logger's error by a model run without it, and by the line, over the readings that the line can tell.
LeftOutLogger judge_left_out(const TuneResult& result, std::int32_t k, const TuneRun& run,
                             const Field<double>& by_line) {
    LeftOutLogger out;
    std::size_t at = 0;
    std::vector<double> model;
    std::vector<double> line;
    for (std::int32_t place = 0; place < result.read.value.rows(); ++place) {
        for (std::int32_t n = 0; n < result.read.value.cols(); ++n) {
            const double value = result.read.value(place, n);
            if (std::isnan(value)) continue;
            if (place == k && !std::isnan(by_line(k, n))) {
                model.push_back(run.apart_k[at]);
                line.push_back(by_line(k, n) - value);
            }
            ++at;
        }
    }
    out.readings = model.size();
    out.model_rms_k = root_mean_square(model);
    out.line_rms_k = root_mean_square(line);
    return out;
}

void leave_loggers_out(Trials& trials, const TrialNight& night, const std::vector<double>& tuned, double step,
                       TuneResult& result) {
    const std::int32_t loggers = result.read.value.rows();
    if (loggers < 2) return;
    trials.begin(TuneStage::leave_out, "leaving out each logger",
                 loggers + 2 * static_cast<double>(tuned.size()));
    // The trials are those that the fit ended with.
    const Field<double> jacobian =
        residual_jacobian([&](std::span<const double> x) { return trials(x).apart_k; }, tuned, step);
    const std::vector<double> apart = result.runs[result.tuned].apart_k;
    std::vector<std::int32_t> free;
    for (std::size_t p = 0; p < tuned.size(); ++p) {
        if (!std::isnan(result.parameters[p].standard_error)) free.push_back(static_cast<std::int32_t>(p));
    }
    std::vector<double> elevation_m;
    for (const TunePlace& place : result.places) elevation_m.push_back(place.elevation_m);
    const Field<double> by_line = by_elevation(result.read, elevation_m);
    double model = 0;
    double line = 0;
    double readings = 0;
    for (std::int32_t k = 0; k < loggers; ++k) {
        const auto shares = parameters_without(result.read, k, jacobian, apart, tuned, free);
        LeftOutLogger out = judge_left_out(result, k, trials(shares), by_line);
        for (std::size_t p = 0; p < shares.size(); ++p) out.values.push_back(night.value(p, shares[p]));
        const auto n = static_cast<double>(out.readings);
        if (out.readings > 0) {
            model += n * out.model_rms_k * out.model_rms_k;
            line += n * out.line_rms_k * out.line_rms_k;
            readings += n;
        }
        result.left_out.push_back(std::move(out));
    }
    result.left_out_model_rms_k = readings > 0 ? std::sqrt(model / readings) : NAN;
    result.left_out_line_rms_k = readings > 0 ? std::sqrt(line / readings) : NAN;
}

void judge_places(TuneResult& result) {
    const auto& apart = result.runs[result.tuned].apart_k;
    std::size_t at = 0;
    for (std::int32_t k = 0; k < result.read.value.rows(); ++k) {
        std::vector<double> own;
        for (std::int32_t n = 0; n < result.read.value.cols(); ++n) {
            if (!std::isnan(result.read.value(k, n))) own.push_back(apart[at++]);
        }
        TunePlace& place = result.places[static_cast<std::size_t>(k)];
        for (const double d : own) place.bias_k += d / static_cast<double>(own.size());
        place.rms_k = root_mean_square(own);
    }
}

/// Readings and places into the result; the DEM's cells under the loggers.
std::vector<std::size_t> take_readings(const Dem& dem, const SiteEvening& evening, TuneResult& result) {
    const Site& site = result.site;
    std::vector<Spot> spots;
    for (PlacedSpot& placed : read_site_spots(site, dem, result.notes))
        spots.push_back(std::move(placed.spot));
    const LoggerRecord record = read_loggers(
        {*site.tune.records, *site.night.date, clock_offset_s(site, dem.geo), evening.span}, spots, dem.geo);
    result.notes.insert(result.notes.end(), record.notes.begin(), record.notes.end());
    std::vector<std::size_t> cells;
    std::vector<std::vector<TimedValue>> readings;
    for (const Logger& logger : record.loggers) {
        const auto cell = cell_at(dem, logger.spot.x, logger.spot.y);
        if (!cell)
            throw InputError(fmt::format(
                "{}: the DEM has no ground at logger \"{}\" ({:.2f}, {:.2f} in the DEM's CRS); check its "
                "position or its CRS",
                site.tune.records->string(), logger.spot.name, logger.spot.x, logger.spot.y));
        cells.push_back(*cell);
        result.places.push_back(
            {logger.spot.name, logger.spot.x, logger.spot.y, static_cast<double>(dem.ground.z[*cell])});
        readings.emplace_back();
        for (const LoggerReading& r : logger.readings)
            readings.back().push_back({r.time_s - evening.span.sunset_s, r.celsius});
    }
    std::vector<double> moments;
    for (double t = 0; t <= evening.span.length_s(); t += moment_s) moments.push_back(t);
    result.read = mean_by_moment(readings, moments);
    if (result.read.known() <= site.tune.ranges.size())
        throw InputError(fmt::format(
            "{}: {} quarter-hourly means of readings can't tell {} parameters apart; give more readings",
            site.tune.records->string(), result.read.known(), site.tune.ranges.size()));
    return cells;
}

void require_tuning(const Site& site) {
    require_keys_for(site, "night");
    require_keys_for(site, "tune");
    if (site.tune.ranges.empty())
        throw InputError(
            fmt::format("{}: nothing says what to tune; write [tune.ranges] and below it such as "
                        "\"night.mixing\" = [\"0.02 m2/s\", \"0.1 m2/s\"]",
                        site.file.string()));
}

void tell_doubts(TuneResult& result) {
    if (!result.settled)
        result.notes.emplace_back(
            "the fit was stopped before it settled; give more trials, or narrower ranges");
    for (const TunedParameter& parameter : result.parameters) {
        constexpr double on_bound = 1e-3;
        if (parameter.share < on_bound || parameter.share > 1 - on_bound) {
            result.notes.push_back(fmt::format(
                "{} lies at the end of its range; the best value may lie beyond", parameter.name));
        } else if (std::isnan(parameter.standard_error)) {
            result.notes.push_back(
                fmt::format("these readings don't tell {}, or not apart from the others; leave it out of "
                            "tune.ranges",
                            parameter.name));
        }
    }
}

void write_text(const std::filesystem::path& path, const std::string& text) {
    std::ofstream stream(path, std::ios::binary);
    stream << text;
    stream.close();
    if (!stream)
        throw RunError(fmt::format("{} can't be written; is the disk full?", path.filename().string()));
}

void run_trials(const Dem& dem, const std::vector<FarmField>& fields, Obstacles obstacles, Progress& progress,
                TuneResult& result) {
    const Site& site = result.site;
    const SiteEvening evening = read_evening(site, dem, fields, std::move(obstacles), result.notes);
    const NightSetup setup = night_setup(site, evening, result.notes);
    check_parameters_count(site, setup);
    std::vector<std::size_t> cells = take_readings(dem, evening, result);
    result.night = date_text(site);
    result.clock = clock_name(site, dem.geo);
    result.sunset_s = evening.span.sunset_s;
    progress.begin("sky view");
    const double cell_m = site.tune.cell_m.value_or(0) > 0 ? *site.tune.cell_m : site.night.cell_m;
    const TrialNight night(site, dem, evening, site_sky_view(dem, evening.loss.sky_directions),
                           std::move(cells), cell_m);
    result.cell_width_m = night.plan().grid.dx;
    result.cell_height_m = night.plan().grid.dy;
    Trials trials(night, result, progress);
    trials.begin(TuneStage::site_file, "night of the site file", 1);
    result.site_rms_k = trials({}).rms_k;
    FitOptions options;
    options.most_calls = fit_calls_per_parameter * (static_cast<int>(site.tune.ranges.size()) + 1);
    options.tolerance = fit_tolerance;
    const std::vector<double> tuned = fit(trials, night, run_design(trials, result), options, result);
    find_sensitivity(trials, result);
    leave_loggers_out(trials, night, tuned, options.step, result);
    judge_places(result);
    tell_doubts(result);
}

}  // namespace

TuneResult tune_site(Site site, const std::filesystem::path& out, Progress& progress) {
    require_tuning(site);
    Staging staging(out);
    throw_if_stopped();
    progress.begin("reading the ground");
    const Dem dem = read_site_dem(site);
    TuneResult result;
    result.notes = dem.notes;
    const std::vector<FarmField> fields = read_site_fields(site, dem, result.notes);
    Obstacles obstacles = read_site_obstacles(site, dem, result.notes);
    result.inputs = input_records(site);
    result.site = std::move(site);
    run_trials(dem, fields, std::move(obstacles), progress, result);
    progress.begin("writing");
    write_text(staging.path("tuned.toml"), tuned_toml(result));
    write_text(staging.path("tune.json"), tune_json(result));
    write_tune_runs(result, staging.path("runs.nc"));
    progress.end();
    throw_if_stopped();
    staging.commit();
    return result;
}

}  // namespace lielow
