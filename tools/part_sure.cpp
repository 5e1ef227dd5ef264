// SPDX-License-Identifier: Apache-2.0
// How sure the siting is: the site again and again with other errors of the DEM and other figures.
#include <fmt/format.h>

#include <algorithm>

#include "sim/agreement.hpp"
#include "tools/ensemble.hpp"
#include "tools/look_clues.hpp"
#include "tools/staged_classes.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

bool is_chosen(const SiteRun& run, std::string_view part) {
    return std::find(run.chosen.begin(), run.chosen.end(), part) != run.chosen.end();
}

struct Ensemble {
    ClassCounts counts;
    ClassCounts by_frost;  ///< the same where not here counts for frost alone, and as plant otherwise
    RunSpread offset;
};

/// The class, but that what isn't for the crop for other reasons than frost counts as plant.
Field<std::uint8_t> frost_alone(const EnsembleMember& member) {
    constexpr auto frost = static_cast<std::uint8_t>(static_cast<int>(SitingFactor::frost) + 1);
    Field<std::uint8_t> classes = member.siting.clone();
    for (std::size_t c = 0; c < classes.size(); ++c) {
        const bool not_here = classes[c] == static_cast<std::uint8_t>(SitingClass::not_here);
        if (not_here && member.reason[c] != frost) classes[c] = static_cast<std::uint8_t>(SitingClass::plant);
    }
    return classes;
}

Ensemble run_ensemble(SiteRun& run, const MemberStore& store) {
    const std::vector<EnsembleDraw> draws = ensemble_draws(run.site);
    begin_stage(run, "ensemble");
    const Grid& grid = run.dem.ground.grid;
    Ensemble ensemble{ClassCounts(grid), ClassCounts(grid), RunSpread(grid)};
    for (std::size_t i = 0; i < draws.size(); ++i) {
        throw_if_stopped();
        const EnsembleMember member = store.get(static_cast<int>(i) + 1, draws[i]);
        ensemble.counts.add(member.siting);
        ensemble.by_frost.add(frost_alone(member));
        if (!member.night_offset.empty()) ensemble.offset.add(member.night_offset);
        run.progress.at(static_cast<double>(i + 1) / static_cast<double>(draws.size()));
    }
    return ensemble;
}

/// What the coarser cells of the ensemble's nights alone change, beside the site's own siting.
void tell_coarse(SiteRun& run, const MemberStore& store, const Field<std::uint8_t>& own) {
    if (!run.site.ensemble.night_cell_m) return;
    begin_stage(run, "the ensemble's cells, nothing else changed");
    const EnsembleMember coarse = store.get(0, {});
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        run.summary.fields[i].figures.push_back(
            {"coarse_night_differs_share",
             differing_share(own, coarse.siting, {run.fields[i].cells, run.fields[i].share}),
             "Share of the field that gets another class by the coarser cells of the ensemble's nights "
             "alone"});
    }
}

std::string percent(double share) {
    return fmt::format("{:.0f} %", 100 * share);
}

std::string words_of(const FieldAgreement& field, double agreement, PeopleUnits units) {
    const auto area = [&](double m2) { return people_text(m2, PeopleQuantity::area, units); };
    const auto& by_class = field.settled_by_class_m2;
    std::string text =
        fmt::format("in {} of the runs or more {} are to plant, {} with work, {} not for it",
                    percent(agreement), area(by_class[0]), area(by_class[1]), area(by_class[2]));
    const double split = field.ground_m2 - field.settled_m2 - field.unknown_m2;
    if (split > 0.005 * field.ground_m2) text += fmt::format("; on {} the runs differ", area(split));
    if (field.unknown_m2 > 0.005 * field.ground_m2)
        text += fmt::format("; of {} too little is known in most runs", area(field.unknown_m2));
    return text;
}

void tell_fields(SiteRun& run, const ClassCounts& counts) {
    const double agreement = run.site.ensemble.agreement;
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const FieldAgreement field = field_agreement(run.dem.ground.grid, counts, agreement,
                                                     {run.fields[i].cells, run.fields[i].share});
        FieldRecord& record = run.summary.fields[i];
        const auto add = [&](const char* name, double value, const char* meaning) {
            record.figures.push_back({name, value, meaning});
        };
        add("settled_share", field.settled_share(), "Share of the field on which enough runs give one class");
        add("settled_plant_m2", field.settled_by_class_m2[0], "Area settled as: plant");
        add("settled_work_m2", field.settled_by_class_m2[1], "Area settled as: plant with work");
        add("settled_not_here_m2", field.settled_by_class_m2[2], "Area settled as: not here");
        add("runs_unknown_m2", field.unknown_m2, "Area of which too little is known in most runs");
        record.words.push_back(
            {"confidence",
             std::string(confidence_names.at(static_cast<std::size_t>(confidence_of(field.settled_share())))),
             "How sure the siting is: sure, fairly sure or open"});
        record.words.push_back({"confidence_words", words_of(field, agreement, run.site.units),
                                "What the runs agree on, in a sentence"});
    }
}

PartRecord record_of(const Site& site) {
    const EnsembleSettings& e = site.ensemble;
    return {"sure",
            {{"runs", static_cast<double>(e.runs), {}},
             {"seed", static_cast<double>(e.seed), {}},
             {"agreement_share", e.agreement, {}},
             {"sure_from_share", sure_from, {}},
             {"fairly_sure_from_share", fairly_sure_from, {}},
             {"vertical_accuracy_m", *site.ground.vertical_accuracy_m, {}},
             {"correlation_length_m", e.correlation_length_m, {}},
             {"heat_loss_factor", e.heat_loss_factor, {}},
             {"mixing_factor", e.mixing_factor, {}},
             {"conductivity_factor", e.conductivity_factor, {}},
             {"retention_factor", e.retention_factor, {}}},
            {}};
}

}  // namespace

void run_sure(SiteRun& run) {
    if (run.site.ensemble.runs == 0) return;
    const bool judged = is_chosen(run, "siting");
    if (!judged || run.reuse) {
        run.summary.notes.emplace_back(
            "the ensemble isn't run: it repeats the parts of one run that ends in the siting; leave out "
            "--only "
            "and --reuse");
        return;
    }
    const auto own = staged_classes(run, "siting");
    if (!own) return;  // the siting has told why
    const MemberStore store(run);
    const Ensemble ensemble = run_ensemble(run, store);
    tell_coarse(run, store, *own);
    tell_fields(run, ensemble.counts);
    run.summary.parts.push_back(record_of(run.site));
    finish_raster(
        run, ensemble.counts.share_of(SitingClass::not_here),
        {"not_here_share", "Share of the ensemble's runs in which the ground is not for the crop", "1"});
    if (is_chosen(run, "night")) {
        finish_raster(
            run, ensemble.offset.spread(),
            {"night_offset_spread",
             "Standard deviation over the ensemble's runs of the lowest air temperature less that of "
             "the reference spot",
             "K"});
    }
    if (run.keep.contains(not_here_by_frost_layer))
        run.kept[std::string(not_here_by_frost_layer)] = ensemble.by_frost.share_of(SitingClass::not_here);
    if (!run.site.station.record) {
        run.summary.notes.emplace_back(
            "how sure: without station.record the frost of the one night decides, so the runs differ as that "
            "night may be milder or harder; with a record they differ by how one place compares with "
            "another");
    }
    run.summary.cautions.emplace_back(
        "The ensemble shows what the errors and figures that were drawn do to the siting. What the picture "
        "itself lacks, and what nobody measured, it doesn't show: sure ground is worth a look as well.");
}

}  // namespace lielow
