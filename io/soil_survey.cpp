// SPDX-License-Identifier: Apache-2.0
#include "io/soil_survey.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <system_error>

#include "io/csv_table.hpp"
#include "io/gdal_codes.hpp"
#include "io/gdal_coverage.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_vector.hpp"
#include "io/nearest_name.hpp"
#include "io/soil_map.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double acre_m2 = 4046.8564224;

constexpr float half = 0.5F;
constexpr std::int32_t nobody = -1;

/// Every unit of the table under its key.
std::map<std::string, SoilUnit> units_of_table(const SurveyRequest& request,
                                               std::vector<std::string>& notes) {
    const CsvTable table = read_csv(*request.table);
    const auto key = std::find(table.columns.begin(), table.columns.end(), request.key);
    if (key == table.columns.end()) {
        throw InputError(fmt::format("{} has no column {} (soil.survey_key) to join it by; it has {}",
                                     table.file, request.key, fmt::join(table.columns, ", ")));
    }
    const auto at = static_cast<std::size_t>(key - table.columns.begin());
    const SoilColumns columns(table.columns, request.reading, table.file);
    notes.insert(notes.end(), columns.notes().begin(), columns.notes().end());
    std::map<std::string, SoilUnit> units;
    for (const auto& row : table.rows) {
        const std::string where = fmt::format("{}, {} {}", table.file, request.key, row[at]);
        units.emplace(row[at], columns.read([&row](std::size_t c) { return row[c]; }, where));
    }
    return units;
}

/// Lays units over cells, each cell the one with the largest share.
class Cells {
  public:
    explicit Cells(const Ground& ground)
        : ground_(ground),
          unit_(ground.grid.rows, ground.grid.cols, nobody),
          share_(ground.grid.rows, ground.grid.cols, 0.0F),
          all_(ground.grid.rows, ground.grid.cols, 0.0F) {}

    /// Number of the unit among the different ones.
    std::int32_t number_of(const SoilUnit& unit) {
        const auto found = std::find_if(units_.begin(), units_.end(),
                                        [&unit](const SoilUnit& u) { return same_soil(u, unit); });
        if (found != units_.end()) return static_cast<std::int32_t>(found - units_.begin());
        units_.push_back(unit);
        return static_cast<std::int32_t>(units_.size() - 1);
    }
    void lay(std::size_t cell, float share, std::int32_t number) {
        const bool known = ground_.known[cell] != 0;
        if (known && unit_[cell] != number && share > half && share_[cell] > half) ++disagreeing_;
        all_[cell] += share;
        if (share <= share_[cell]) return;
        unit_[cell] = number;
        share_[cell] = share;
    }
    /// Cells of which the outlines leave more than half uncovered have no soil. Returns the others' number.
    std::size_t finish() {
        std::size_t covered = 0;
        for (std::size_t c = 0; c < unit_.size(); ++c) {
            if (all_[c] < half) unit_[c] = nobody;
            if (unit_[c] != nobody && ground_.known[c] != 0) ++covered;
        }
        return covered;
    }
    [[nodiscard]] double disagreeing_m2() const {
        return static_cast<double>(disagreeing_) * ground_.grid.cell_area();
    }
    [[nodiscard]] std::size_t units() const { return units_.size(); }

    [[nodiscard]] SoilFacts facts() const {
        SoilFacts facts;
        facts.drainage_class =
            classes([](const SoilUnit& u) { return static_cast<std::uint8_t>(u.drainage); });
        facts.flooding = classes([](const SoilUnit& u) { return static_cast<std::uint8_t>(u.flooding); });
        facts.ponding = classes([](const SoilUnit& u) { return static_cast<std::uint8_t>(u.ponding); });
        facts.hydrologic_group =
            classes([](const SoilUnit& u) { return static_cast<std::uint8_t>(u.group); });
        facts.table_depth_year_m = numbers(&SoilUnit::table_year_m);
        facts.table_depth_spring_m = numbers(&SoilUnit::table_spring_m);
        facts.floor_depth_m = numbers(&SoilUnit::floor_m);
        facts.ph = numbers(&SoilUnit::ph);
        facts.available_water_m = numbers(&SoilUnit::available_water_m);
        facts.conductivity_m_s = numbers(&SoilUnit::conductivity_m_s);
        return facts;
    }

  private:
    template <class ValueOf>
    [[nodiscard]] Field<std::uint8_t> classes(ValueOf value_of) const {
        constexpr std::uint8_t unknown = 255;
        const bool any = std::any_of(units_.begin(), units_.end(),
                                     [&](const SoilUnit& unit) { return value_of(unit) != unknown; });
        if (!any) return {};
        Field<std::uint8_t> values(unit_.rows(), unit_.cols(), unknown);
        for (std::size_t c = 0; c < unit_.size(); ++c) {
            if (unit_[c] != nobody) values[c] = value_of(units_[static_cast<std::size_t>(unit_[c])]);
        }
        return values;
    }
    [[nodiscard]] Field<float> numbers(double SoilUnit::*member) const {
        const bool any = std::any_of(units_.begin(), units_.end(),
                                     [member](const SoilUnit& unit) { return !std::isnan(unit.*member); });
        if (!any) return {};
        Field<float> values(unit_.rows(), unit_.cols(), static_cast<float>(SoilUnit::unknown));
        for (std::size_t c = 0; c < unit_.size(); ++c) {
            if (unit_[c] != nobody)
                values[c] = static_cast<float>(units_[static_cast<std::size_t>(unit_[c])].*member);
        }
        return values;
    }

