// SPDX-License-Identifier: Apache-2.0
#include "tools/night_crop.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <limits>

#include "io/people_units.hpp"
#include "sim/errors.hpp"
#include "sim/frost_exposure.hpp"
#include "sim/zonal.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;

[[noreturn]] void refuse(const Site& site, const std::string& what) {
    throw InputError(fmt::format("{}: {}", site.file.string(), what));
}

TenderWindow window_by_sums(const Site& site, double latitude_deg) {
    const CropSettings& crop = site.crop;
    if (!crop.degree_day_base_k || !crop.tender_from_sum_k || !crop.tender_to_sum_k)
        refuse(site,
               "degree-days need crop.degree_day_base, crop.tender_from_sum and crop.tender_to_sum together");
    if (crop.tender_from || crop.tender_to)
        refuse(site, "the tender days are given both by dates and by degree-days; take one of them out");
    if (*crop.tender_to_sum_k < *crop.tender_from_sum_k)
        refuse(site, "crop.tender_to_sum is less than crop.tender_from_sum; exchange them");
    if (latitude_deg < 0)
        refuse(site,
               "degree-days are counted from 1 January, which is no winter south of the equator; give "
               "crop.tender_from and crop.tender_to as dates");
    TenderWindow window;
    window.degree_days = {*crop.degree_day_base_k, *crop.tender_from_sum_k, *crop.tender_to_sum_k};
    return window;
}

TenderWindow window_of(const Site& site, double latitude_deg) {
    const CropSettings& crop = site.crop;
    if (crop.degree_day_base_k || crop.tender_from_sum_k || crop.tender_to_sum_k)
        return window_by_sums(site, latitude_deg);
    if (!crop.tender_from || !crop.tender_to)
        refuse(site,
               "station.record needs the tender days: write tender_from = \"04-12\" and tender_to = "
               "\"05-05\" under [crop]");
    if (crop.tender_to->order() < crop.tender_from->order())
        refuse(site, "crop.tender_to comes before crop.tender_from; both lie in one calendar year");
    return {*crop.tender_from, *crop.tender_to, {}};
}

void find_station(const Site& site, const Dem& dem, StationOutlook& station,
                  std::vector<std::string>& notes) {
    station.place = "the reference spot";
    if (!site.station.place) {
        notes.emplace_back(
            "station.place isn't given: the thermometer is taken to stand at the reference spot");
        return;
    }
    const auto position = map_position(*site.station.place);
    if (!position)
        refuse(site, fmt::format(R"(station.place = "{}" is no map position; write "431250.0, 4512800.0")",
                                 *site.station.place));
    station.cell = cell_at(dem, position->first, position->second);
    if (station.cell) {
        station.place = fmt::format("map position {}", *site.station.place);
    } else {
        notes.push_back(
            fmt::format("the DEM has no ground at station.place ({}): the thermometer is taken to read what "
                        "the reference spot has",
                        *site.station.place));
    }
}

void note_springs(const StationOutlook& station, double clear_share, std::vector<std::string>& notes) {
    const Springs& springs = station.springs;
    if (!springs.left_out.empty())
        notes.push_back(fmt::format("springs left out because too many of their days are missing: {}",
                                    fmt::join(springs.left_out, ", ")));
    if (springs.springs.size() < static_cast<std::size_t>(few_springs))
        notes.push_back(
            fmt::format("the record has only {} whole springs; below {} the share of damaging ones is "
                        "little more than a guess",
                        springs.springs.size(), few_springs));
    if (!springs.has_ranges && clear_share >= 1)
        notes.emplace_back(
            "the record has no highs that would tell clear nights: every night takes the whole "
            "offset, which overstates the frost of low ground; station.clear_share lowers it");
}

StationOutlook read_station(const Site& site, const Dem& dem, const CropStage& stage,
                            std::vector<std::string>& notes) {
    StationOutlook station;
    station.window = window_of(site, dem.geo.latitude_deg);
    station.threshold_k = killing_temperature(stage.curve, site.crop.damaging_share);
    const StationRecord record = read_station_record(*site.station.record);
    notes.insert(notes.end(), record.notes.begin(), record.notes.end());
    station.springs = tender_springs(record.days, station.window);
    if (station.springs.springs.size() < static_cast<std::size_t>(least_springs))
        throw InputError(
            fmt::format("{} holds {} springs whose tender days are on record; {} are the least that tell "
                        "anything: use a longer record or leave station.record out",
                        site.station.record->string(), station.springs.springs.size(), least_springs));
    find_station(site, dem, station, notes);
    note_springs(station, site.station.clear_share, notes);
    return station;
}

/// Mean of `value` over the field's known ground; NaN where it has none.
template <class Value>
double mean_over(const FarmField& field, const Field<float>& raster, Value value) {
    double sum = 0;
    double weight = 0;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        const float at = raster[field.cells[i]];
        if (at != at) continue;
        const auto share = static_cast<double>(field.share[i]);
        sum += share * value(static_cast<double>(at));
        weight += share;
    }
    return weight > 0 ? sum / weight : std::numeric_limits<double>::quiet_NaN();
}

