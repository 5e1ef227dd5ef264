// SPDX-License-Identifier: Apache-2.0
#include "io/weather.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <system_error>

#include "io/gdal_session.hpp"
#include "io/iso_time.hpp"
#include "io/number_text.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;

/// A column of the record as its head names it: "air [degF]".
struct Column {
    int field = -1;  ///< -1 = not there
    std::string name;
    std::string unit;
};

gdal::Dataset open_record(const std::filesystem::path& path) {
    gdal::start();
    const std::string text = path.string();
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored))
        throw InputError(fmt::format("{}: no such file (the weather record)", text));
    const gdal::Errors errors;
    const char* drivers[] = {"CSV", nullptr};
    gdal::Dataset dataset(
        GDALDataset::Open(text.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR, drivers));
    if (!dataset || dataset->GetLayerCount() != 1) {
        throw InputError(
            fmt::format("{} can't be read as a table of comma-separated values; its name must end in .csv{}",
                        text, errors.any() ? fmt::format(" ({})", errors.text()) : ""));
    }
    return dataset;
}

std::vector<Column> columns_of(OGRLayer& layer) {
    std::vector<Column> columns;
    OGRFeatureDefn& definition = *layer.GetLayerDefn();
    for (int i = 0; i < definition.GetFieldCount(); ++i) {
        const std::string_view head = definition.GetFieldDefn(i)->GetNameRef();
        const auto bracket = head.find('[');
        const auto close = head.find(']');
        Column column{i, std::string(trim(head.substr(0, bracket))), {}};
        if (bracket != std::string_view::npos && close != std::string_view::npos && close > bracket)
            column.unit = trim(head.substr(bracket + 1, close - bracket - 1));
        columns.push_back(std::move(column));
    }
    return columns;
}

class Table {
  public:
    explicit Table(const WeatherRequest& request)
        : request_(request),
          file_(request.file.string()),
          dataset_(open_record(request.file)),
          layer_(*dataset_->GetLayer(0)),
          columns_(columns_of(layer_)) {
        time_ = find("time");
        air_ = with_unit("air", true);
        dew_ = with_unit("dew point", true);
        cloud_ = with_unit("cloud", false);
        speed_ = with_unit("wind speed", false);
        direction_ = with_unit("wind direction", false);
        if (time_.field < 0) refuse_missing("time");
        judge_unit(air_, Dimension::temperature);
        judge_unit(dew_, Dimension::temperature);
        judge_unit(speed_, Dimension::speed);
        judge_unit(direction_, Dimension::angle);
    }

    StationRecord read() {
        StationRecord record;
        record.has_cloud = cloud_.field >= 0;
        record.air_in_fahrenheit =
            parse_quantity("212 " + air_.unit, Dimension::temperature) < 400;  // boiling water, or metal
        for (const auto& feature : layer_) {
            ++number_;
            feature_ = feature.get();
            time_text_ = text_at(time_);
            const WeatherHour hour = read_hour();
            if (!record.hours.empty()) judge_order(record.hours.back().time_s, hour.time_s);
            record.hours.push_back(hour);
        }
        if (record.hours.empty()) throw InputError(fmt::format("{} holds no record", file_));
        return record;
    }