    const Ground& ground_;
    std::vector<SoilUnit> units_;
    Field<std::int32_t> unit_;
    Field<float> share_;  ///< of that unit
    Field<float> all_;    ///< of all of them
    std::size_t disagreeing_ = 0;
};

/// Columns of a vector layer, and what a feature says in each.
class Attributes {
  public:
    explicit Attributes(OGRLayer& layer) {
        OGRFeatureDefn& definition = *layer.GetLayerDefn();
        for (int i = 0; i < definition.GetFieldCount(); ++i)
            names.emplace_back(definition.GetFieldDefn(i)->GetNameRef());
    }
    static std::string text(OGRFeature& feature, std::size_t column) {
        const int index = static_cast<int>(column);
        return feature.IsFieldSetAndNotNull(index) ? gdal::one_line(feature.GetFieldAsString(index)) : "";
    }
    std::vector<std::string> names;
};

class Outlines {
  public:
    Outlines(const SurveyRequest& request, const Ground& ground, const GeoReference& geo,
             std::vector<std::string>& notes)
        : request_(request),
          ground_(ground),
          geo_(geo),
          notes_(notes),
          file_(gdal::display_name(*request.survey)),
          source_(*request.survey, "soils", "outlines of the soil survey", geo, notes),
          attributes_(source_.layer()) {
        if (request.table) {
            units_ = units_of_table(request, notes);
            key_ = source_.layer().GetLayerDefn()->GetFieldIndex(request.key.c_str());
            if (key_ < 0)
                throw InputError(
                    fmt::format("{} has no attribute {} (soil.survey_key) to join it by; it has {}", file_,
                                request.key, fmt::join(attributes_.names, ", ")));
        } else {
            columns_.emplace(attributes_.names, request.reading, file_);
            notes.insert(notes.end(), columns_->notes().begin(), columns_->notes().end());
        }
    }

    SoilSurvey read() {
        Cells cells(ground_);
        SoilSurvey survey;
        std::size_t number = 0;
        for (auto& feature : source_.layer()) {
            ++number;
            const OGRGeometry* geometry = feature->GetGeometryRef();
            gdal::Polygons polygons = geometry == nullptr ? nullptr : gdal::flat_polygons(*geometry);
            if (!polygons) continue;
            const std::string name = fmt::format("outline {}", number);
            const SoilUnit unit = unit_of(*feature, fmt::format("{}, {}", file_, name));
            const gdal::Coverage coverage = coverage_of(std::move(polygons), name);
            if (coverage.cells.empty()) continue;
            ++survey.outlines;
            const std::int32_t soil = cells.number_of(unit);
            for (std::size_t i = 0; i < coverage.cells.size(); ++i)
                cells.lay(coverage.cells[i], coverage.share[i], soil);
        }
        if (cells.finish() == 0)
            throw InputError(fmt::format("{} covers nothing of the DEM; check the CRS of both", file_));
        tell(cells);
        survey.units = cells.units();
        survey.facts = cells.facts();
        return survey;
    }

  private:
    gdal::Coverage coverage_of(gdal::Polygons polygons, const std::string& name) {
        polygons = gdal::sound(std::move(polygons), name, source_.crs(), file_, notes_);
        if (source_.to_ground() != nullptr && polygons->transform(source_.to_ground()) != OGRERR_NONE)
            throw InputError(fmt::format("{} can't be brought into the DEM's CRS", file_));
        const double area = polygons->get_Area() * geo_.metres_per_unit * geo_.metres_per_unit;
        return gdal::coverage_of(*polygons, area, ground_.grid, geo_);
    }
    SoilUnit unit_of(OGRFeature& feature, const std::string& where) {
        if (columns_)
            return columns_->read([&](std::size_t c) { return Attributes::text(feature, c); }, where);
        const auto found = units_.find(Attributes::text(feature, static_cast<std::size_t>(key_)));
        if (found != units_.end()) return found->second;
        ++lacking_;
        return {};
    }
    void tell(const Cells& cells) {
        if (cells.disagreeing_m2() > 0) {
            notes_.push_back(fmt::format(
                "{}: outlines overlap and say different things on {:.2g} acres; the first that covers a cell "
                "most counts",
                file_, cells.disagreeing_m2() / acre_m2));
        }
        if (lacking_ > 0) {
            notes_.push_back(
                fmt::format("{}: {} outlines have a {} that the table lacks; their soil is unknown", file_,
                            lacking_, request_.key));
        }
    }

