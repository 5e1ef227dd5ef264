// SPDX-License-Identifier: Apache-2.0
// From hazards to "plant here, not there, and this is why": the worst factor decides.
//
// The scheme is that of land evaluation by limiting conditions (FAO 1976, A Framework for Land Evaluation,
// Soils Bulletin 32, section 4.3): each factor is judged alone by limits that stand open, and the worst of
// them is the verdict. Nothing is weighted, nothing averaged. Names of the classes are this program's own.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "sim/grid.hpp"
#include "sim/siting_factors.hpp"
#include "sim/soil_facts.hpp"
#include "sim/zonal.hpp"

namespace lielow {

/// Value in the map of reasons where nothing limits; factor f is f + 1 there.
inline constexpr std::uint8_t no_reason = 0;

/// What the crop asks of one figure: planted as it is within plant_from..plant_to, with work within
/// work_from..work_to, not here beyond; each limit belongs to the better class. Infinite = no limit.
struct SitingLimits {
    double work_from = -std::numeric_limits<double>::infinity();
    double plant_from = -std::numeric_limits<double>::infinity();
    double plant_to = std::numeric_limits<double>::infinity();
    double work_to = std::numeric_limits<double>::infinity();
};
/// Limits of a figure of which less is better, or more.
constexpr SitingLimits at_most(double plant, double work) {
    SitingLimits limits;
    limits.plant_to = plant;
    limits.work_to = work;
    return limits;
}
constexpr SitingLimits at_least(double plant, double work) {
    SitingLimits limits;
    limits.plant_from = plant;
    limits.work_from = work;
    return limits;
}
/// True when they stand in order: work_from <= plant_from <= plant_to <= work_to, none NaN.
bool in_order(const SitingLimits& limits);

/// plant, with_work or not_here; unknown for NaN.
SitingClass siting_class(const SitingLimits& limits, double value);

/// One thing that is known of the ground, judged by its limits.
struct SitingEvidence {
    SitingFactor factor{};
    std::string name;  ///< of the figure: "loss_years"
    SitingLimits limits;
    std::function<double(std::size_t cell)> value;  ///< NaN = unknown there
};

/// Factors without which nothing is called fit to plant.
struct SitingRule {
    FactorSet necessary;
};

/// Per cell the class of every factor and what follows from them.
struct Siting {
    Field<std::uint8_t> siting;   ///< SitingClass
    Field<std::uint8_t> reason;   ///< no_reason or factor + 1; 255 where there is no ground
    Field<std::uint32_t> states;  ///< class of every factor, two bits each, the first factor lowest
    [[nodiscard]] SitingClass of(std::size_t cell, SitingFactor factor) const {
        return static_cast<SitingClass>((states[cell] >> (2 * static_cast<unsigned>(factor))) & 3U);
    }
};

/// Of several pieces of evidence for one factor the worst known one decides; the factor is unknown where none
/// is known. Any factor that says not here decides not here. Else a necessary factor that is unknown makes
/// the cell unknown: soil_wetness counts as known where days_wet is, and the other way round. Else the worst
/// known factor decides; of equals the first. `known`: cells that are ground (1) or not (0).
Siting judge_siting(const Grid& grid, const Field<std::uint8_t>& known,
                    const std::vector<SitingEvidence>& evidence, const SitingRule& rule);

/// True where a necessary factor is unknown, soil_wetness and days_wet standing in for one another.
bool lacks_factor(const Siting& siting, const SitingRule& rule, std::size_t cell, SitingFactor factor);

/// Class by what is known alone, however little that is: the worst known factor; unknown where none is.
SitingClass known_siting(const Siting& siting, std::size_t cell);

/// What a run and a survey know of the ground. Null, or on the ground's grid.
struct SitingLayers {
    const Field<float>* loss_years = nullptr;  ///< without a value where rarer than is told
    const Field<float>* loss_share = nullptr;  ///< judged where there is no loss_years
    const Field<float>* storm_hours = nullptr;
    const Field<float>* storm_depth = nullptr;
    const Field<float>* hollow_depth = nullptr;
    const Field<float>* drain_days = nullptr;
    const Field<float>* slope = nullptr;  ///< rise over run
    const SoilFacts* soil = nullptr;
};

/// Limits of every figure, SI; classes and frequencies by the number of their enum.
struct SitingLimitSet {
    SitingLimits loss_years;
    SitingLimits loss_share;
    SitingLimits standing_hours;  ///< under more than an inch, while the storm runs
    SitingLimits pond_depth;      ///< that stays behind, m
    SitingLimits wet_days;
    SitingLimits drainage_class;
    SitingLimits table_depth;
    SitingLimits frequency;  ///< of flooding, and of ponding
    SitingLimits soil_depth;
    SitingLimits ph;
    bool ph_known = false;  ///< the crop's band is known
    SitingLimits hard_share;
    SitingLimits slope;
    SitingLimits available_water;
};

/// Evidence from what there is. Water that stays behind in a hollow is storm_depth when the storm has run
/// together; when it was run through its hours (storm_hours is there) no more of its deepest water than lies
/// below the spill level; without a storm the hollow's depth. The layers must outlive the result.
std::vector<SitingEvidence> siting_evidence(const SitingLayers& layers, const SitingLimitSet& limits);

/// Steepness over about `length_m` to either side, rise over run, from central differences (one-sided at
/// edges and beside unknown ground); NaN where the ground is.
Field<float> ground_slope(const Grid& grid, const Field<float>& z, double length_m);

/// One verdict with one reason in one field.
struct SitingPart {
    SitingClass siting = SitingClass::unknown;
    std::uint8_t reason = no_reason;
    double area_m2 = 0;
    std::string figure;  ///< name of the evidence that decides most of it; empty for no reason, or unknown
    double median = 0;   ///< of that figure there; NaN without one
    /// Area of the part on which each factor says the part's class, its own reason included; 0 but for
    /// with_work and not_here.
    std::array<double, siting_factors> also_m2{};
    double x_offset = 0;  ///< mean place less the field's, in half widths of the field: -1 west ... 1 east
    double y_offset = 0;  ///< the same down the rows
};

/// A field's ground by class.
struct FieldSiting {
    std::array<double, siting_classes> area_m2{};  ///< by SitingClass
    double ground_m2 = 0;                          ///< of the field on known ground
    std::vector<SitingPart> parts;                 ///< by class, then the larger first, then by reason
    std::array<double, siting_factors>
        lacking_m2{};                     ///< unknown ground on which the necessary factor is unknown
    std::array<double, 3> by_known_m2{};  ///< of the unknown ground, class by what is known alone
};
FieldSiting field_siting(const Grid& grid, const Siting& siting, const std::vector<SitingEvidence>& evidence,
                         const SitingRule& rule, const Zone& zone);

/// Places of the fields, 1 the best, equals sharing one: by the share that can be planted as it is, then by
/// that with work, then by the shares of these two that what is known so far would let be, then by the
/// smaller share that is not for the crop.
std::vector<int> siting_ranks(const std::vector<FieldSiting>& fields);

}  // namespace lielow
