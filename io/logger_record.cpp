// SPDX-License-Identifier: Apache-2.0
#include "io/logger_record.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <initializer_list>
#include <map>
#include <optional>
#include <set>

#include "io/csv_table.hpp"
#include "io/gdal_session.hpp"
#include "io/iso_time.hpp"
#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;

std::string lower(std::string_view text) {
    std::string small(trim(text));
    std::transform(small.begin(), small.end(), small.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return small;
}

/// The first of `names` that heads a column.
std::optional<std::size_t> find_column(const CsvTable& table, std::initializer_list<std::string_view> names) {
    for (const std::string_view name : names) {
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            if (lower(table.columns[i]) == name) return i;
        }
    }
    return std::nullopt;
}

std::size_t temperature_column(const CsvTable& table, bool& in_fahrenheit) {
    std::optional<std::size_t> without_unit;
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        const std::string head = lower(table.columns[i]);
        if (!head.starts_with("temperature")) continue;
        in_fahrenheit = head == "temperature_degf";
        if (in_fahrenheit || head == "temperature_degc") return i;
        without_unit = i;
    }
    if (without_unit)
        throw InputError(
            fmt::format("{}: the column \"{}\" must name its unit; call it temperature_degF or "
                        "temperature_degC",
                        table.file, table.columns[*without_unit]));
    throw InputError(
        fmt::format("{} has no column \"temperature_degF\" or \"temperature_degC\"; its first "
                    "line names: {}",
                    table.file, fmt::join(table.columns, ", ")));
}

class Reader {
  public:
    Reader(const LoggerRequest& request, std::span<const Spot> spots, const GeoReference& geo)
        : request_(request), spots_(spots), geo_(geo), table_(read_csv(request.file)) {
        time_ = find_column(table_, {"time_utc", "time", "time_local"});
        if (!time_) refuse_missing("time");
        time_is_utc_ = lower(table_.columns[*time_]) == "time_utc";
        temperature_ = temperature_column(table_, record_.in_fahrenheit);
        flag_ = find_column(table_, {"flag"});
        name_ = find_column(table_, {"spot", "logger", "place", "name"});
        x_ = find_column(table_, {"x", "easting"});
        y_ = find_column(table_, {"y", "northing"});
        if (!x_ || !y_) {
            x_ = find_column(table_, {"lon", "longitude"});
            y_ = find_column(table_, {"lat", "latitude"});
            degrees_ = x_ && y_;
        }
        if (!x_ || !y_) x_ = y_ = std::nullopt;
        if (!name_ && !x_) refuse_missing("spot");
        if (degrees_) to_ground_ = gdal::transformation(gdal::crs_from("EPSG:4326"), gdal::crs_from(geo.wkt));
    }

    LoggerRecord read() {
        for (row_ = 0; row_ < table_.rows.size(); ++row_) read_row();
        judge_units();
        for (Logger& logger : found_) put_in_order(logger);
        for (Logger& logger : found_) {
            if (!logger.readings.empty()) {
                record_.loggers.push_back(std::move(logger));
            } else {
                record_.notes.push_back(
                    fmt::format("{}: logger \"{}\" has no good reading within the night; it is left out",
                                table_.file, logger.spot.name));
            }
        }
        if (record_.loggers.empty())
            throw InputError(fmt::format(
                "{} has no good reading within the night of {:04}-{:02}-{:02}; is it of another "
                "date or in another clock's time?",
                table_.file, static_cast<int>(request_.date.year()),
                static_cast<unsigned>(request_.date.month()), static_cast<unsigned>(request_.date.day())));
        tell_left_out();
        return std::move(record_);
    }

  private:
    [[noreturn]] void refuse_missing(std::string_view name) const {
        throw InputError(fmt::format("{} has no column \"{}\"; its first line names: {}", table_.file, name,
                                     fmt::join(table_.columns, ", ")));
    }
    [[nodiscard]] std::string where() const { return fmt::format("row {} below the header", row_ + 1); }
    [[noreturn]] void refuse(const std::string& what) const {
        throw InputError(fmt::format("{}, {}: {}", table_.file, where(), what));
    }
    [[nodiscard]] std::string text_at(std::optional<std::size_t> column) const {
        return column ? std::string(trim(table_.rows[row_][*column])) : std::string();
    }

    void read_row() {
        const std::string time_text = text_at(time_);
        double time_s = 0;
        try {
            time_s = iso_seconds(time_text, request_.date, time_is_utc_ ? 0.0 : request_.utc_offset_s);
        } catch (const InputError& error) {
            refuse(fmt::format("\"{}\" {}", time_text, error.what()));
        }
        const double celsius = temperature();
        Logger& logger = logger_here();
        if (!good(logger)) {
            ++record_.flagged;
        } else if (std::isnan(celsius)) {
            ++record_.missing;
        } else if (time_s < request_.night.sunset_s || time_s > request_.night.sunrise_s) {
            ++record_.outside_night;
        } else {
            logger.readings.push_back({time_s, celsius});
        }
    }
    double temperature() {
        const double reading = csv_number(table_, row_, temperature_, where());
        if (std::isnan(reading)) return reading;
        lowest_ = std::min(lowest_, reading);
        const double celsius = record_.in_fahrenheit ? (reading - 32) / 1.8 : reading;
        // The usual stand-ins for a missing reading, -99 and 999, lie outside in either unit.
        return celsius > -60 && celsius < 60 ? celsius : refuse_temperature();
    }
    double refuse_temperature() const {
        if (good_flag()) {
            if (!record_.in_fahrenheit) judge_units();
            refuse(
                fmt::format("{} = {} is no air temperature; leave the cell empty where the reading is "
                            "missing",
                            table_.columns[temperature_], table_.rows[row_][temperature_]));
        }
        return NAN;
    }
    [[nodiscard]] bool good_flag() const {
        const std::string flag = lower(text_at(flag_));
        return flag.empty() || flag == "0" || flag == "ok" || flag == "good";
    }
    bool good(const Logger& logger) {
        if (good_flag()) return true;
        if (lower(text_at(flag_)) == "drift") drifting_.insert(logger.spot.name);
        return false;
    }

