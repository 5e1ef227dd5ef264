// SPDX-License-Identifier: Apache-2.0
#include "io/soil_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "sim/errors.hpp"
#include "sim/soil_water.hpp"

namespace lielow {
namespace {

template <class Value>
struct Word {
    std::string_view text;
    Value value;
};

constexpr std::array<Word<DrainageClass>, 18> drainage_words{
    {{"excessively drained", DrainageClass::excessive},
     {"somewhat excessively drained", DrainageClass::somewhat_excessive},
     {"well drained", DrainageClass::well},
     {"moderately well drained", DrainageClass::moderately_well},
     {"somewhat poorly drained", DrainageClass::somewhat_poor},
     {"poorly drained", DrainageClass::poor},
     {"very poorly drained", DrainageClass::very_poor},
     {"subaqueous", DrainageClass::subaqueous},
     {"very rapidly drained", DrainageClass::excessive},
     {"rapidly drained", DrainageClass::somewhat_excessive},
     {"imperfectly drained", DrainageClass::somewhat_poor},
     {"vr", DrainageClass::excessive},
     {"r", DrainageClass::somewhat_excessive},
     {"w", DrainageClass::well},
     {"mw", DrainageClass::moderately_well},
     {"i", DrainageClass::somewhat_poor},
     {"p", DrainageClass::poor},
     {"vp", DrainageClass::very_poor}}};

constexpr std::array<Word<WaterFrequency>, 6> frequency_words{
    {{"none", WaterFrequency::none},
     {"very rare", WaterFrequency::very_rare},
     {"rare", WaterFrequency::rare},
     {"occasional", WaterFrequency::occasional},
     {"frequent", WaterFrequency::frequent},
     {"very frequent", WaterFrequency::very_frequent}}};

constexpr std::array<Word<HydrologicGroup>, 7> group_words{{{"A", HydrologicGroup::a},
                                                            {"B", HydrologicGroup::b},
                                                            {"C", HydrologicGroup::c},
                                                            {"D", HydrologicGroup::d},
                                                            {"A/D", HydrologicGroup::a_d},
                                                            {"B/D", HydrologicGroup::b_d},
                                                            {"C/D", HydrologicGroup::c_d}}};

std::string lower(std::string_view text) {
    std::string out(trim(text));
    std::transform(out.begin(), out.end(), out.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return out;
}

/// What the survey's own word stands for, in lower case.
std::string meant(std::string_view text, const SoilWords& own) {
    const std::string word = lower(text);
    const auto found =
        std::find_if(own.begin(), own.end(), [&word](const auto& pair) { return lower(pair.first) == word; });
    return found == own.end() ? word : lower(found->second);
}

bool says_nothing(std::string_view word) {
    constexpr std::array<std::string_view, 9> nothing{
        "", "-", "null", "<null>", "not rated", "no data", "n/a", "unknown", "not applicable"};
    return std::find(nothing.begin(), nothing.end(), word) != nothing.end();
}

template <class Words>
[[noreturn]] void refuse(std::string_view text, const char* what, const Words& words) {
    std::vector<std::string_view> known;
    for (const auto& word : words) known.push_back(word.text);
    throw InputError(
        fmt::format("\"{0}\" is no {1}; the nearest known one is \"{2}\"; if it stands for one, write "
                    "\"{0}\" = \"{2}\" under "
                    "[soil.words]",
                    trim(text), what, nearest_name(lower(text), known)));
}

template <class Words>
auto find_word(std::string_view text, const std::string& word, const char* what, const Words& words) {
    const auto found =
        std::find_if(words.begin(), words.end(), [&word](const auto& w) { return lower(w.text) == word; });
    if (found == words.end()) refuse(text, what, words);
    return found->value;
}

}  // namespace

DrainageClass read_drainage_class(std::string_view text, const SoilWords& own) {
    std::string word = meant(text, own);
    if (says_nothing(word)) return DrainageClass::unknown;
    if (word.ends_with(" well") || word == "well" || word.ends_with("ly")) word += " drained";
    return find_word(text, word, "drainage class", drainage_words);
}

WaterFrequency read_water_frequency(std::string_view text, const SoilWords& own) {
    const std::string word = meant(text, own);
    if (says_nothing(word)) return WaterFrequency::unknown;
    return find_word(text, word, "frequency of flooding or ponding", frequency_words);
}

HydrologicGroup read_hydrologic_group(std::string_view text, const SoilWords& own) {
    const std::string word = meant(text, own);
    if (says_nothing(word)) return HydrologicGroup::unknown;
    return find_word(text, word, "hydrologic group", group_words);
}

std::string read_texture(std::string_view text, const SoilWords& own) {
    const std::string word = meant(text, own);
    constexpr std::array<std::string_view, 9> without{"bedrock", "muck",     "peat", "mucky peat", "water",
                                                      "silt",    "variable", "rock", "gravel"};
    if (says_nothing(word) || std::find(without.begin(), without.end(), word) != without.end()) return {};
    if (texture_water(word) != nullptr) return word;
    std::vector<Word<int>> words;
    for (const TextureWater& texture : texture_waters()) words.push_back({texture.name, 0});
    refuse(text, "texture", words);
}

std::string_view frequency_name(WaterFrequency frequency) {
    const auto k = static_cast<std::size_t>(frequency);
    return k < frequency_words.size() ? frequency_words[k].text : "unknown";
}

std::string_view group_name(HydrologicGroup group) {
    const auto k = static_cast<std::size_t>(group);
    return k < group_words.size() ? group_words[k].text : "unknown";
}

}  // namespace lielow
