// SPDX-License-Identifier: Apache-2.0
// What a tuning leaves behind: tuned.toml to copy from, tune.json with every figure, runs.nc with every run.
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "io/json_number.hpp"
#include "io/library_versions.hpp"
#include "io/netcdf_file.hpp"
#include "tools/tune_site.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::string_view caution =
    "Fitted to one night at these loggers: another night, wind, soil moisture or season may want other "
    "values. "
    "A screening picture, not a forecast.";

std::string_view last_part(std::string_view name) {
    return name.substr(name.rfind('.') + 1);
}

/// A temperature or another figure as a site file takes it.
std::string toml_value(const TunedParameter& p) {
    const std::string text = fmt::format("{:.6g}", p.unit.value(p.value));
    if (!p.unit.unit.empty()) return fmt::format("\"{} {}\"", text, p.unit.unit);
    return text.find_first_of(".e") == std::string::npos ? text + ".0" : text;
}

std::string error_words(const TunedParameter& p) {
    if (std::isnan(p.standard_error)) return "standard error not known";
    return fmt::format("standard error {:.2g}{}{}", p.unit.difference(p.standard_error),
                       p.unit.unit.empty() ? "" : " ", p.unit.unit);
}

Json parameter_json(const TunedParameter& p) {
    Json json = {{"key", p.name},
                 {"value", json_number(p.unit.value(p.value))},
                 {"standard_error", json_number(p.unit.difference(p.standard_error))},
                 {"unit", p.unit.unit},
                 {"low", json_number(p.unit.value(p.range.low))},
                 {"high", json_number(p.unit.value(p.range.high))},
                 {"value_si", json_number(p.value)},
                 {"standard_error_si", json_number(p.standard_error)}};
    if (p.effect)
        json["elementary_effect_on_rms_k"] = {{"mean", json_number(p.effect->mean)},
                                              {"mean_absolute", json_number(p.effect->mean_absolute)},
                                              {"deviation", json_number(p.effect->deviation)}};
    if (p.variance)
        json["share_of_rms_variance"] = {{"first", json_number(p.variance->first)},
                                         {"total", json_number(p.variance->total)}};
    return json;
}

Json loggers_json(const TuneResult& result) {
    Json all = Json::array();
    for (std::size_t k = 0; k < result.places.size(); ++k) {
        const TunePlace& place = result.places[k];
        Json json = {{"name", place.name},
                     {"x", json_number(place.x)},
                     {"y", json_number(place.y)},
                     {"elevation_m", json_number(place.elevation_m)},
                     {"bias_k", json_number(place.bias_k)},
                     {"rms_k", json_number(place.rms_k)}};
        if (!result.left_out.empty()) {
            const LeftOutLogger& out = result.left_out[k];
            Json values = Json::object();
            for (std::size_t p = 0; p < out.values.size(); ++p)
                values[result.parameters[p].name] =
                    json_number(result.parameters[p].unit.value(out.values[p]));
            json["left_out"] = {{"readings", out.readings},
                                {"model_rms_k", json_number(out.model_rms_k)},
                                {"straight_line_rms_k", json_number(out.line_rms_k)},
                                {"parameters", std::move(values)}};
        }
        all.push_back(std::move(json));
    }
    return all;
}

Json correlations_json(const TuneResult& result) {
    Json all = Json::array();
    for (std::int32_t i = 0; i < result.correlations.rows(); ++i) {
        Json row = Json::array();
        for (const double r : result.correlations.row(i)) row.push_back(json_number(r));
        all.push_back(std::move(row));
    }
    return all;
}

Json settings_json(const TuneResult& result) {
    Json settings = Json::object();
    for (const SiteSetting& setting : result.site.settings)
        settings[std::string(setting.key)] = {{"value", setting.text}, {"from", setting.origin}};
    return settings;
}

Json inputs_json(const TuneResult& result) {
    Json inputs = Json::array();
    for (const InputRecord& input : result.inputs)
        inputs.push_back({{"key", input.key},
                          {"file", input.file},
                          {"bytes", input.fingerprint.bytes},
                          {"sha256", input.fingerprint.sha256}});
    return inputs;
}

/// A name that netCDF and Python take: "night_mixing".
std::string variable_name(std::string name) {
    std::replace(name.begin(), name.end(), '.', '_');
    return name;
}

std::vector<double> counting(std::size_t count) {
    std::vector<double> numbers(count);
    for (std::size_t i = 0; i < count; ++i) numbers[i] = static_cast<double>(i);
    return numbers;
}

void add_dimensions(NetcdfFile& file, const TuneResult& result) {
    std::vector<std::string> names;
    for (const TunePlace& place : result.places) names.push_back(place.name);
    const auto midnight = std::chrono::sys_days(*result.site.night.date);
    const auto sunset = midnight + std::chrono::seconds(std::lround(result.sunset_s));
    file.dimension("run", counting(result.runs.size()),
                   {{"long_name", "number of the run, in the order they were made"}});
    file.dimension("logger", counting(result.places.size()),
                   {{"long_name", fmt::format("loggers, from 0 on: {}", fmt::join(names, "; "))}});
    file.dimension("time", result.read.moments_s,
                   {{"standard_name", "time"},
                    {"long_name", "time after sunset"},
                    {"units", fmt::format("seconds since {:%F %T}", sunset)},
                    {"calendar", "standard"}});
}

std::vector<float> single(std::span<const double> values) {
    std::vector<float> all;
    for (const double v : values) all.push_back(static_cast<float>(v));
    return all;
}

void add_variable(NetcdfFile& file, const std::string& name, const std::vector<std::string>& dimensions,
                  std::span<const float> values, const NetcdfAttributes& attributes) {
    file.variable(name, dimensions, attributes);
    file.write(name, values);
}

