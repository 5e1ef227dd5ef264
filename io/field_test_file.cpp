// SPDX-License-Identifier: Apache-2.0
#include "io/field_test_file.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogr_core.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include "io/csv_table.hpp"
#include "io/gdal_session.hpp"
#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/soil_columns.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::array<std::string_view, 4> kinds{"percolation", "pit", "ph", "penetrometer"};
constexpr double psi_pa = 6894.757293168;
constexpr double most_psi = 1000;
constexpr double deepest_m = 10;

std::string lower(std::string_view text) {
    std::string out(trim(text));
    std::transform(out.begin(), out.end(), out.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return out;
}

/// The table with its columns by name, their units apart.
class Rows {
  public:
    explicit Rows(const std::filesystem::path& path) : table_(read_csv(path)) {
        for (const std::string& head : table_.columns) {
            const auto [name, unit] = name_and_unit(head);
            names_.push_back(lower(name));
            units_.push_back(unit);
        }
    }
    [[nodiscard]] std::size_t count() const { return table_.rows.size(); }
    [[nodiscard]] const std::string& file() const { return table_.file; }
    [[nodiscard]] const std::vector<std::string>& names() const { return names_; }
    [[nodiscard]] std::optional<std::size_t> find(std::string_view column) const {
        const auto found = std::find(names_.begin(), names_.end(), column);
        if (found == names_.end()) return std::nullopt;
        return static_cast<std::size_t>(found - names_.begin());
    }
    [[nodiscard]] std::string text(std::size_t row, std::string_view column) const {
        const auto at = find(column);
        return at ? table_.rows[row][*at] : "";
    }
    /// A line of nothing but separators, as spreadsheets write empty rows.
    [[nodiscard]] bool blank(std::size_t row) const {
        const auto& cells = table_.rows[row];
        return std::all_of(cells.begin(), cells.end(), [](const std::string& cell) { return cell.empty(); });
    }
    [[noreturn]] void refuse(std::size_t row, const std::string& what) const {
        throw InputError(fmt::format("{}, row {}: {}", table_.file, row + 2, what));  // the head is row 1
    }
    /// NaN where nothing stands.
    [[nodiscard]] double number(std::size_t row, std::string_view column) const {
        const auto at = find(column);
        if (!at) return std::nan("");
        return csv_number(table_, row, *at, fmt::format("row {}", row + 2));
    }
    /// SI. NaN where nothing stands.
    [[nodiscard]] double quantity(std::size_t row, std::string_view column, Dimension dimension,
                                  std::string_view example) const {
        const double plain = number(row, column);
        if (std::isnan(plain)) return plain;
        const std::string& unit = units_[*find(column)];
        if (unit.empty()) {
            throw InputError(
                fmt::format("{}: the column {} doesn't say its unit; head it with {} [{}] or another",
                            table_.file, column, column, example));
        }
        try {
            return plain * parse_quantity("1 " + unit, dimension);
        } catch (const InputError& error) {
            throw InputError(
                fmt::format("{}: the column {} stands in [{}]: {}", table_.file, column, unit, error.what()));
        }
    }
    [[nodiscard]] double depth(std::size_t row, std::string_view column) const {
        const double value = quantity(row, column, Dimension::length, "in");
        if (value < 0)
            refuse(row, fmt::format("{} = {} is below 0; depths count downward from the surface", column,
                                    text(row, column)));
        if (value > deepest_m)
            refuse(row, fmt::format("{} = {} {} is deeper than 10 m; look at the unit", column,
                                    text(row, column), units_[*find(column)]));
        return value;
    }
    [[nodiscard]] double needed_depth(std::size_t row, std::string_view column) const {
        const double value = depth(row, column);
        if (std::isnan(value)) refuse_missing(row, column);
        return value;
    }
    [[noreturn]] void refuse_missing(std::size_t row, std::string_view column) const {
        if (find(column)) refuse(row, fmt::format("{} is empty", column));
        throw InputError(fmt::format("{} has no column {}; its first line names {}", table_.file, column,
                                     fmt::join(names_, ", ")));
    }
    [[nodiscard]] bool yes(std::size_t row, std::string_view column) const {
        const std::string word = lower(text(row, column));
        if (word == "yes" || word == "y" || word == "true" || word == "1") return true;
        if (word.empty() || word == "no" || word == "n" || word == "false" || word == "0" || word == "none")
            return false;
        refuse(row, fmt::format("{} = \"{}\"; write yes or no", column, text(row, column)));
    }

  private:
    CsvTable table_;
    std::vector<std::string> names_;
    std::vector<std::string> units_;
};

/// Where a row's test stands.
class Places {
  public:
    Places(const Rows& rows, const Grid& grid, const GeoReference& geo, const std::vector<FarmField>& fields)
        : rows_(rows),
          grid_(grid),
          geo_(geo),
          fields_(fields),
          degrees_(rows.find("lon") && rows.find("lat")) {
        if (!degrees_ && !(rows.find("x") && rows.find("y")) && !rows.find("field"))
            throw InputError(
                fmt::format("{} doesn't say where its tests stand; add the columns x and y (in the "
                            "DEM's CRS), lon and lat, or field",
                            rows.file()));
        if (degrees_) to_ground_ = gdal::transformation(gdal::crs_from("EPSG:4326"), gdal::crs_from(geo.wkt));
    }
    /// False when it lies outside the ground.
    bool place(std::size_t row, FieldTest& test) const {
        double x = rows_.number(row, degrees_ ? "lon" : "x");
        double y = rows_.number(row, degrees_ ? "lat" : "y");
        if (std::isnan(x) || std::isnan(y)) {
            place_in_field(row, test);
            return true;
        }
        if (to_ground_ && to_ground_->Transform(1, &x, &y) == FALSE)
            rows_.refuse(row, "its lon and lat can't be brought into the DEM's CRS");
        const auto& t = geo_.transform;
        const double det = t[1] * t[5] - t[2] * t[4];
        const double col = ((x - t[0]) * t[5] - (y - t[3]) * t[2]) / det;
        const double down = ((y - t[3]) * t[1] - (x - t[0]) * t[4]) / det;
        test.at_m = {col * grid_.dx, down * grid_.dy};
        return col >= 0 && down >= 0 && col < grid_.cols && down < grid_.rows;
    }

  private:
    void place_in_field(std::size_t row, FieldTest& test) const {
        const std::string name = rows_.text(row, "field");
        if (name.empty()) rows_.refuse(row, "says no place; give x and y, lon and lat, or a field's name");
        const auto found = std::find_if(fields_.begin(), fields_.end(),
                                        [&name](const FarmField& f) { return f.name == name; });
        if (found == fields_.end()) {
            std::vector<std::string_view> known;
            for (const FarmField& field : fields_) known.push_back(field.name);
            rows_.refuse(row, fmt::format("there is no field \"{}\"; the nearest known one is \"{}\"", name,
                                          nearest_name(name, known)));
        }
        test.cells = found->cells;
    }

    const Rows& rows_;
    const Grid& grid_;
    const GeoReference& geo_;
    const std::vector<FarmField>& fields_;
    bool degrees_;
    gdal::Transformation to_ground_;
};

void add_percolation(const Rows& rows, std::size_t row, FieldTest& test) {
    const double radius = rows.needed_depth(row, "hole_radius");
    const double fill = rows.needed_depth(row, "fill_depth");
    const double drop = rows.needed_depth(row, "drop");
    const double time = rows.quantity(row, "time", Dimension::time, "min");
    if (std::isnan(time)) rows.refuse_missing(row, "time");
    if (!(radius > 0)) rows.refuse(row, "a hole's radius must be above 0");
    if (time < 0) rows.refuse(row, "time counts from the filling on, so it can't be below 0");
    if (drop > fill)
        rows.refuse(row, fmt::format("drop = {} is more than the hole was filled", rows.text(row, "drop")));
    test.presoaked = rows.yes(row, "presoak");
    test.radius_m = radius;
    if (test.water.empty() && time > 0) test.water.push_back({0, fill});
    if (!test.water.empty() && fill - drop > test.water.back().water_m)
        rows.refuse(row,
                    fmt::format("the water of \"{}\" rises from one reading to the next; drop counts from "
                                "the filling on and can't shrink",
                                test.name));
    if (!test.water.empty() && time <= test.water.back().time_s)
        rows.refuse(row, fmt::format("the time of \"{}\" doesn't come after the reading before", test.name));
    test.water.push_back({time, fill - drop});
}

void add_pit_water(const Rows& rows, std::size_t row, FieldTest& test) {
    PitWater water{rows.number(row, "days_after_rain"), rows.depth(row, "water"), false};
    if (water.days_after_rain < 0) rows.refuse(row, "days_after_rain can't be below 0");
    if (!test.pit_water.empty() && water.days_after_rain < test.pit_water.back().days_after_rain)
        rows.refuse(row, "days_after_rain falls; put the readings of a pit in the order of time");
    const std::string date = rows.text(row, "date");
    if (!date.empty()) {
        OGRField field{};
        if (date.size() != 10 || date[4] != '-' || date[7] != '-' ||
            OGRParseDate(date.c_str(), &field, 0) == 0)
            rows.refuse(row, fmt::format("date = \"{}\"; write it as 2026-04-18", date));
        water.spring = field.Date.Month >= 4 && field.Date.Month <= 6;
    }
    test.pit_water.push_back(water);
}

void add_pit(const Rows& rows, std::size_t row, FieldTest& test) {
    const bool has_water = !std::isnan(rows.number(row, "days_after_rain"));
    const bool has_layer = !rows.text(row, "top").empty() || !rows.text(row, "bottom").empty();
    if (!has_water && !has_layer)
        rows.refuse(row, "a pit's row gives a layer (top, bottom) or its water (days_after_rain, water)");
    if (has_water) add_pit_water(rows, row, test);
    if (!has_layer) return;
    PitLayer layer;
    layer.soil.top_m = rows.needed_depth(row, "top");
    layer.soil.bottom_m = rows.needed_depth(row, "bottom");
    if (!(layer.soil.bottom_m > layer.soil.top_m)) rows.refuse(row, "bottom must lie below top");
    constexpr double rounding_m = 1e-3;
    if (!test.layers.empty() && layer.soil.top_m < test.layers.back().soil.bottom_m - rounding_m)
        rows.refuse(row, fmt::format("a layer of \"{}\" begins above the end of the one before; give them "
                                     "downward, without overlap",
                                     test.name));
    layer.roots = rows.yes(row, "roots");
    layer.restriction = rows.yes(row, "restriction");
    try {
        layer.soil.texture = read_texture(rows.text(row, "texture"), {});
        layer.gray = is_gray(rows.text(row, "color")) || is_gray(rows.text(row, "mottles"));
    } catch (const InputError& error) {
        rows.refuse(row, error.what());
    }
    test.layers.push_back(std::move(layer));
}

void add_ph(const Rows& rows, std::size_t row, FieldTest& test) {
    const double ph = rows.number(row, "ph");
    if (std::isnan(ph)) rows.refuse_missing(row, "ph");
    try {
        judge_soil_number(*soil_attribute("ph"), ph, "pH " + rows.text(row, "ph"), "");
    } catch (const InputError& error) {
        rows.refuse(row, error.what());
    }
    test.ph.push_back(ph);
}

void add_pressure(const Rows& rows, std::size_t row, FieldTest& test) {
    const double pressure = rows.quantity(row, "pressure", Dimension::pressure, "psi");
    if (std::isnan(pressure)) rows.refuse_missing(row, "pressure");
    if (pressure < 0) rows.refuse(row, "a pressure can't be below 0");
    if (pressure > most_psi * psi_pa)
        rows.refuse(row,
                    fmt::format("pressure = {} is {:.0f} psi, more than a hand-pushed cone shows; did you "
                                "mean kPa? Then head the column with pressure [kPa]",
                                rows.text(row, "pressure"), pressure / psi_pa));
    test.pressures_pa.push_back(pressure);
}

void add_row(const Rows& rows, std::size_t row, FieldTest& test) {
    switch (test.kind) {
        case TestKind::percolation:
            return add_percolation(rows, row, test);
        case TestKind::pit:
            return add_pit(rows, row, test);
        case TestKind::ph:
            return add_ph(rows, row, test);
        case TestKind::penetrometer:
            return add_pressure(rows, row, test);
    }
}

TestKind kind_of(const Rows& rows, std::size_t row, std::optional<TestKind> kind) {
    if (kind) return *kind;
    const std::string word = lower(rows.text(row, "kind"));
    if (word.empty()) rows.refuse_missing(row, "kind");
    const auto* found = std::find(kinds.begin(), kinds.end(), word);
    if (found == kinds.end())
        rows.refuse(row, fmt::format("there is no kind of test \"{}\"; the nearest known one is {}",
                                     rows.text(row, "kind"), nearest_name(word, kinds)));
    return static_cast<TestKind>(found - kinds.begin());
}

/// The Munsell value and chroma in "10YR 6/2"; nullopt when there is no such pair.
std::optional<std::pair<double, double>> value_and_chroma(std::string_view colour) {
    const auto slash = colour.find('/');
    const auto blank = colour.substr(0, slash).rfind(' ');
    if (slash == std::string_view::npos || blank == std::string_view::npos) return std::nullopt;
    std::string_view value_text = colour.substr(blank + 1, slash - blank - 1);
    std::string_view chroma_text = colour.substr(slash + 1);
    const auto value = take_number(value_text);
    if (!value || !trim(value_text).empty()) return std::nullopt;
    return std::pair(*value, take_number(chroma_text).value_or(0));
}

}  // namespace

