// SPDX-License-Identifier: Apache-2.0
#include "tools/siting_asks.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>

#include "io/crop_needs.hpp"
#include "io/people_units.hpp"
#include "sim/errors.hpp"
#include "tools/root_depth.hpp"
#include "tools/text_table.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double day_s = 86400;

/// A limit and who says so; strong: the site file or the crop's table, not a default.
struct Figure {
    double value = 0;
    bool given = false;  ///< by the site file
    bool strong = false;
    std::string source;
};

/// Reads limits of one site in pairs, and tells of them.
class Asking {
  public:
    explicit Asking(const Site& site) : site_(site), needs_(read_crop_needs(site.crop.table)) {}

    /// `need`: the crop's row that stands in where the site file says nothing; "" for none.
    Figure figure(std::string_view key, double value, std::string_view need = {}, bool second = false) {
        if (is_given(site_, key)) return {value, true, true, "site file"};
        if (!need.empty()) {
            if (const CropNeed* row = row_of(need))
                return {second ? row->second : row->first, false, true, row->source};
            lack(need);
        }
        return {value, false, false, "default"};
    }

    SitingLimits most(const char* key, Figure plant, Figure work, const std::string& what,
                      const std::function<std::string(double)>& text) {
        settle(key, plant, work, plant.value <= work.value);
        told(key, what, "at most " + text(plant.value), "at most " + text(work.value), plant, work);
        return at_most(plant.value, work.value);
    }
    SitingLimits least(const char* key, Figure plant, Figure work, const std::string& what,
                       const std::function<std::string(double)>& text) {
        settle(key, plant, work, plant.value >= work.value);
        told(key, what, "at least " + text(plant.value), "at least " + text(work.value), plant, work);
        return at_least(plant.value, work.value);
    }
    void told(const char* key, const std::string& what, std::string plant, std::string work, const Figure& p,
              const Figure& w) {
        asks_.told.push_back({key, what, std::move(plant), std::move(work),
                              p.source == w.source ? p.source : p.source + "; with work: " + w.source});
    }

    const CropNeed* row_of(std::string_view need) {
        const CropNeed* row = site_.crop.kind ? find_crop_need(needs_, *site_.crop.kind, need) : nullptr;
        if (row != nullptr && row->from_memory) add(from_memory_, row->what);
        return row;
    }
    void lack(std::string_view need) { add(lacking_, std::string(need)); }

    [[nodiscard]] const Site& site() const { return site_; }
    SitingAsks& asks() { return asks_; }

    SitingAsks finish() {
        if (!site_.crop.kind) return std::move(asks_);
        std::sort(lacking_.begin(), lacking_.end());
        std::sort(from_memory_.begin(), from_memory_.end());
        if (!lacking_.empty())
            asks_.notes.push_back(
                fmt::format("no figure of {} is known for {}: the defaults of [siting] count, "
                            "say better ones there or in crop.table",
                            fmt::join(lacking_, ", "), *site_.crop.kind));
        if (!from_memory_.empty())
            asks_.notes.push_back(
                fmt::format("what {} wants of {} stands in the table from memory; look it up "
                            "before you decide by it",
                            *site_.crop.kind, fmt::join(from_memory_, ", ")));
        return std::move(asks_);
    }

    [[noreturn]] void refuse(const std::string& what) const {
        throw InputError(fmt::format("{}: {}", site_.file.string(), what));
    }

  private:
    static void add(std::vector<std::string>& list, std::string what) {
        if (std::find(list.begin(), list.end(), what) == list.end()) list.push_back(std::move(what));
    }

    /// Defaults give way; two limits that somebody said and that don't fit are refused.
    void settle(const char* key, Figure& plant, Figure& work, bool in_order) const {
        if (in_order) return;
        if (!work.strong || (plant.given && !work.given)) {
            work = {plant.value, work.given, plant.strong, plant.source};
        } else if (!plant.strong || (work.given && !plant.given)) {
            plant = {work.value, plant.given, work.strong, work.source};
        } else {
            refuse(
                fmt::format("siting.{0}_work asks for more than siting.{0}_plant: ground that isn't fit with "
                            "work can't be fit without; exchange them",
                            key));
        }
    }

    const Site& site_;
    std::vector<CropNeeds> needs_;
    std::vector<std::string> lacking_;
    std::vector<std::string> from_memory_;
    SitingAsks asks_;
};

std::string percent(double value) {
    return fmt::format("{:.3g} %", 100 * value);
}

void ask_frost(Asking& a) {
    const SitingSettings& s = a.site().siting;
    SitingLimitSet& limits = a.asks().limits;
    limits.loss_years = a.least(
        "years", a.figure("siting.years_plant", s.years_plant), a.figure("siting.years_work", s.years_work),
        "years from one damaging spring to the next", [](double y) { return fmt::format("{:.3g}", y); });
    limits.loss_share =
        a.most("loss", a.figure("siting.loss_plant", s.loss_plant), a.figure("siting.loss_work", s.loss_work),
               "flowers lost in the night pictured, without a thermometer's record", percent);
}