void add_places(NetcdfFile& file, const TuneResult& result) {
    const auto add = [&](const std::string& name, double TunePlace::*member, const std::string& words) {
        std::vector<float> values;
        for (const TunePlace& place : result.places) values.push_back(static_cast<float>(place.*member));
        add_variable(file, name, {"logger"}, values, {{"long_name", words}, {"units", "m"}});
    };
    // Single precision holds a map position to half a metre: enough to find the logger.
    add("x", &TunePlace::x, "position in the DEM's CRS, first axis");
    add("y", &TunePlace::y, "position in the DEM's CRS, second axis");
    add("elevation", &TunePlace::elevation_m, "elevation of the ground");
    add_variable(file, "measured", {"logger", "time"}, single(result.read.value.all()),
                 {{"standard_name", "air_temperature"},
                  {"long_name", "mean of the logger's readings around the time"},
                  {"units", "degC"}});
}

void add_runs(NetcdfFile& file, const TuneResult& result) {
    std::vector<float> stages;
    std::vector<float> errors;
    std::vector<float> temperatures;
    for (const TuneRun& run : result.runs) {
        stages.push_back(static_cast<float>(run.stage));
        errors.push_back(static_cast<float>(run.rms_k));
        for (const double t : run.celsius.all()) temperatures.push_back(static_cast<float>(t));
    }
    add_variable(file, "stage", {"run"}, stages,
                 {{"long_name", "why the run was made"},
                  {"flag_values", counting(tune_stage_names.size())},
                  {"flag_meanings", fmt::format("{}", fmt::join(tune_stage_names, " "))}});
    add_variable(file, "rms_error", {"run"}, errors,
                 {{"long_name", "root mean square of model less reading"}, {"units", "K"}});
    for (std::size_t p = 0; p < result.parameters.size(); ++p) {
        const TunedParameter& parameter = result.parameters[p];
        std::vector<float> values;
        for (const TuneRun& run : result.runs) {
            const TuneRange& range = parameter.range;
            values.push_back(static_cast<float>(
                run.shares.empty()
                    ? NAN
                    : parameter.unit.value(range.low + run.shares[p] * (range.high - range.low))));
        }
        add_variable(file, variable_name(parameter.name), {"run"}, values,
                     {{"long_name", parameter.name + ", in the unit of its range; not given for the site "
                                                     "file's own values"},
                      {"units", parameter.unit.unit.empty() ? "1" : parameter.unit.unit}});
    }
    add_variable(file, "temperature", {"run", "logger", "time"}, temperatures,
                 {{"standard_name", "air_temperature"},
                  {"long_name", "air temperature at plant height of the model"},
                  {"units", "degC"},
                  {"height_above_ground_m", result.site.night.plant_height_m}});
}

}  // namespace

std::string tuned_toml(const TuneResult& result) {
    std::string text = fmt::format(
        "# Tuned to {} {} in the night of {}, root mean square error {:.2f} K.\n# {}\n"
        "# Copy these lines into the site file, in place of those keys in it.\n[night]\n",
        result.places.size(), result.places.size() == 1 ? "logger" : "loggers", result.night, result.rms_k,
        caution);
    for (const TunedParameter& p : result.parameters)
        text += fmt::format("{} = {}  # {}, sought from {}\n", last_part(p.name), toml_value(p),
                            error_words(p), p.range.text);
    return text;
}

std::string tune_json(const TuneResult& result) {
    Json parameters = Json::array();
    for (const TunedParameter& p : result.parameters) parameters.push_back(parameter_json(p));
    Json json = {{"lielow", version()},
                 {"title", result.site.title},
                 {"site_file", result.site.file.filename().string()},
                 {"caution", caution},
                 {"night", result.night},
                 {"clock_of_times_without_zone", result.clock},
                 {"cell_width_m", json_number(result.cell_width_m)},
                 {"cell_height_m", json_number(result.cell_height_m)},
                 {"readings", result.read.known()},
                 {"runs", result.runs.size()},
                 {"tuned_run", result.tuned},
                 {"settled", result.settled},
                 {"rms_of_site_file_k", json_number(result.site_rms_k)},
                 {"rms_best_of_design_k", json_number(result.design_rms_k)},
                 {"rms_k", json_number(result.rms_k)},
                 {"lag_one_correlation", json_number(result.lag_one)},
                 {"standard_errors_widened_by", json_number(result.widened_by)},
                 {"left_out_model_rms_k", json_number(result.left_out_model_rms_k)},
                 {"left_out_straight_line_rms_k", json_number(result.left_out_line_rms_k)},
                 {"parameters", std::move(parameters)},
                 {"correlations", correlations_json(result)},
                 {"loggers", loggers_json(result)},
                 {"notes", result.notes},
                 {"settings", settings_json(result)},
                 {"inputs", inputs_json(result)}};
    Json libraries = Json::object();
    for (const auto& [name, number_of] : library_versions()) libraries[name] = number_of;
    json["libraries"] = std::move(libraries);
    return json.dump(2) + "\n";
}

void write_tune_runs(const TuneResult& result, const std::filesystem::path& path) {
    NetcdfFile file;
    file.attributes({{"Conventions", "CF-1.8"},
                     {"title", result.site.title + ": nights run to tune it"},
                     {"source", "lielow " + version()},
                     {"history", fmt::format("computed by lielow {} from {}", version(),
                                             result.site.file.filename().string())},
                     {"tuned_run", static_cast<double>(result.tuned)},
                     {"comment", std::string(caution)}});
    add_dimensions(file, result);
    add_places(file, result);
    add_runs(file, result);
    file.save(path);
}

}  // namespace lielow