/// Curve in °C, as maps are.
KillCurve celsius(KillCurve curve) {
    curve.t10 -= kelvin_zero_c;
    curve.t90 -= kelvin_zero_c;
    return curve;
}

void write_losses(SiteRun& run, const CropOutlook& crop, Field<float>&& held_c, const ReferenceSpot& spot,
                  PartRecord& record) {
    begin_stage(run, "flowers lost");
    const KillCurve curve = celsius(crop.stage.curve);
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const auto mean = [&](auto value) { return mean_over(run.fields[i], held_c, value); };
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"flowers_lost_share", mean([&](double t) { return killed_share(curve, t); }),
                           "Share of the field's flowers expected to be killed that night"});
        figures.push_back({"flowers_lost_least_share",
                           mean([&](double t) { return killed_band(curve, t).least; }),
                           "The same by the colder of the published critical temperatures"});
        figures.push_back({"flowers_lost_most_share",
                           mean([&](double t) { return killed_band(curve, t).most; }),
                           "The same by the warmer of the published critical temperatures"});
    }
    for (float& value : held_c.all())
        value = static_cast<float>(killed_share(curve, static_cast<double>(value)));
    record.figures.push_back({"reference_loss_share", static_cast<double>(held_c[spot.cell]), {}});
    finish_raster(
        run, std::move(held_c),
        {"loss_share",
         fmt::format("Expected share of the flowers killed that night, {} at {}{}", crop.kind,
                     crop.stage.name, crop.stage.supposed_width ? " (width of the curve supposed)" : ""),
         "1"});
}

void record_station(const Site& site, const StationOutlook& station, PartRecord& record) {
    const FrostShare share = frost_share(station.springs, station.threshold_k, 0, site.station.clear_share);
    record.words.emplace_back("station_place", station.place);
    record.figures.push_back({"damaging_at_c", station.threshold_k - kelvin_zero_c, {}});
    record.figures.push_back({"station_springs", static_cast<double>(share.springs), {}});
    record.figures.push_back({"station_damaging_springs", static_cast<double>(share.damaging), {}});
    record.figures.push_back({"station_counted_share", share.counted, {}});
    record.figures.push_back({"station_counted_low_share", share.band.low, {}});
    record.figures.push_back({"station_counted_high_share", share.band.high, {}});
    record.figures.push_back({"station_normal_share", share.normal, {}});
    record.figures.push_back({"station_normal_low_share", share.normal_band.low, {}});
    record.figures.push_back({"station_normal_high_share", share.normal_band.high, {}});
    record.figures.push_back({"station_extreme_value_share", share.lowest, {}});
    record.figures.push_back({"crop_life_years", static_cast<double>(site.crop.life_years), {}});
}

/// What `figure` makes of each cell's offset from the thermometer.
template <class Figure>
Field<float> from_offsets(const Field<float>& offset, float at_station, Figure figure) {
    Field<float> result = offset.clone();
    for (float& value : result.all())
        value = static_cast<float>(figure(static_cast<double>(value - at_station)));
    return result;
}

/// Shares of damaging springs at each field's median place, with their band, and the risk over the crop's
/// life.
void add_field_shares(SiteRun& run, const FrostOdds& odds, const Field<float>& offset, float at_station) {
    const Field<float> shift = from_offsets(offset, at_station, [](double k) { return k; });
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const double median =
            zonal_figures(run.dem.ground.grid, shift, {run.fields[i].cells, run.fields[i].share}).median;
        const double share = odds.share(median);
        const ShareBand band = odds.band(median);
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"damaging_springs_share", share,
                           "Share of springs with damaging frost, at the field's median place"});
        figures.push_back({"damaging_springs_low_share", band.low,
                           "Low end of its 95 % interval, from the length of the record alone"});
        figures.push_back({"damaging_springs_high_share", band.high,
                           "High end of its 95 % interval, from the length of the record alone"});
        figures.push_back(
            {"risk_over_life_share", risk_over(share, run.site.crop.life_years),
             fmt::format("Chance of at least one damaging spring in {} years, at the field's median place",
                         run.site.crop.life_years)});
    }
}

