// SPDX-License-Identifier: Apache-2.0
// Fits numbers of a site's night to the readings of loggers.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/dem.hpp"
#include "io/site.hpp"
#include "io/summary.hpp"
#include "sim/least_squares.hpp"
#include "sim/logger_fit.hpp"
#include "sim/sensitivity.hpp"
#include "tools/progress.hpp"
#include "tools/tune_trial.hpp"

namespace lielow {

/// Why a night was run.
enum class TuneStage : std::uint8_t { site_file, design, fit, sensitivity, leave_out };
inline constexpr std::array<std::string_view, 5> tune_stage_names{"site_file", "design", "fit", "sensitivity",
                                                                  "leave_out"};

struct TuneRun {
    TuneStage stage = TuneStage::design;
    std::vector<double> shares;   ///< of the parameters' ranges; empty = as the site file has them
    Field<double> celsius;        ///< one logger a row, one of TuneResult::read.moments_s a column
    std::vector<double> apart_k;  ///< model less reading (sim/logger_fit.hpp, differences)
    double rms_k = 0;
};

struct TunedParameter {
    std::string name;  ///< "night.mixing"
    TuneRange range;
    TuneUnit unit;
    double share = 0;
    double value = 0;                        ///< SI
    double standard_error = 0;               ///< SI, widened; NaN where the readings don't tell
    std::optional<ElementaryEffect> effect;  ///< on the rms error, K for the whole range
    std::optional<VarianceIndex> variance;   ///< of the rms error
};

/// One logger foretold from the others, K; NaN where it can't be.
struct LeftOutLogger {
    std::vector<double> values;  ///< of the parameters, SI
    double model_rms_k = 0;
    double line_rms_k = 0;  ///< over the same readings, by the straight line on elevation
    std::size_t readings = 0;
};

struct TunePlace {
    std::string name;
    double x = 0;
    double y = 0;
    double elevation_m = 0;
    double bias_k = 0;  ///< tuned model less reading, mean
    double rms_k = 0;
};

struct TuneResult {
    Site site;
    std::string night;  ///< "2026-04-18"
    std::string clock;  ///< of times without a zone
    double sunset_s = 0;
    double cell_width_m = 0;
    double cell_height_m = 0;
    Observations read;
    std::vector<TunePlace> places;
    std::vector<TuneRun> runs;
    std::vector<TunedParameter> parameters;
    Field<double> correlations;  ///< of the parameters' errors
    std::size_t tuned = 0;       ///< its run
    double site_rms_k = 0;
    double design_rms_k = 0;
    double rms_k = 0;
    bool settled = false;
    double lag_one = 0;  ///< of the differences
    double widened_by = 1;
    std::vector<LeftOutLogger> left_out;  ///< by place; empty with one logger
    double left_out_model_rms_k = 0;      ///< over all readings the line could foretell
    double left_out_line_rms_k = 0;
    std::vector<InputRecord> inputs;
    std::vector<std::string> notes;
};

/// Runs the trials and writes tuned.toml, tune.json and runs.nc into `out`, all of them or none. Throws
/// InputError, RunError or Interrupted.
TuneResult tune_site(Site site, const std::filesystem::path& out, Progress& progress);

/// The texts of the files and of the report.
std::string tuned_toml(const TuneResult& result);
std::string tune_json(const TuneResult& result);
void write_tune_runs(const TuneResult& result, const std::filesystem::path& path);
std::string tune_report(const TuneResult& result);

}  // namespace lielow