bool is_gray(std::string_view colour) {
    constexpr std::array<std::string_view, 11> others{
        "",    "none",  "no",     "brown", "dark brown",     "yellow",
        "red", "black", "orange", "rust",  "yellowish brown"};
    const std::string word = lower(colour);
    if (word == "gray" || word == "grey" || word == "gleyed" || word == "gray mottles" ||
        word == "grey mottles")
        return true;
    if (std::find(others.begin(), others.end(), word) != others.end()) return false;
    const auto munsell = value_and_chroma(word);
    if (!munsell)
        throw InputError(
            fmt::format("\"{}\" is no colour; write Munsell's, such as 10YR 6/2, or gray, brown, "
                        "yellow, red, black or none",
                        trim(colour)));
    constexpr double dark_below = 4;
    constexpr double gray_to = 2;
    return munsell->first >= dark_below && munsell->second <= gray_to;
}

std::string_view test_kind_name(TestKind kind) {
    return kinds.at(static_cast<std::size_t>(kind));
}

std::vector<FieldTest> read_field_tests(const std::filesystem::path& path, std::optional<TestKind> kind,
                                        const Grid& grid, const GeoReference& geo,
                                        const std::vector<FarmField>& fields,
                                        std::vector<std::string>& notes) {
    const Rows rows(path);
    const Places places(rows, grid, geo, fields);
    std::vector<FieldTest> tests;
    std::vector<std::string> outside;
    for (std::size_t row = 0; row < rows.count(); ++row) {
        if (rows.blank(row)) continue;
        FieldTest test;
        test.name = rows.text(row, "name");
        if (test.name.empty()) rows.refuse_missing(row, "name");
        test.kind = kind_of(rows, row, kind);
        if (!places.place(row, test)) {
            if (outside.empty() || outside.back() != test.name) outside.push_back(test.name);
            continue;
        }
        const auto same = std::find_if(tests.begin(), tests.end(), [&test](const FieldTest& t) {
            return t.kind == test.kind && t.name == test.name;
        });
        if (same != tests.end() && (same->at_m != test.at_m || same->cells != test.cells))
            rows.refuse(row,
                        fmt::format("\"{}\" stands elsewhere in a row above; give each test its own name",
                                    test.name));
        const auto place = same - tests.begin();
        if (same == tests.end()) tests.push_back(std::move(test));
        add_row(rows, row, tests[static_cast<std::size_t>(place)]);
    }
    for (const std::string& name : outside)
        notes.push_back(fmt::format("{}: \"{}\" lies outside the DEM and is left out", rows.file(), name));
    if (tests.empty() && outside.empty())
        throw InputError(fmt::format("{} holds no test; below its head stand empty rows alone", rows.file()));
    if (tests.empty())
        throw InputError(
            fmt::format("{}: every test lies outside the DEM; check x and y, or lon and lat", rows.file()));
    return tests;
}

}  // namespace lielow
