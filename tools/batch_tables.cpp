// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_tables.hpp"

#include <algorithm>
#include <limits>
#include <map>

#include "io/farm_outlines.hpp"
#include "io/sites_gpkg.hpp"
#include "io/staging.hpp"
#include "io/vector_copy.hpp"
#include "sim/errors.hpp"
#include "tools/batch_farm.hpp"
#include "tools/batch_page.hpp"
#include "tools/layer_looks.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Columns by name in the order in which they are first met, each as long as there are features.
class FigureColumns {
  public:
    explicit FigureColumns(std::size_t features) : features_(features) {}
    void set(std::size_t feature, const FarmFigure& figure) {
        auto known = places_.find(figure.name);
        if (known == places_.end()) {
            known = places_.emplace(figure.name, columns_.size()).first;
            columns_.push_back({figure.name, figure.meaning, std::vector<double>(features_, unknown)});
        }
        std::get<std::vector<double>>(columns_[known->second].values)[feature] = figure.value;
    }
    std::vector<Column> take() { return std::move(columns_); }

  private:
    std::size_t features_;
    std::map<std::string, std::size_t> places_;
    std::vector<Column> columns_;
};

double acres(double area_m2) {
    return to_people(area_m2, PeopleQuantity::area, PeopleUnits::us);
}

void append(VectorLayer& layer, std::vector<Column> columns) {
    for (Column& column : columns) layer.columns.push_back(std::move(column));
}

const Wkb& no_outline() {
    static const Wkb empty = empty_multipolygon_wkb();
    return empty;
}

VectorLayer farms_layer(const std::vector<TableFarm>& farms, const std::vector<FarmOutlines>& outlines) {
    VectorLayer layer{"farms", "Farms of the list and their figures", Shape::multi_polygon, {}, {}};
    std::vector<std::string> names, folders, states, errors, verdicts;
    std::vector<double> fields;
    FigureColumns figures(farms.size());
    const PeopleUnits units = units_of(farms);
    for (std::size_t i = 0; i < farms.size(); ++i) {
        const TableFarm& farm = farms[i];
        layer.geometries.push_back(farm.facts ? outlines[i].farm : no_outline());
        names.push_back(farm.name);
        folders.push_back(farm.folder);
        states.push_back(state_word(farm.state));
        errors.push_back(farm.error);
        verdicts.push_back(farm.facts ? farm.facts->in_short(units) : std::string());
        fields.push_back(farm.facts ? static_cast<double>(farm.facts->fields.size()) : 0);
        const double area = farm.facts ? farm.facts->area_m2() : unknown;
        figures.set(i, {"area_m2", "Area of the fields' outlines, square metres", area});
        figures.set(i, {"area_acres", "Area of the fields' outlines, acres", acres(area)});
        if (!farm.facts) continue;
        for (const FarmFigure& figure : farm.facts->figures) figures.set(i, figure);
    }
    append(layer, {{"name", "Name of the farm in the list", std::move(names)},
                   {"state", "done, failed, not run or outdated", std::move(states)},
                   {"verdict", "The farm in short", std::move(verdicts)},
                   {"error", "Why it failed", std::move(errors)},
                   {"folder", "Where its results lie, below this file", std::move(folders)},
                   {"fields", "Number of fields", std::move(fields)}});
    append(layer, figures.take());
    return layer;
}

VectorLayer all_fields_layer(const std::vector<TableFarm>& farms, const std::vector<FarmOutlines>& outlines) {
    VectorLayer layer{"fields", "Fields of all farms and their figures", Shape::multi_polygon, {}, {}};
    std::vector<std::string> of_farm, names, verdicts;
    std::size_t count = 0;
    for (const TableFarm& farm : farms) count += farm.facts ? farm.facts->fields.size() : 0;
    FigureColumns figures(count);
    for (std::size_t i = 0; i < farms.size(); ++i) {
        if (!farms[i].facts) continue;
        for (std::size_t f = 0; f < farms[i].facts->fields.size(); ++f) {
            const FieldFacts& field = farms[i].facts->fields[f];
            figures.set(names.size(), {"area_m2", "Area of the outline, square metres", field.area_m2});
            figures.set(names.size(), {"area_acres", "Area of the outline, acres", acres(field.area_m2)});
            for (const FarmFigure& figure : field.figures) figures.set(names.size(), figure);
            layer.geometries.push_back(outlines[i].fields.at(f));
            of_farm.push_back(farms[i].name);
            names.push_back(field.name);
            verdicts.push_back(field.verdict);
        }
    }
    append(layer, {{"farm", "Name of the farm in the list", std::move(of_farm)},
                   {"name", "Name of the field", std::move(names)},
                   {"verdict", "The siting in a sentence", std::move(verdicts)}});
    append(layer, figures.take());
    return layer;
}

std::vector<FarmOutlines> outlines_of(const std::vector<TableFarm>& farms, const fs::path& out) {
    std::vector<FarmOutlines> outlines;
    for (const TableFarm& farm : farms) {
        outlines.push_back(farm.facts ? read_farm_outlines(out / farm.folder / "sites.gpkg")
                                      : FarmOutlines{});
        if (farm.facts && outlines.back().fields.size() != farm.facts->fields.size())
            throw RunError(farm.folder +
                           ": summary.json and sites.gpkg differ; delete the folder and run the farm again");
    }
    return outlines;
}

}  // namespace

std::string state_word(FarmState state) {
    switch (state) {
        case FarmState::done:
            return "done";
        case FarmState::failed:
            return "failed";
        case FarmState::outdated:
            return "outdated";
        case FarmState::missing:
            break;
    }
    return "not run";
}

std::vector<TableFarm> table_farms(const BatchList& list, const std::vector<FarmOutcome>& outcomes,
                                   const fs::path& out) {
    std::vector<TableFarm> farms;
    for (std::size_t i = 0; i < list.rows.size(); ++i) {
        TableFarm farm{list.rows[i].name, list.rows[i].folder, outcomes[i].state, outcomes[i].error, {}};
        if (farm.state == FarmState::done) {
            try {
                farm.facts = read_farm_facts(out / farm.folder);
            } catch (const RunError& error) {
                farm.state = FarmState::failed;
                farm.error = error.what();
            }
        }
        farms.push_back(std::move(farm));
    }
    return farms;
}

PeopleUnits units_of(const std::vector<TableFarm>& farms) {
    bool any = false;
    for (const TableFarm& farm : farms) {
        if (!farm.facts) continue;
        any = true;
        if (farm.facts->units != PeopleUnits::si) return PeopleUnits::us;
    }
    return any ? PeopleUnits::si : PeopleUnits::us;
}

std::vector<std::string> write_batch_tables(const std::vector<TableFarm>& farms, const fs::path& out) {
    Staging staging(out);
    const std::vector<FarmOutlines> outlines = outlines_of(farms, out);
    std::vector<VectorLayer> layers;
    layers.push_back(farms_layer(farms, outlines));
    layers.push_back(all_fields_layer(farms, outlines));
    style_layers(layers);
    const fs::path gpkg = staging.path("farms.gpkg");
    write_sites_gpkg(gpkg, earth_coordinates(), layers);
    std::vector<std::string> written{"farms.gpkg"};
    if (copy_layer(gpkg, "farms", "CSV", staging.path("farms.csv"))) written.emplace_back("farms.csv");
    if (copy_layer(gpkg, "farms", "Parquet", staging.path("farms.parquet")))
        written.emplace_back("farms.parquet");
    write_durably(staging.path("index.html"), batch_page(farms, out));
    written.emplace_back("index.html");
    staging.commit();
    return written;
}

}  // namespace lielow