  private:
    Column find(std::string_view name) const {
        for (const Column& column : columns_) {
            if (column.name == name) return column;
        }
        return {};
    }
    [[noreturn]] void refuse_missing(std::string_view name) const {
        std::vector<std::string> names;
        for (const Column& column : columns_) names.push_back(column.name);
        throw InputError(fmt::format("{} has no column \"{}\"; its first line names: {}", file_, name,
                                     fmt::join(names, ", ")));
    }
    Column with_unit(std::string_view name, bool needed) const {
        Column column = find(name);
        if (column.field < 0 && needed) refuse_missing(name);
        if (column.field >= 0 && column.unit.empty()) {
            const std::string_view unit = name == "cloud"            ? "%"
                                          : name == "wind speed"     ? "mph"
                                          : name == "wind direction" ? "deg"
                                                                     : "degF";
            throw InputError(
                fmt::format("{}: the column {} doesn't say its unit; head it with {} [{}] or another", file_,
                            name, name, unit));
        }
        return column;
    }
    void judge_order(double before_s, double time_s) const {
        if (time_s == before_s) refuse("has the time of the record before it; leave one of them out");
        if (time_s < before_s)
            refuse("doesn't come after the record before it; put them in the order of time");
    }
    void judge_unit(const Column& column, Dimension dimension) const {
        if (column.field < 0) return;
        try {
            parse_quantity("1 " + column.unit, dimension);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: the column {} stands in [{}]: {}", file_, column.name,
                                         column.unit, error.what()));
        }
    }
    [[noreturn]] void refuse(const std::string& what) const {
        throw InputError(fmt::format("{}, record {} ({}): {}", file_, number_, time_text_, what));
    }
    std::string text_at(const Column& column) const {
        return std::string(trim(feature_->GetFieldAsString(column.field)));
    }

    double quantity(const Column& column, Dimension dimension, double low, double high,
                    std::string_view range) {
        const std::string text = text_at(column);
        if (text.empty()) refuse(fmt::format("has no {}", column.name));
        double value = 0;
        try {
            value = parse_quantity(fmt::format("{} {}", text, column.unit), dimension);
        } catch (const InputError& error) {
            refuse(fmt::format("{}: {}", column.name, error.what()));
        }
        if (!(value >= low && value <= high))
            refuse(fmt::format("{} = {} {} can't be; it must lie {}", column.name, text, column.unit, range));
        return value;
    }
    double temperature(const Column& column) {
        return quantity(column, Dimension::temperature, kelvin_zero_c - 60, kelvin_zero_c + 60,
                        "from -60 degC to 60 degC");
    }
    double cloud() {
        if (cloud_.field < 0) return request_.cloud_otherwise;
        const std::string text = text_at(cloud_);
        std::string_view rest = text;
        const auto number = take_number(rest);
        if (!number || !trim(rest).empty()) refuse(fmt::format("cloud \"{}\" is not a number", text));
        double whole = 0;
        if (cloud_.unit == "share") whole = 1;
        if (cloud_.unit == "%") whole = 100;
        if (cloud_.unit == "okta") whole = 8;
        if (whole == 0) {
            throw InputError(fmt::format("{}: cloud stands in \"{}\"; it must be share (0 to 1), % or okta",
                                         file_, cloud_.unit));
        }
        if (!(*number >= 0 && *number <= whole))
            refuse(
                fmt::format("cloud = {} {} can't be; it must lie from 0 to {:g}", text, cloud_.unit, whole));
        return *number / whole;
    }
    double wind(const Column& column, Dimension dimension, double high, std::string_view range) {
        if (column.field < 0 || text_at(column).empty()) return NAN;
        return quantity(column, dimension, 0, high, range);
    }

    WeatherHour read_hour() {
        WeatherHour hour;
        hour.time_s = seconds();
        hour.air_k = temperature(air_);
        hour.dew_point_k = temperature(dew_);
        constexpr double rounding_k = 0.1;
        if (hour.dew_point_k > hour.air_k + rounding_k) {
            refuse(fmt::format("dew point {} {} is above the air's {} {}; are the columns mixed up?",
                               text_at(dew_), dew_.unit, text_at(air_), air_.unit));
        }
        hour.cloud = cloud();
        hour.wind_speed_m_s = wind(speed_, Dimension::speed, 115, "from 0 to 115 m/s");
        hour.wind_from_rad =
            wind(direction_, Dimension::angle, 2 * std::numbers::pi + 1e-9, "from 0 to 360 deg");
        return hour;
    }

    /// Of the time, after 00:00 UTC of the evening's date.
    double seconds() const {
        try {
            return iso_seconds(time_text_, request_.date, request_.utc_offset_s);
        } catch (const InputError& error) {
            refuse(error.what());
        }
    }

    const WeatherRequest& request_;
    std::string file_;
    gdal::Dataset dataset_;
    OGRLayer& layer_;
    std::vector<Column> columns_;
    Column time_, air_, dew_, cloud_, speed_, direction_;
    OGRFeature* feature_ = nullptr;
    std::size_t number_ = 0;
    std::string time_text_;
};

}  // namespace

