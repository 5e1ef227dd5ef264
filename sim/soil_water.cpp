// SPDX-License-Identifier: Apache-2.0
#include "sim/soil_water.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace lielow {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

constexpr TextureWater row(std::string_view name, double least_in_ft, double most_in_ft, double cm_min) {
    return {name, least_in_ft / 12, most_in_ft / 12, cm_min * 0.01 / 60};
}

/// A name that is the end of another comes after it.
constexpr std::array<TextureWater, 15> textures{
    {row("very coarse sand", 0.40, 0.75, unknown), row("loamy sand", 0.75, 1.25, 0.938),
     row("sand", 0.75, 1.25, 1.056), row("very fine sandy loam", 1.50, 2.30, unknown),
     row("sandy loam", 1.25, 1.75, 0.208), row("silt loam", 1.50, 2.30, 0.0432),
     row("silty clay loam", 1.75, 2.50, 0.0102), row("sandy clay loam", 1.75, 2.50, 0.0378),
     row("clay loam", 1.75, 2.50, 0.0147), row("loam", 1.50, 2.30, 0.0417),
     row("sandy clay", 1.60, 2.50, 0.0130), row("silty clay", 1.60, 2.50, 0.0062),
     row("clay", 1.60, 2.50, 0.0077), row("very fine sand", 0.75, 1.25, unknown),
     row("fine sand", 0.75, 1.25, unknown)}};

constexpr std::array<RootingHabit, 11> habits{{{"apple", 1.0, 2.0, 0.50},
                                               {"pear", 1.0, 2.0, 0.50},
                                               {"cherry", 1.0, 2.0, 0.50},
                                               {"peach", 1.0, 2.0, 0.50},
                                               {"apricot", 1.0, 2.0, 0.50},
                                               {"plum", 1.0, 2.0, 0.50},
                                               {"grape", 1.0, 2.0, 0.35},
                                               {"kiwi", 0.7, 1.3, 0.35},
                                               {"walnut", 1.7, 2.4, 0.50},
                                               {"strawberry", 0.2, 0.3, 0.20},
                                               {"berry", 0.6, 1.2, 0.50}}};

/// Ends with it as a whole word.
bool ends_with_words(std::string_view text, std::string_view end) {
    return text.ends_with(end) && (text.size() == end.size() || text[text.size() - end.size() - 1] == ' ');
}

}  // namespace

std::span<const TextureWater> texture_waters() {
    return textures;
}

const TextureWater* texture_water(std::string_view texture) {
    const TextureWater* best = nullptr;
    for (const TextureWater& candidate : textures) {
        const bool fits = ends_with_words(texture, candidate.name);
        if (fits && (best == nullptr || candidate.name.size() > best->name.size())) best = &candidate;
    }
    return best;
}

double available_water(std::span<const TextureLayer> layers, double depth_m) {
    double water = 0;
    double covered = 0;
    for (const TextureLayer& layer : layers) {
        const double thick = std::min(layer.bottom_m, depth_m) - std::max(layer.top_m, 0.0);
        const TextureWater* texture = texture_water(layer.texture);
        if (!(thick > 0) || texture == nullptr) continue;
        water += thick * texture->middle();
        covered += thick;
    }
    constexpr double rounding_m = 1e-6;
    return covered >= depth_m - rounding_m ? water : unknown;
}

const RootingHabit* rooting_habit(std::string_view crop) {
    const auto found = std::find_if(habits.begin(), habits.end(), [crop](const RootingHabit& habit) {
        return ends_with_words(crop, habit.crop) ||
               (habit.crop.ends_with("berry") && crop.ends_with(habit.crop));
    });
    return found == habits.end() ? nullptr : &*found;
}

double gallons_on_an_acre(double depth_m) {
    constexpr double square_inches_in_acre = 43560.0 * 144;
    constexpr double cubic_inches_in_gallon = 231;
    return depth_m / 0.0254 * square_inches_in_acre / cubic_inches_in_gallon;
}

}  // namespace lielow