    const SurveyRequest& request_;
    const Ground& ground_;
    const GeoReference& geo_;
    std::vector<std::string>& notes_;
    std::string file_;
    gdal::PolygonSource source_;
    Attributes attributes_;
    std::optional<SoilColumns> columns_;
    std::map<std::string, SoilUnit> units_;
    int key_ = -1;
    std::size_t lacking_ = 0;
};

SoilSurvey from_raster(GDALDataset& raster, const SurveyRequest& request, const Ground& ground,
                       const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(*request.survey);
    if (!request.table) {
        throw InputError(fmt::format(
            "{} is a raster of soil units; name the table of what they are, soil.survey_table", file));
    }
    const auto units = units_of_table(request, notes);
    const Field<std::int32_t> codes = gdal::codes_on_ground(raster, ground.grid, geo, file, "soil units");
    Cells cells(ground);
    std::map<std::int32_t, std::int32_t> number_of_code;
    std::size_t lacking = 0;
    for (std::size_t c = 0; c < codes.size(); ++c) {
        if (codes[c] == 0) continue;
        auto found = number_of_code.find(codes[c]);
        if (found == number_of_code.end()) {
            const auto unit = units.find(std::to_string(codes[c]));
            lacking += unit == units.end() ? 1 : 0;
            const std::int32_t number = unit == units.end() ? nobody : cells.number_of(unit->second);
            found = number_of_code.emplace(codes[c], number).first;
        }
        if (found->second != nobody) cells.lay(c, 1.0F, found->second);
    }
    if (cells.finish() == 0)
        throw InputError(
            fmt::format("{} and its table have nothing in common on the DEM; check the CRS and "
                        "soil.survey_key",
                        file));
    if (lacking > 0)
        notes.push_back(
            fmt::format("{}: {} soil units are not in the table; their soil is unknown", file, lacking));
    return {cells.facts(), 0, cells.units()};
}

Field<float>& number_of(SoilFacts& facts, SoilAttribute attribute, const std::string& key) {
    switch (attribute) {
        case SoilAttribute::water_table_year:
            return facts.table_depth_year_m;
        case SoilAttribute::water_table_spring:
            return facts.table_depth_spring_m;
        case SoilAttribute::floor_depth:
            return facts.floor_depth_m;
        case SoilAttribute::ph:
            return facts.ph;
        case SoilAttribute::available_water:
            return facts.available_water_m;
        case SoilAttribute::conductivity:
            return facts.conductivity_m_s;
        default:
            throw InputError(
                fmt::format("soil.maps.{} can't be a raster, because it is a word and no number; "
                            "give it with soil.survey and soil.survey_table",
                            key));
    }
}

void lay_map(const std::string& key, const std::filesystem::path& path, const Ground& ground,
             const GeoReference& geo, SoilFacts& facts) {
    const SoilAttributeWords& words = *soil_attribute(key);
    Field<float>& values = number_of(facts, words.attribute, key);
    const Field<float> map = read_soil_map(path, key, words.dimension, ground.grid, geo);
    if (values.empty()) values = Field<float>(map.rows(), map.cols(), static_cast<float>(SoilUnit::unknown));
    for (std::size_t c = 0; c < map.size(); ++c) {
        if (std::isnan(map[c])) continue;
        const auto value = static_cast<double>(map[c]);
        try {
            judge_soil_number(words, value, fmt::format("{:.4g}", value),
                              words.dimension ? words_for(*words.dimension).si_unit : std::string_view());
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", gdal::display_name(path), key, error.what()));
        }
        values[c] = map[c];
    }
}

/// Rock outcrop, as a rule; but some surveys list a dense layer that begins at the surface, or 0 for "not
/// known".
void note_floor_at_surface(const SoilFacts& facts, const Ground& ground, std::vector<std::string>& notes) {
    if (facts.floor_depth_m.empty()) return;
    std::size_t bare = 0;
    for (std::size_t c = 0; c < ground.known.size(); ++c)
        if (ground.known[c] != 0 && facts.floor_depth_m[c] <= 0) ++bare;
    if (bare == 0) return;
    notes.push_back(fmt::format(
        "the soil survey gives {:.3g} acres a depth of 0 to what stops roots, as it does for bare "
        "rock; if there is soil, correct resdept_r or brockdepmin (empty: not known)",
        static_cast<double>(bare) * ground.grid.cell_area() / acre_m2));
}

}  // namespace

SoilSurvey read_soil_survey(const SurveyRequest& request, const Ground& ground, const GeoReference& geo,
                            std::vector<std::string>& notes) {
    SoilSurvey survey;
    if (request.survey) {
        std::error_code ignored;
        if (!std::filesystem::exists(*request.survey, ignored))
            throw InputError(fmt::format("{}: no such file (the soil survey)", request.survey->string()));
        const gdal::Dataset raster = gdal::open_raster(*request.survey);
        survey = raster ? from_raster(*raster, request, ground, geo, notes)
                        : Outlines(request, ground, geo, notes).read();
    }
    for (const auto& [key, path] : request.maps) lay_map(key, path, ground, geo, survey.facts);
    note_floor_at_surface(survey.facts, ground, notes);
    return survey;
}

}  // namespace lielow
