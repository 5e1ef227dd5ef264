// SPDX-License-Identifier: Apache-2.0
// Keys of the crop, its tender days and the thermometer's record.
#include <fmt/format.h>

#include "io/site_key_groups.hpp"
#include "io/station_record.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";

MonthDay month_day_of(std::string_view key, const SiteValue& value) {
    try {
        return month_day_from(value.text);
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", key, error.what()));
    }
}

}  // namespace

std::vector<SiteKey> crop_keys() {
    return {
        {.name = "crop.kind",
         .example = R"("highbush blueberry")",
         .otherwise = "no crop",
         .meaning = "the crop, one of the table of critical temperatures; it needs crop.stage beside it",
         .set = [](Site& s, const SiteValue& v) { s.crop.kind = v.text; }},
        {.name = "crop.stage",
         .example = R"("full bloom")",
         .otherwise = "no crop",
         .meaning = "its stage of growth on the night and in the tender days: decides how much cold it bears",
         .set = [](Site& s, const SiteValue& v) { s.crop.stage = v.text; }},
        {.name = "crop.table",
         .kind = KeyKind::path,
         .example = R"("my-crops.toml")",
         .otherwise = "the program's own crops alone",
         .meaning = "critical temperatures of further crops, written like the program's own table",
         .set = [](Site& s, const SiteValue& v) { s.crop.table = v.path; }},
        {.name = "crop.damaging_share",
         .kind = KeyKind::number,
         .low = "0.01",
         .high = "0.99",
         .example = "0.1",
         .fallback = "0.1",
         .meaning = "share of the flowers killed from which a spring counts as damaging",
         .source = "10 % is the first of the two temperatures that tables publish; how much loss a crop can "
                   "bear differs (apples are thinned anyway)",
         .set = [](Site& s, const SiteValue& v) { s.crop.damaging_share = v.number; }},
        {.name = "crop.life",
         .kind = KeyKind::whole_number,
         .low = "1",
         .high = "100",
         .example = "20",
         .fallback = "20",
         .meaning = "years over which the risk of at least one damaging spring is told",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.crop.life_years = static_cast<int>(v.number); }},
    };
}

std::vector<SiteKey> tender_keys() {
    return {
        {.name = "crop.tender_from",
         .example = R"("04-12")",
         .otherwise = "no damaging springs are told",
         .meaning = "first day of the year, month and day, on which the crop is in that stage",
         .set = [](Site& s,
                   const SiteValue& v) { s.crop.tender_from = month_day_of("crop.tender_from", v); }},
        {.name = "crop.tender_to",
         .example = R"("05-05")",
         .otherwise = "no damaging springs are told",
         .meaning = "last such day",
         .set = [](Site& s, const SiteValue& v) { s.crop.tender_to = month_day_of("crop.tender_to", v); }},
        {.name = "crop.degree_day_base",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature,
         .low = "-10 degC",
         .high = "20 degC",
         .example = R"("40 degF" or "4 degC")",
         .otherwise = "the tender days go by dates",
         .meaning = "base temperature of degree-days since 1 January, from the record's highs and lows",
         .set = [](Site& s, const SiteValue& v) { s.crop.degree_day_base_k = v.number; }},
        {.name = "crop.tender_from_sum",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature_difference,
         .low = "0 K",
         .high = "5000 K",
         .example = R"("250 degF" or "140 K")",
         .otherwise = "the tender days go by dates",
         .meaning = "sum of degree-days at which the crop comes into that stage",
         .set = [](Site& s, const SiteValue& v) { s.crop.tender_from_sum_k = v.number; }},
        {.name = "crop.tender_to_sum",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature_difference,
         .low = "0 K",
         .high = "5000 K",
         .example = R"("450 degF" or "250 K")",
         .otherwise = "the tender days go by dates",
         .meaning = "sum of degree-days above which it is past that stage",
         .set = [](Site& s, const SiteValue& v) { s.crop.tender_to_sum_k = v.number; }},
    };
}

std::vector<SiteKey> station_keys() {
    return {
        {.name = "station.record",
         .kind = KeyKind::path,
         .example = R"("station.csv")",
         .otherwise = "no damaging springs are told",
         .meaning = "a thermometer's daily lows over years, and highs where it has them: a table with the "
                    "columns date, low_degF, high_degF",
         .set = [](Site& s, const SiteValue& v) { s.station.record = v.path; }},
        {.name = "station.place",
         .example = R"("431250.0, 4512800.0")",
         .otherwise = "as if it stood at the reference spot",
         .meaning = "where the thermometer stands: a map position x, y in the ground's CRS",
         .set = [](Site& s, const SiteValue& v) { s.station.place = v.text; }},
        {.name = "station.clear_share",
         .kind = KeyKind::number,
         .low = "0",
         .high = "1",
         .example = "0.5",
         .fallback = "1",
         .meaning = "share of the cold nights that are clear and calm, where the record has no highs to tell "
                    "them by",
         .source = "every cold night counts as clear and calm: the careful side",
         .set = [](Site& s, const SiteValue& v) { s.station.clear_share = v.number; }},
    };
}

}  // namespace lielow
