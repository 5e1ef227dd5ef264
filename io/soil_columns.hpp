// SPDX-License-Identifier: Apache-2.0
// Columns of a soil survey: which of them says what, in which unit; and what one soil unit says.
#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/quantity.hpp"
#include "io/soil_words.hpp"

namespace lielow {

enum class SoilAttribute : std::uint8_t {
    drainage_class,
    water_table_year,
    water_table_spring,
    floor_depth,
    flooding,
    ponding,
    hydrologic_group,
    ph,
    available_water,
    conductivity,
    texture
};

struct SoilAttributeWords {
    SoilAttribute attribute;
    std::string_view key;                ///< as [soil.columns] and [soil.maps] call it
    std::optional<Dimension> dimension;  ///< of a number with a unit
    bool is_word = false;                ///< a class or texture; else a number
    double low = 0;                      ///< least value that can be, SI
    double high = 0;
};
std::span<const SoilAttributeWords> soil_attributes();

/// Null when there is no such key.
const SoilAttributeWords* soil_attribute(std::string_view key);

/// One line of [soil.columns]: drainage_class = "DRAIN", available_water = "paw [mm]".
struct SoilColumnChoice {
    std::string attribute;
    std::string column;
    std::string unit;  ///< "" where none is written
};

/// How a person's survey is to be read.
struct SoilReading {
    std::vector<SoilColumnChoice> columns;
    SoilWords words;
};

/// "paw [mm]" as name and unit.
std::pair<std::string, std::string> name_and_unit(std::string_view head);

/// SI; NaN and `unknown` where the survey says nothing.
struct SoilUnit {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    DrainageClass drainage = DrainageClass::unknown;
    WaterFrequency flooding = WaterFrequency::unknown;
    WaterFrequency ponding = WaterFrequency::unknown;
    HydrologicGroup group = HydrologicGroup::unknown;
    double table_year_m = unknown;
    double table_spring_m = unknown;
    double floor_m = unknown;
    double ph = unknown;
    double available_water_m = unknown;
    double conductivity_m_s = unknown;
};
bool same_soil(const SoilUnit& a, const SoilUnit& b);

/// Throws InputError, without the place, when a number can't be; `unit` is what it was written in.
void judge_soil_number(const SoilAttributeWords& words, double value, std::string_view written,
                       std::string_view unit);

/// The columns of one table that say something. Names of the US open data are known as they come, with
/// their units, in any case and cut to ten letters too (shapefiles); [soil.columns] wins over them.
class SoilColumns {
  public:
    /// Throws InputError: a chosen column that isn't there, a number without a unit, no known column at all.
    SoilColumns(const std::vector<std::string>& names, const SoilReading& reading, std::string file);

    /// `text_at` gives a column's text, "" for null. `where` begins messages. Where there is a texture and no
    /// available water or conductivity, its tables give them.
    [[nodiscard]] SoilUnit read(const std::function<std::string(std::size_t)>& text_at,
                                const std::string& where) const;

    /// One line each: what of the columns a careful person would want to know.
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }

  private:
    struct Source {
        const SoilAttributeWords* words = nullptr;
        std::size_t column = 0;
        std::string name;
        std::string unit;
        double factor = 1;
    };
    [[nodiscard]] bool choose(const SoilAttributeWords& words, const SoilReading& reading);
    void find_published(const SoilAttributeWords& words);
    [[nodiscard]] double number(const Source& source, const std::string& text) const;
    void put(const Source& source, const std::string& text, SoilUnit& unit, std::string& texture) const;

    std::string file_;
    std::vector<std::string> names_;
    SoilWords words_;
    std::vector<Source> sources_;  ///< those preferred first
    std::vector<std::string> notes_;
};

}  // namespace lielow
