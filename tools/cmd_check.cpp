// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "io/people_units.hpp"
#include "sim/errors.hpp"
#include "tools/command.hpp"
#include "tools/read_ground.hpp"
#include "tools/site_run.hpp"
#include "tools/text_table.hpp"
#include "tools/without_effect.hpp"

namespace lielow {
namespace {

std::string settings_text(const Site& site) {
    TextTable table{{"key", "in force", "from"}, {}, false};
    for (const SiteSetting& setting : site.settings)
        table.rows.push_back({std::string(setting.key), setting.text, setting.origin});
    return to_text(table);
}

std::string ground_text(const GroundRecord& ground, PeopleUnits units) {
    return fmt::format(
        "Ground: {} x {} cells of {:.4g} m x {:.4g} m, {} with a value; elevations in {} (says the {}).\n"
        "Holes: {} bridged ({} cells), {} left open ({} cells).\n",
        ground.rows, ground.cols, ground.cell_width_m, ground.cell_height_m,
        people_text(ground.known_area_m2, PeopleQuantity::area, units), ground.vertical_unit,
        ground.vertical_unit_from, ground.bridged_holes, ground.bridged_cells, ground.open_holes,
        ground.open_cells);
}

std::string fields_text(const std::vector<FarmField>& fields, PeopleUnits units) {
    TextTable table{{"field", fmt::format("area, {}", people_unit(PeopleQuantity::area, units))}, {}};
    for (const FarmField& field : fields)
        table.rows.push_back({field.name, people_number(field.area_m2, PeopleQuantity::area, units)});
    return to_text(table);
}

/// Which parts `lielow run` could do with this site file, and what the others lack.
std::string parts_text(const Site& site) {
    std::string text;
    for (const Part& part : part_table()) {
        try {
            require_keys_for(site, part.name);
            text += fmt::format("{}: ready to run\n", part.name);
        } catch (const InputError& lacking) {
            text += fmt::format("{}: {}\n", part.name, lacking.what());
        }
    }
    return text;
}

class CheckCommand final : public Command {
  public:
    void declare(Options& options) override { options.argument("SITE.toml", "the site file", site_file_); }

    void run(Progress& progress) override {
        Site site = read_site(site_file_);
        tell_keys_without_effect(site);
        progress.begin("reading the ground");
        const Dem dem = read_site_dem(site);
        std::vector<std::string> notes = dem.notes;
        const auto fields = read_site_fields(site, dem, notes);
        progress.end();
        fmt::print("{}\n{}{}\n", settings_text(site), ground_text(ground_record(dem), site.units),
                   fields_text(fields, site.units));
        for (const std::string& note : notes) fmt::print("Note: {}\n", note);
        fmt::print("{}", parts_text(site));
    }

  private:
    std::string site_file_;
};

}  // namespace

std::unique_ptr<Command> make_check_command() {
    return std::make_unique<CheckCommand>();
}

}  // namespace lielow