    Logger& logger_here() {
        const Spot spot = spot_here();
        const auto at = by_name_.find(spot.name);
        if (at == by_name_.end()) {
            by_name_.emplace(spot.name, found_.size());
            found_.push_back({spot});
            return found_.back();
        }
        Logger& logger = found_[at->second];
        constexpr double alike_m = 0.5;
        if (std::hypot(logger.spot.x - spot.x, logger.spot.y - spot.y) > alike_m)
            refuse(fmt::format("logger \"{}\" is elsewhere than in the rows before; give each its own name",
                               spot.name));
        return logger;
    }
    Spot spot_here() const {
        const std::string name = text_at(name_);
        if (!x_) return spot_named(name);
        Spot spot{name, csv_number(table_, row_, *x_, where()), csv_number(table_, row_, *y_, where())};
        if (std::isnan(spot.x) || std::isnan(spot.y)) {
            if (!name.empty()) return spot_named(name);
            refuse("has no position");
        }
        if (name.empty()) spot.name = fmt::format("{}, {}", text_at(x_), text_at(y_));
        if (to_ground_ && to_ground_->Transform(1, &spot.x, &spot.y) == FALSE)
            refuse("its position can't be brought into the DEM's CRS");
        return spot;
    }
    Spot spot_named(const std::string& name) const {
        std::vector<std::string_view> known;
        for (const Spot& spot : spots_) {
            if (spot.name == name) return spot;
            known.push_back(spot.name);
        }
        if (known.empty())
            refuse(
                fmt::format("logger \"{}\" has no position; give the columns x and y (or lon and lat), or "
                            "name it under [spots]",
                            name));
        refuse(fmt::format("\"{}\" is none of the site's spots; the nearest name is \"{}\"", name,
                           nearest_name(name, known)));
    }

    void put_in_order(Logger& logger) const {
        auto& readings = logger.readings;
        std::stable_sort(readings.begin(), readings.end(),
                         [](const auto& a, const auto& b) { return a.time_s < b.time_s; });
        for (std::size_t i = 1; i < readings.size(); ++i) {
            if (readings[i].time_s == readings[i - 1].time_s)
                throw InputError(fmt::format(
                    "{}: logger \"{}\" has two readings {:.0f} min after sunset; leave one out", table_.file,
                    logger.spot.name, (readings[i].time_s - request_.night.sunset_s) / 60));
        }
    }
    void judge_units() const {
        constexpr double too_warm = 40;  // °C, warmer than any night this program is for
        if (record_.in_fahrenheit || !(lowest_ > too_warm) || std::isinf(lowest_)) return;
        throw InputError(fmt::format(
            "{}: no reading under {} is below {:.4g}; they look like degrees Fahrenheit: call the "
            "column temperature_degF",
            table_.file, table_.columns[temperature_], lowest_));
    }
    void tell_left_out() {
        const auto tell = [this](long rows, std::string_view why) {
            if (rows > 0)
                record_.notes.push_back(fmt::format("{}: {} {} left out, {}", table_.file, rows,
                                                    rows == 1 ? "row" : "rows", why));
        };
        tell(record_.flagged, "flagged as bad");
        tell(record_.missing, "without a temperature");
        tell(record_.outside_night, "outside the night");
        if (!drifting_.empty())
            record_.notes.push_back(fmt::format(
                "{}: flagged as drifting: {}; their good readings are used, compare those loggers "
                "with one another at one place",
                table_.file, fmt::join(drifting_, ", ")));
    }

    const LoggerRequest& request_;
    std::span<const Spot> spots_;
    const GeoReference& geo_;
    CsvTable table_;
    std::optional<std::size_t> time_, flag_, name_, x_, y_;
    std::size_t temperature_ = 0;
    bool time_is_utc_ = false;
    bool degrees_ = false;
    gdal::Transformation to_ground_;
    LoggerRecord record_;
    std::vector<Logger> found_;
    std::map<std::string, std::size_t> by_name_;
    std::set<std::string> drifting_;
    double lowest_ = HUGE_VAL;  ///< as the file has it
    std::size_t row_ = 0;
};

}  // namespace

LoggerRecord read_loggers(const LoggerRequest& request, std::span<const Spot> spots,
                          const GeoReference& geo) {
    return Reader(request, spots, geo).read();
}

}  // namespace lielow
