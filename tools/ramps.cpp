// SPDX-License-Identifier: Apache-2.0
#include "tools/ramps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "sim/errors.hpp"
#include "tools/looks_file.hpp"

namespace lielow {
namespace {

constexpr std::array<std::string_view, 3> kinds{"sequential", "diverging", "cyclic"};

/// "#08306b".
Colour read_colour(std::string_view text, std::string_view ramp) {
    std::uint32_t number = 0;
    const bool marked = text.size() == 7 && text.front() == '#';
    const char* const end = text.data() + text.size();
    if (!marked || std::from_chars(text.data() + 1, end, number, 16).ptr != end)
        throw InputError(
            fmt::format(R"(looks.toml: ramp {}: "{}" is no colour; write "#08306b")", ramp, text));
    return {static_cast<std::uint8_t>(number >> 16U), static_cast<std::uint8_t>(number >> 8U & 255U),
            static_cast<std::uint8_t>(number & 255U)};
}

/// Before it is rounded: 0..255 each.
std::array<double, 3> between(const Ramp& ramp, double share) {
    const std::size_t last = ramp.stops.size() - 1;
    const double place = std::clamp(share, 0.0, 1.0) * static_cast<double>(last);
    const auto below = std::min(static_cast<std::size_t>(place), last - 1);
    const double rest = place - static_cast<double>(below);
    std::array<double, 3> colour{};
    for (std::size_t c = 0; c < colour.size(); ++c) {
        const double from = ramp.stops[below][c];
        colour[c] = from + rest * (ramp.stops[below + 1][c] - from);
    }
    return colour;
}

double lightness_of(const std::array<double, 3>& colour) {
    constexpr std::array<double, 3> weights{0.2126, 0.7152, 0.0722};
    double y = 0;
    for (std::size_t c = 0; c < colour.size(); ++c) {
        const double share = colour[c] / 255.0;
        y += weights[c] * (share <= 0.04045 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4));
    }
    return y > 216.0 / 24389 ? 116 * std::cbrt(y) - 16 : y * 24389 / 27;
}

/// Where between its ends each of `count` colours stands so that their lightness steps evenly.
std::vector<double> even_in_lightness(const Ramp& ramp, std::size_t count) {
    constexpr std::size_t fine = 2000;
    std::vector<double> light(fine + 1);
    for (std::size_t n = 0; n <= fine; ++n) light[n] = lightness_of(between(ramp, n / double{fine}));
    const double rise = light.back() - light.front();
    std::vector<double> shares;
    std::size_t at = 0;
    for (std::size_t n = 0; n < count; ++n) {
        const double share = static_cast<double>(n) / static_cast<double>(count - 1);
        const double wanted = light.front() + rise * share;
        while (at < fine && (wanted - light[at]) * rise > 0) ++at;
        shares.push_back(static_cast<double>(at) / double{fine});
    }
    return shares;
}

}  // namespace

Ramp find_ramp(std::string_view name) {
    const toml::table* table = looks_file()["ramps"][name].as_table();
    if (table == nullptr) throw InputError(fmt::format("looks.toml has no ramp {}", name));
    const auto* const kind =
        std::find(kinds.begin(), kinds.end(), (*table)["kind"].value_or(std::string_view()));
    if (kind == kinds.end()) throw InputError(fmt::format("looks.toml: ramp {} has no known kind", name));
    Ramp ramp{std::string(name), static_cast<RampKind>(kind - kinds.begin()), {}};
    if (const toml::array* colours = (*table)["colours"].as_array()) {
        for (const toml::node& colour : *colours)
            ramp.stops.push_back(read_colour(colour.value_or(std::string_view()), name));
    }
    if (ramp.stops.size() < 2) throw InputError(fmt::format("looks.toml: ramp {} has no colours", name));
    return ramp;
}

Ramp reversed(Ramp ramp) {
    std::reverse(ramp.stops.begin(), ramp.stops.end());
    return ramp;
}

Colour colour_at(const Ramp& ramp, double share) {
    const std::array<double, 3> exact = between(ramp, share);
    Colour colour{};
    for (std::size_t c = 0; c < colour.size(); ++c)
        colour[c] = static_cast<std::uint8_t>(std::lround(exact[c]));
    return colour;
}

double lightness(const Colour& colour) {
    return lightness_of({double(colour[0]), double(colour[1]), double(colour[2])});
}

std::vector<Colour> class_colours(const Ramp& ramp, std::size_t count) {
    if (count == 1) return {colour_at(ramp, 0.5)};
    std::vector<double> shares;
    if (ramp.kind == RampKind::sequential) {
        shares = even_in_lightness(ramp, count);
    } else {
        const bool around = ramp.kind == RampKind::cyclic;
        for (std::size_t n = 0; n < count; ++n) {
            const auto at = static_cast<double>(n);
            shares.push_back(around ? (at + 0.5) / static_cast<double>(count)
                                    : at / static_cast<double>(count - 1));
        }
    }
    std::vector<Colour> colours;
    colours.reserve(count);
    for (const double share : shares) colours.push_back(colour_at(ramp, share));
    return colours;
}

}  // namespace lielow