void write_years(SiteRun& run, const StationOutlook& station, const Field<float>& offset,
                 PartRecord& record) {
    begin_stage(run, "damaging springs");
    record_station(run.site, station, record);
    const float at_station = station.cell ? offset[*station.cell] : 0.0F;
    record.figures.push_back({"station_offset_k", static_cast<double>(at_station), {}});
    const FrostOdds odds(station.springs, station.threshold_k, run.site.station.clear_share);
    add_field_shares(run, odds, offset, at_station);
    const auto years = [&](auto share, const char* name, std::string meaning) {
        finish_raster(run,
                      from_offsets(offset, at_station, [&](double k) { return years_between(share(k)); }),
                      {name, std::move(meaning), "year"});
    };
    years([&](double k) { return odds.share(k); }, "loss_years",
          fmt::format(
              "One spring in so many has a night in the tender days that kills at least {:.0f} % of the "
              "flowers; no value where rarer than one in {:.0f}",
              100 * run.site.crop.damaging_share, rarest_years));
    years([&](double k) { return odds.band(k).high; }, "loss_years_low",
          "Low end of the 95 % interval of loss_years, from the length of the record alone: as often as that "
          "it "
          "may be");
    years([&](double k) { return odds.band(k).low; }, "loss_years_high",
          fmt::format(
              "High end of the 95 % interval of loss_years, from the length of the record alone; no value "
              "where it is beyond {:.0f}",
              rarest_years));
}

/// How sure the table is of its figures.
void note_figures(const CropOutlook& crop, std::vector<std::string>& notes) {
    if (crop.stage.supposed_width)
        notes.push_back(fmt::format(
            "{} at {}: only one temperature is published ({}), not how the loss grows with the cold; that "
            "is supposed, not measured",
            crop.kind, crop.stage.name, crop.stage.basis));
    if (crop.stage.from_memory)
        notes.push_back(fmt::format(
            "{} at {}: the critical temperatures stand in the table from memory; look them up before you "
            "decide by them ({})",
            crop.kind, crop.stage.name, crop.stage.source));
}

}  // namespace

std::optional<CropOutlook> read_site_crop(const Site& site, const Dem& dem, std::vector<std::string>& notes) {
    const CropSettings& wanted = site.crop;
    if (!wanted.kind) {
        if (site.station.record)
            refuse(site, "station.record needs crop.kind; write kind = \"highbush blueberry\" under [crop]");
        return std::nullopt;
    }
    if (!wanted.stage) refuse(site, "crop.stage is missing; write stage = \"full bloom\" under [crop]");
    const CropTable table = read_crop_table(wanted.table);
    CropOutlook crop;
    crop.kind = *wanted.kind;
    try {
        crop.stage = find_crop_stage(table, *wanted.kind, *wanted.stage);
    } catch (const InputError& error) {
        refuse(site, error.what());
    }
    note_figures(crop, notes);
    if (site.station.record) crop.station = read_station(site, dem, crop.stage, notes);
    return crop;
}

std::string crop_text(const CropOutlook& crop, PeopleUnits units) {
    const auto degrees = [&](double k) { return people_text(k, PeopleQuantity::temperature, units); };
    const KillCurve& curve = crop.stage.curve;
    std::string text =
        fmt::format("Crop: {} at {}: 10 % of the flowers die at {}, 90 % at {}{} ({}: {}).\n", crop.kind,
                    crop.stage.name, degrees(curve.t10), degrees(curve.t90),
                    crop.stage.supposed_width ? " (supposed)" : "", crop.stage.basis, crop.stage.source);
    if (crop.station) {
        text += fmt::format("Station: {} springs on record, at {}; damaging at or below {}.\n",
                            crop.station->springs.springs.size(), crop.station->place,
                            degrees(crop.station->threshold_k));
    }
    return text;
}

void write_crop_rasters(SiteRun& run, const CropOutlook& crop, const NightSetup& setup,
                        const Field<float>& offset, const ReferenceSpot& spot, PartRecord& record) {
    begin_stage(run, "hours of frost");
    const double t10_c = crop.stage.curve.t10 - kelvin_zero_c;
    record.words.emplace_back("crop", crop.kind);
    record.words.emplace_back("crop_stage", crop.stage.name);
    record.words.emplace_back("crop_source", crop.stage.source);
    record.words.emplace_back("crop_basis", crop.stage.basis);
    record.words.emplace_back("crop_figures_from_memory", crop.stage.from_memory ? "yes" : "no");
    record.words.emplace_back("crop_width", crop.stage.supposed_width ? "supposed" : "published");
    record.figures.push_back({"crop_kills_10_percent_c", t10_c, {}});
    record.figures.push_back({"crop_kills_90_percent_c", crop.stage.curve.t90 - kelvin_zero_c, {}});
    FrostExposure exposure =
        night_exposure(run.dem.ground, setup, *run.night, t10_c, [] { return !stop_requested(); });
    Field<float> held = exposure.held();
    finish_raster(
        run, exposure.take_hours(),
        {"frost_hours",
         fmt::format("Hours of the night below {:.2f} degC at {:.2f} m above the ground: there 10 % of the "
                     "flowers are killed, {} at {}",
                     t10_c, setup.plant_height_m, crop.kind, crop.stage.name),
         "h"});
    write_losses(run, crop, std::move(held), spot, record);
    if (crop.station) write_years(run, *crop.station, offset, record);
}

}  // namespace lielow