StationRecord read_weather(const WeatherRequest& request) {
    return Table(request).read();
}

std::vector<WeatherHour> hours_of_night(const StationRecord& record, double begin_s, double end_s,
                                        const std::string& file) {
    constexpr double hour = 3600;
    constexpr double longest_gap = 3 * hour;
    const auto& all = record.hours;
    auto first =
        std::find_if(all.begin(), all.end(), [&](const WeatherHour& h) { return h.time_s > begin_s; });
    if (first != all.begin()) --first;
    const auto last = std::find_if(first, all.end(), [&](const WeatherHour& h) { return h.time_s >= end_s; });
    std::vector<WeatherHour> night(first, last == all.end() ? last : last + 1);
    if (night.front().time_s > begin_s + hour || night.back().time_s < end_s - hour) {
        throw InputError(
            fmt::format("{} doesn't cover the night from sunset to sunrise; is it of another date or "
                        "in another clock's time?",
                        file));
    }
    for (std::size_t i = 1; i < night.size(); ++i) {
        const double gap = night[i].time_s - night[i - 1].time_s;
        if (gap > longest_gap) {
            const double from = (night[i - 1].time_s - begin_s) / hour;
            throw InputError(
                fmt::format("{}: there is no record for {:.1f} h of the night, from {:.1f} h {} sunset; at "
                            "most 3 h may go "
                            "without",
                            file, gap / hour, std::abs(from), from < 0 ? "before" : "after"));
        }
    }
    return night;
}

std::optional<std::string> unit_doubt(const std::vector<WeatherHour>& night, bool air_in_fahrenheit,
                                      double evening_air_k, unsigned month, double latitude_deg) {
    const std::string_view said = air_in_fahrenheit ? "degF" : "degC";
    const std::string_view other = air_in_fahrenheit ? "degC" : "degF";
    const double celsius = night.front().air_k - kelvin_zero_c;
    const double otherwise = air_in_fahrenheit ? celsius * 1.8 + 32 : (celsius - 32) / 1.8;
    const double evening = evening_air_k - kelvin_zero_c;
    constexpr double far_k = 10;
    constexpr double near_k = 5;
    if (std::abs(celsius - evening) > far_k && std::abs(otherwise - evening) < near_k) {
        return fmt::format(
            "at sunset it gives {:.1f} degC where night.evening_air is {:.1f} degC, which fits if "
            "its air stands in {} and not in {}",
            celsius, evening, other, said);
    }
    const auto [coldest, warmest] =
        std::minmax_element(night.begin(), night.end(),
                            [](const WeatherHour& a, const WeatherHour& b) { return a.air_k < b.air_k; });
    const unsigned midsummer = latitude_deg >= 0 ? 7 : 1;
    const bool summer = (month + 12 - midsummer + 1) % 12 <= 2;
    if (std::abs(latitude_deg) < 60 && summer && coldest->air_k < kelvin_zero_c - 5) {
        return fmt::format("it falls to {:.1f} degC in summer; does its air stand in {} and not in {}?",
                           coldest->air_k - kelvin_zero_c, other, said);
    }
    if (warmest->air_k > kelvin_zero_c + 45) {
        return fmt::format("it has {:.1f} degC at night; does its air stand in {} and not in {}?",
                           warmest->air_k - kelvin_zero_c, other, said);
    }
    return std::nullopt;
}

}  // namespace lielow
