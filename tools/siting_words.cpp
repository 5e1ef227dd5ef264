// SPDX-License-Identifier: Apache-2.0
#include "tools/siting_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <array>
#include <cmath>

#include "io/crop_needs.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr std::array<std::string_view, siting_factors> works{
    "a later or hardier crop, frost protection, or a way out for the cold air",
    "a ditch or bank that keeps the water out, or beds above it",
    "drains or raised beds",
    "drains or raised beds",
    "knowing in which months it floods, and a bank or a crop that bears it",
    "raised beds",
    "",  // lime or sulfur
    "loosening before planting",
    "rows along the contour under sod",
    "watering"};

constexpr std::array<std::string_view, siting_factors> tests{
    "frost (run the night, best with a thermometer's record)",
    "standing water (run the water with a storm)",
    "how long it stays wet (run the days after the storm)",
    "wetness of the soil (a soil survey, holes left open in spring)",
    "flooding (a soil survey, neighbours)",
    "depth of the soil (an auger or a pit)",
    "soil pH (a soil test)",
    "hardness (a penetrometer)",
    "slope",
    "water the soil holds (a soil survey, its texture)"};

constexpr std::array<std::string_view, compass_sectors> sides{"north", "north-east", "east", "south-east",
                                                              "south", "south-west", "west", "north-west"};

/// " in the south-east", or nothing where the part lies all over the field.
std::string place_words(const SitingPart& part, const SitingVoice& voice) {
    constexpr double clearly = 0.3;  // of the way from the field's middle to its edge; a choice
    if (!(std::hypot(part.x_offset, part.y_offset) > clearly)) return {};
    const double bearing = bearing_deg(voice.axes, part.x_offset, part.y_offset);
    return fmt::format(" in the {}", sides.at(static_cast<std::size_t>(compass_sector(bearing))));
}

std::string percent(double share) {
    return fmt::format("{:.0f} %", 100 * share);
}

std::string springs_words(double years) {
    if (years < 1.5) return "nearly every spring does damage";
    // Limits are whole numbers of years: 2.98 told as 3.0 would seem to be within a limit of 3.
    const double whole = std::round(years);
    constexpr double not_told = 0.05;
    if (years < 9.5 && years != whole && std::abs(years - whole) < not_told)
        return fmt::format("damage a little {} often than one spring in {:.0f}",
                           years < whole ? "more" : "less", whole);
    return fmt::format("about one spring in {:.{}f} does damage", years, years < 9.5 ? 1 : 0);
}

SitingFactor factor_of(const SitingPart& part) {
    return static_cast<SitingFactor>(part.reason - 1);
}

/// "; 0.42 acres of it for standing water as well": other factors that say the same.
std::string others_words(const SitingPart& part, double least_m2, PeopleUnits units) {
    std::string text;
    for (std::size_t f = 0; f < siting_factors; ++f) {
        const double shared = part.also_m2.at(f);
        if (f + 1 == part.reason || shared < least_m2) continue;
        text += fmt::format("; {} of it for {} as well", people_text(shared, area, units),
                            siting_factor_names.at(f));
    }
    return text;
}

class Verdict {
  public:
    Verdict(const FieldSiting& field, const SitingVoice& voice) : field_(field), voice_(voice) {}

    std::string text() {
        if (!(field_.ground_m2 > 0)) return "no ground is known here.";
        planted();
        with_work();
        not_here();
        unknown();
        return fmt::format("{}.", fmt::join(clauses_, "; "));
    }

  private:
    [[nodiscard]] double area_of(SitingClass c) const {
        return field_.area_m2.at(static_cast<std::size_t>(c));
    }
    [[nodiscard]] bool worth_telling(double area_m2) const {
        return area_m2 >= least_told_share * field_.ground_m2;
    }
    [[nodiscard]] std::string text_of(double area_m2) const {
        return people_text(area_m2, area, voice_.units);
    }
    /// "all 7.50 acres", or the area.
    [[nodiscard]] std::string of_all(double area_m2) const {
        const bool all = area_m2 > 0.995 * field_.ground_m2;
        return (all ? "all " : "") + text_of(area_m2);
    }

    /// "frost: about one spring in 3.2 does damage", and what else says the same.
    [[nodiscard]] std::string why(const SitingPart& part) const {
        return fmt::format("{}: {}{}", siting_factor_names.at(part.reason - 1U),
                           told(part.figure, part.median),
                           others_words(part, least_told_share * field_.ground_m2, voice_.units));
    }

    void planted() {
        const double fit = area_of(SitingClass::plant);
        if (!worth_telling(fit)) {
            if (worth_telling(area_of(SitingClass::with_work)) ||
                worth_telling(area_of(SitingClass::not_here)))
                clauses_.push_back(fmt::format("{} of {} can be planted as it is",
                                               fit > 0 ? "next to none" : "none", text_of(field_.ground_m2)));
        } else if (fit > 0.995 * field_.ground_m2) {
            clauses_.push_back(fmt::format("all {} can be planted as they are", text_of(field_.ground_m2)));
        } else {
            clauses_.push_back(fmt::format("{} of {} can be planted as they are",
                                           people_number(fit, area, voice_.units),
                                           text_of(field_.ground_m2)));
        }
    }

