// SPDX-License-Identifier: Apache-2.0
// The site file: everything a person says about one farm, read, judged and turned into SI.
// What keys there are, their defaults and where those come from stands in one table, io/site_keys.cpp.
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/people_units.hpp"
#include "io/remedy.hpp"
#include "io/soil_columns.hpp"
#include "sim/frost_years.hpp"
#include "sim/land_cover.hpp"
#include "sim/siting_factors.hpp"

namespace lielow {

struct GroundSettings {
    std::filesystem::path dem;
    std::optional<std::string> vertical_unit;  ///< "m", "ft" or "us-ft"; nullopt = as the DEM says
    std::optional<std::string> crs;            ///< nullopt = as the DEM says
    std::optional<std::filesystem::path> fields;
    std::optional<std::filesystem::path> around;
    std::optional<std::string> around_vertical_unit;  ///< as vertical_unit, of `around`
    std::optional<std::string> around_crs;            ///< as crs, of `around`
    std::optional<std::filesystem::path> belts;
    std::optional<std::filesystem::path> cover;
    std::optional<std::filesystem::path> obstacles;
    double bridge_area_m2 = 0;
    std::optional<double> vertical_accuracy_m;
};

/// What the air does at the ground's outer edges.
enum class NightEdges : std::uint8_t { far_field, open, wall };

struct NightSettings {
    std::optional<std::chrono::year_month_day> date;  ///< of the evening
    std::optional<double> evening_air_k;              ///< at sunset
    double cloud = 0;                                 ///< share of the sky, 0..1
    std::optional<double> dew_point_k;
    std::optional<std::filesystem::path> weather;
    std::optional<double> heat_loss_w_m2;   ///< out of the air under a clear sky; nullopt = see the key
    double air_share = 0;                   ///< of the net radiation, out of the air
    std::optional<int> sky_directions;      ///< 0 = the whole sky everywhere; nullopt = see the key
    bool mixing_by_stability = false;       ///< else uniform
    double mixing_m2_s = 0;                 ///< of uniform mixing
    double calm_friction_velocity_m_s = 0;  ///< of mixing by stability
    std::optional<double> wind_m_s;         ///< over open ground; nullopt = see the key
    std::optional<double> wind_from_rad;    ///< clockwise from north; nullopt = not known
    double wind_height_m = 0;               ///< above the ground, at which it was measured
    double roughness_m = 0;                 ///< of open ground
    double mixed_depth_m = 0;               ///< of the air that the wind keeps mixed
    double ground_drag = 0;
    double interface_drag = 0;
    double plant_height_m = 0;
    std::string reference;  ///< "highest", a field's name, or a map position that map_position() reads
    double sheet_step_k = 0;
    int sheets = 0;     ///< 0 = choose
    double cell_m = 0;  ///< 0 = choose
    NightEdges edges = NightEdges::far_field;
    std::optional<double> utc_offset_s;  ///< nullopt = from the longitude
    std::vector<double> hours_below_k;
    double flow_height_m = 0;
    std::optional<double> flow_hour_s;  ///< after midnight, local clock; nullopt = mean of the night
};

struct SpotSettings {
    std::optional<std::filesystem::path> file;
    std::optional<std::string> at;  ///< as spots_in_text() reads it
};

/// A storm run through its hours.
struct StormRunSettings {
    std::optional<std::string> shape;  ///< "even", "type II" ...
    std::optional<std::filesystem::path> table;
    double duration_s = 0;
    double follow_s = 0;
    std::optional<double> curve_number;
    std::string antecedent;  ///< "dry", "average" or "wet"
    std::optional<std::string> texture;
    double saturation = 0;               ///< of the fillable pores, 0..1
    std::optional<double> conductivity;  ///< m/s
    double roughness = 0;                ///< Manning's n, s m^(-1/3)
    double deep_roughness = 0;
    double cell_m = 0;  ///< 0 = chosen by the program
    std::optional<std::filesystem::path> lines;
    [[nodiscard]] bool asked_for() const { return shape || table; }
};

struct WaterSettings {
    double stage_m = 0;
    std::optional<double> storm_m;
    std::vector<double> storms_m;  ///< of the table
    double runoff_share = 1;
    double ponded_from_m = 0;  ///< least depth that counts as ponded
    double way_area_m2 = 0;    ///< upslope area from which a drainage way counts as one
    std::optional<std::filesystem::path> changes;
    StormRunSettings run;
};

struct SoilSettings {
    std::optional<double> conductivity_m_s;
    std::optional<std::filesystem::path> conductivity_map;
    std::optional<double> drainable_porosity;  ///< nullopt = from the conductivity
    std::optional<std::filesystem::path> drainable_porosity_map;
    double conductivity_times = 1;  ///< every conductivity is taken so many times
    double floor_depth_m = 0;
    std::optional<std::filesystem::path> floor_depth_map;
    std::optional<std::filesystem::path> survey;
    std::optional<std::filesystem::path> survey_table;
    std::string survey_key;                                           ///< joins the two
    SoilReading reading;                                              ///< [soil.columns], [soil.words]
    std::vector<std::pair<std::string, std::filesystem::path>> maps;  ///< [soil.maps]: attribute and raster
    std::optional<std::filesystem::path> tests;                       ///< of any kind
    std::optional<std::filesystem::path> percolation_tests;
    std::optional<std::filesystem::path> pits;
    std::optional<std::filesystem::path> ph_samples;
    std::optional<std::filesystem::path> penetrometer;
    double test_reach_m = 0;
    /// True when anything says what the soil is like.
    [[nodiscard]] bool known() const {
        return survey || !maps.empty() || tests || percolation_tests || pits || ph_samples || penetrometer;
    }
};

struct DrainSettings {
    std::optional<double> table_depth_m;  ///< nullopt = as `recharge_m_s` holds it up
    std::optional<std::filesystem::path> table_depth_map;
    double recharge_m_s = 0;
    double uptake_m_s = 0;  ///< by plants, from a table at the surface
    double uptake_reach_m = 0;
    double evaporation_m_s = 0;
    int days = 0;
    double root_depth_m = 0;
    std::optional<std::filesystem::path> lines;
    std::optional<double> spacing_m;
    double pipe_depth_m = 0;
    double wanted_time_s = 0;
    double rate_m_s = 0;      ///< steady rain that pipes shall take
    double bed_height_m = 0;  ///< of the beds whose effect is told
    double cell_m = 0;        ///< 0 = the DEM's
};

struct CropSettings {
    std::optional<std::string> kind;
    std::optional<std::string> stage;
    std::optional<std::filesystem::path> table;  ///< crops of the person's own
    std::optional<MonthDay> tender_from;
    std::optional<MonthDay> tender_to;
    std::optional<double> degree_day_base_k;
    std::optional<double> tender_from_sum_k;  ///< sum of degree-days since 1 January, K·day
    std::optional<double> tender_to_sum_k;
    double damaging_share = 0;  ///< of the flowers, 0..1
    int life_years = 0;
};

/// Limits between ground to plant, to plant with work, and not to plant (sim/siting.hpp).
struct SitingSettings {
    double years_plant = 0;  ///< one damaging spring in so many
    double years_work = 0;
    double loss_plant = 0;  ///< share of the flowers, 0..1
    double loss_work = 0;
    double pond_plant_m = 0;
    double pond_work_m = 0;
    double wet_plant_s = 0;
    double wet_work_s = 0;
    int drainage_plant = 0;  ///< number of the DrainageClass
    int drainage_work = 0;
    std::optional<double> table_plant_m;  ///< nullopt = what the roots want free
    double table_work_m = 0;
    int flooding_plant = 0;  ///< number of the WaterFrequency
    int flooding_work = 0;
    double soil_depth_plant_m = 0;
    std::optional<double> soil_depth_work_m;  ///< nullopt = less by the height of a bed
    std::optional<double> ph_low;             ///< nullopt = the crop's
    std::optional<double> ph_high;
    double ph_lime = 0;     ///< how far below the band lime helps
    double ph_sulfur = 0;   ///< how far above it sulfur does
    double hard_plant = 0;  ///< share of the readings, 0..1
    double hard_work = 0;
    double slope_plant = 0;  ///< rise over run
    double slope_work = 0;
    double water_plant_m = 0;
    double water_work_m = 0;
    FactorSet necessary;
};

/// Runs of the site with other errors and figures.
struct EnsembleSettings {
    int runs = 0;
    std::uint64_t seed = 0;
    std::optional<double> night_cell_m;  ///< nullopt = the night's own
    double agreement = 0;                ///< share of the runs, 0..1
    double correlation_length_m = 0;
    double heat_loss_factor = 1;  ///< exp(standard error of the logarithm)
    double mixing_factor = 1;
    double conductivity_factor = 1;
    double retention_factor = 1;
};

/// Where to look next.
struct LookSettings {
    int thermometers = 0;
    int auger_holes = 0;
    double apart_m = 0;
};

struct StationSettings {
    std::optional<std::filesystem::path> record;
    std::optional<std::string>
        place;  ///< a map position that map_position() reads; nullopt = the reference spot
    double clear_share = 1;
};

enum class TuneDesign : std::uint8_t { sobol, latin, grid };
enum class TuneSensitivity : std::uint8_t { none, morris, variance };

/// A number of the night that is to be fitted, SI.
struct TuneRange {
    std::size_t key = 0;  ///< in the table of keys
    double low = 0;
    double high = 0;
    std::string text;  ///< as written: "10 W/m2 to 25 W/m2"
    std::string unit;  ///< of the least value as written; empty for a plain number
};

struct TuneSettings {
    std::optional<std::filesystem::path> records;
    std::vector<TuneRange> ranges;  ///< in the order of the table of keys
    TuneDesign design = TuneDesign::sobol;
    int trials = 0;
    std::uint64_t seed = 0;
    std::optional<double> cell_m;  ///< nullopt or 0 = see the key
    TuneSensitivity sensitivity = TuneSensitivity::none;
    int paths = 0;
};

/// One key as it is in force, for listings and records.
struct SiteSetting {
    std::string_view key;  ///< "water.stage"
    std::string text;      ///< as written, "20 ft"; or, when neither set nor defaulted, what is then done
    std::string origin;    ///< "site file", "default" or "not set"; "DEM" once the DEM has answered
};

struct Site {
    std::filesystem::path file;  ///< as the person named it
    std::string title;
    PeopleUnits units = PeopleUnits::us;
    std::string archive;  ///< "hours", "states" or "none"
    GroundSettings ground;
    NightSettings night;
    SpotSettings spots;
    WaterSettings water;
    SoilSettings soil;
    DrainSettings drain;
    CropSettings crop;
    StationSettings station;
    SitingSettings siting;
    std::vector<Remedy> remedies;  ///< what the site file's [remedy.NAME] sections think of, not in force
    std::vector<Remedy> done;      ///< those in force: none in a site as read, see with_remedy()
    EnsembleSettings ensemble;
    LookSettings look;
    TuneSettings tune;
    std::vector<CoverClass> cover = usual_cover_classes();  ///< with the site file's [cover.NAME] sections
    std::vector<SiteSetting> settings;                      ///< every known key, in the table's order
};

/// Reads and judges a site file. Paths in the result are relative to its folder. Throws InputError in one
/// line that names the file, the line and column, the key, what is wrong and what to write instead.
Site read_site(const std::filesystem::path& file);

/// The same from text that stands for such a file; `file` names it in messages, and its folder is where paths
/// start.
Site read_site_text(const std::string& text, const std::filesystem::path& file);
/// The site with one remedy more in force: parts of a run find it in `done`, settings that it changes are
/// changed.
Site with_remedy(Site site, const Remedy& remedy);
/// The same without asking whether the keys that every run needs are there: for a file whose rest comes from
/// elsewhere.
Site read_partial_site(const std::filesystem::path& file);

/// Throws InputError when a key that `part` ("night", "water") needs isn't set.
void require_keys_for(const Site& site, std::string_view part);

/// "431250.0, 4512800.0" as x and y in the ground's CRS; nullopt when the text is no such pair.
std::optional<std::pair<double, double>> map_position(std::string_view text);

}  // namespace lielow