void ask_water(Asking& a) {
    const SitingSettings& s = a.site().siting;
    const PeopleUnits units = a.site().units;
    SitingLimitSet& limits = a.asks().limits;
    const auto hours = [](double t) { return fmt::format("{:.3g} h", t / 3600); };
    const SitingLimits wet = a.most("wet", a.figure("siting.wet_plant", s.wet_plant_s, "wet time borne"),
                                    a.figure("siting.wet_work", s.wet_work_s, "wet time too long"),
                                    "time under an inch of water, or with water in the root zone", hours);
    limits.standing_hours = at_most(wet.plant_to / 3600, wet.work_to / 3600);
    limits.wet_days = at_most(wet.plant_to / day_s, wet.work_to / day_s);
    limits.pond_depth = a.most("pond", a.figure("siting.pond_plant", s.pond_plant_m),
                               a.figure("siting.pond_work", s.pond_work_m),
                               "depth of water that stays behind, or of a hollow",
                               [&](double d) { return people_text(d, small_depth, units); });
    limits.frequency =
        a.most("flooding", a.figure("siting.flooding_plant", s.flooding_plant),
               a.figure("siting.flooding_work", s.flooding_work), "flooding, and ponding by the survey",
               [](double c) { return std::string(water_frequency_name(static_cast<int>(c))); });
}

void ask_wetness(Asking& a) {
    const SitingSettings& s = a.site().siting;
    const PeopleUnits units = a.site().units;
    SitingLimitSet& limits = a.asks().limits;
    limits.drainage_class = a.most(
        "drainage", a.figure("siting.drainage_plant", s.drainage_plant, "drainage"),
        a.figure("siting.drainage_work", s.drainage_work, "drainage", true), "wetness by drainage class",
        [](double c) { return std::string(drainage_class_name(static_cast<int>(c))); });
    Figure table{root_depth_m(a.site()), is_given(a.site(), "drain.root_depth"), true, "drain.root_depth"};
    if (s.table_plant_m) {
        table = {*s.table_plant_m, true, true, "site file"};
    } else if (!table.given) {
        const CropNeed* row = a.row_of("free depth");
        if (row == nullptr) a.lack("free depth");
        table = {table.value, false, row != nullptr,
                 row != nullptr ? row->source : "default of drain.root_depth"};
    }
    limits.table_depth = a.least("table", table, a.figure("siting.table_work", s.table_work_m),
                                 "depth of the shallowest water table",
                                 [&](double d) { return people_text(d, small_depth, units); });
}

void ask_soil(Asking& a) {
    const SitingSettings& s = a.site().siting;
    const PeopleUnits units = a.site().units;
    SitingLimitSet& limits = a.asks().limits;
    const auto depth = [&](double d) { return people_text(d, small_depth, units); };
    const Figure plant = a.figure("siting.soil_depth_plant", s.soil_depth_plant_m, "soil depth");
    const Figure work = s.soil_depth_work_m
                            ? Figure{*s.soil_depth_work_m, true, true, "site file"}
                            : Figure{std::max(0.0, plant.value - a.site().drain.bed_height_m), false, false,
                                     "less by the height of a bed, drain.bed_height"};
    limits.soil_depth = a.least("soil_depth", plant, work, "depth of soil above rock or hardpan", depth);
    limits.hard_share =
        a.most("hard", a.figure("siting.hard_plant", s.hard_plant), a.figure("siting.hard_work", s.hard_work),
               "penetrometer readings above 300 psi", percent);
    limits.slope = a.most("slope", a.figure("siting.slope_plant", s.slope_plant, "slope"),
                          a.figure("siting.slope_work", s.slope_work), "slope", percent);
    limits.available_water = a.least("water", a.figure("siting.water_plant", s.water_plant_m),
                                     a.figure("siting.water_work", s.water_work_m),
                                     "water held for plants in the top metre", depth);
}

void ask_ph(Asking& a) {
    const SitingSettings& s = a.site().siting;
    SitingLimitSet& limits = a.asks().limits;
    const CropNeed* row = a.row_of("pH");
    if (row == nullptr && !(s.ph_low && s.ph_high)) {
        if (a.site().crop.kind)
            a.asks().notes.push_back(
                fmt::format("pH isn't judged: no band is known for {}; say siting.ph_low and siting.ph_high",
                            *a.site().crop.kind));
        a.asks().rule.necessary.reset(static_cast<std::size_t>(SitingFactor::soil_ph));
        return;
    }
    const double low = s.ph_low ? *s.ph_low : row->first;
    const double high = s.ph_high ? *s.ph_high : row->second;
    if (low > high)
        a.refuse(fmt::format("siting.ph_low = {:.3g} lies above siting.ph_high = {:.3g}; exchange them", low,
                             high));
    limits.ph = {low - s.ph_lime, low, high, high + s.ph_sulfur};
    limits.ph_known = true;
    const Figure by{0, false, true, s.ph_low && s.ph_high ? "site file" : row->source};
    a.told("ph", "pH", fmt::format("{:.2f} to {:.2f}", low, high),
           fmt::format("{:.2f} to {:.2f}", limits.ph.work_from, limits.ph.work_to), by, by);
}

}  // namespace

SitingAsks siting_asks(const Site& site) {
    Asking asking(site);
    asking.asks().rule.necessary = site.siting.necessary;
    ask_frost(asking);
    ask_water(asking);
    ask_wetness(asking);
    ask_soil(asking);
    ask_ph(asking);
    return asking.finish();
}

std::string siting_text(const Site& site) {
    if (!site.crop.kind) return {};
    const SitingAsks asks = siting_asks(site);
    TextTable table{{"asked of the ground", "plant", "with work", "limits from"}, {}, false};
    for (const SitingAsk& ask : asks.told) table.rows.push_back({ask.what, ask.plant, ask.work, ask.source});
    std::string text = fmt::format("Where {} is called fit to plant:\n{}", *site.crop.kind, to_text(table));
    for (const std::string& note : asks.notes) text += fmt::format("Note: {}\n", note);
    return text + "\n";
}

}  // namespace lielow