    void with_work() {
        for (const SitingPart& part : field_.parts) {
            if (part.siting != SitingClass::with_work || !worth_telling(part.area_m2)) continue;
            clauses_.push_back(
                fmt::format("{}{} need work first: {} ({})", of_all(part.area_m2), place_words(part, voice_),
                            work_words(factor_of(part), part.median, voice_.ph_low), why(part)));
        }
    }

    void not_here() {
        for (const SitingPart& part : field_.parts) {
            if (part.siting != SitingClass::not_here || !worth_telling(part.area_m2)) continue;
            clauses_.push_back(fmt::format("{}{} are not for {} ({})", of_all(part.area_m2),
                                           place_words(part, voice_), voice_.crop, why(part)));
        }
    }

    void unknown() {
        const double open = area_of(SitingClass::unknown);
        if (!worth_telling(open)) return;
        std::vector<std::string> lacking;
        for (std::size_t f = 0; f < siting_factors; ++f) {
            if (worth_telling(field_.lacking_m2.at(f)))
                lacking.push_back(test_words(static_cast<SitingFactor>(f)));
        }
        std::string text =
            fmt::format("of {} too little is known: find out {}", of_all(open), fmt::join(lacking, ", "));
        std::vector<std::string> so_far;
        if (worth_telling(field_.by_known_m2[0]))
            so_far.push_back(text_of(field_.by_known_m2[0]) + " be planted");
        if (worth_telling(field_.by_known_m2[1]))
            so_far.push_back(text_of(field_.by_known_m2[1]) + " be planted with work");
        if (!so_far.empty())
            text += fmt::format("; what is known so far would let {}", fmt::join(so_far, " and "));
        clauses_.push_back(std::move(text));
    }

    [[nodiscard]] std::string told(const std::string& figure, double value) const {
        if (figure == "drain_days" && voice_.followed_days > 0 && value >= voice_.followed_days)
            return fmt::format("roots still have no air {:.0f} days after the storm", voice_.followed_days);
        return figure_words(figure, value, voice_.units);
    }

    const FieldSiting& field_;
    const SitingVoice& voice_;
    std::vector<std::string> clauses_;
};

}  // namespace

std::string siting_verdict(const FieldSiting& field, const SitingVoice& voice) {
    return Verdict(field, voice).text();
}

std::string figure_words(const std::string& figure, double value, PeopleUnits units) {
    const auto depth = [&] { return people_text(value, small_depth, units); };
    if (figure == "loss_years") return springs_words(value);
    if (figure == "loss_share")
        return fmt::format("the night pictured kills {} of the flowers", percent(value));
    if (figure == "storm_hours") return fmt::format("the storm's water stands for {:.0f} h", value);
    if (figure == "pond_depth") return fmt::format("{} of the storm's water stay behind", depth());
    if (figure == "hollow_depth") return fmt::format("a closed hollow {} deep", depth());
    if (figure == "ponding")
        return fmt::format("the soil survey says ponding: {}", water_frequency_name(static_cast<int>(value)));
    if (figure == "drain_days") return fmt::format("{:.1f} days after the storm until roots have air", value);
    if (figure == "drainage_class") return std::string(drainage_class_name(static_cast<int>(value)));
    if (figure == "table_depth_year") return fmt::format("water table at its highest {} down", depth());
    if (figure == "table_depth_spring") return fmt::format("water table in spring {} down", depth());
    if (figure == "flooding") return std::string(water_frequency_name(static_cast<int>(value)));
    if (figure == "floor_depth") return fmt::format("rock or hardpan {} down", depth());
    if (figure == "ph") return fmt::format("pH {:.1f}", value);
    if (figure == "hard_share") return fmt::format("{} of the readings too hard", percent(value));
    if (figure == "slope") return percent(value);
    if (figure == "available_water") return fmt::format("it holds {} for plants", depth());
    return {};
}

std::string work_words(SitingFactor factor, double value, double ph_low) {
    if (factor == SitingFactor::soil_ph) return value < ph_low ? "lime" : "sulfur";
    return std::string(works.at(static_cast<std::size_t>(factor)));
}

std::string test_words(SitingFactor factor) {
    return std::string(tests.at(static_cast<std::size_t>(factor)));
}

std::string main_reason(const FieldSiting& field) {
    std::array<double, siting_factors + 1> area{};
    for (const SitingPart& part : field.parts) area.at(part.reason) += part.area_m2;
    area[0] = 0;
    std::size_t most = 0;
    for (std::size_t r = 1; r < area.size(); ++r) {
        if (area.at(r) > area.at(most)) most = r;
    }
    return most == 0 ? "none" : std::string(siting_factor_names.at(most - 1));
}

}  // namespace lielow
