// SPDX-License-Identifier: Apache-2.0
#include "sim/hole_tests.hpp"

#include <cmath>

#include "sim/errors.hpp"

namespace lielow {
namespace {

void ask(bool sound, const char* what) {
    if (!sound) throw InputError(what);
}

}  // namespace

double porchet_conductivity(double radius_m, double from_m, double to_m, double time_s) {
    ask(radius_m > 0 && time_s > 0, "a hole's radius and the time between readings must be above 0");
    ask(from_m > to_m && to_m >= 0, "the water in the hole must fall between the readings");
    const double half = 0.5 * radius_m;
    return half * std::log((from_m + half) / (to_m + half)) / time_s;
}

double porchet_conductivity(double radius_m, std::span<const HoleReading> readings) {
    ask(radius_m > 0, "a hole's radius must be above 0");
    ask(readings.size() >= 2, "a hole test needs two readings at least");
    for (std::size_t i = 0; i < readings.size(); ++i) {
        ask(readings[i].water_m >= 0, "the water in the hole can't fall below its bottom");
        ask(i == 0 || readings[i].time_s > readings[i - 1].time_s,
            "the time must grow from reading to reading");
        ask(i == 0 || readings[i].water_m <= readings[i - 1].water_m,
            "the water in the hole rises between two readings; in an empty hole it can only fall");
    }
    ask(readings.back().water_m < readings.front().water_m, "the water in the hole must fall");
    const auto n = static_cast<double>(readings.size());
    double mean_time = 0;
    double mean_log = 0;
    for (const HoleReading& r : readings) {
        mean_time += r.time_s / n;
        mean_log += std::log(r.water_m + 0.5 * radius_m) / n;
    }
    double across = 0;
    double along = 0;
    for (const HoleReading& r : readings) {
        across += (r.time_s - mean_time) * (std::log(r.water_m + 0.5 * radius_m) - mean_log);
        along += (r.time_s - mean_time) * (r.time_s - mean_time);
    }
    return -0.5 * radius_m * across / along;
}

double hole_emptying_time(double radius_m, double from_m, double conductivity_m_s) {
    ask(radius_m > 0 && from_m >= 0 && conductivity_m_s > 0,
        "a hole needs a radius and a conductivity above 0");
    return 0.5 * radius_m * std::log1p(2 * from_m / radius_m) / conductivity_m_s;
}

double auger_hole_conductivity(double radius_m, double hole_below_table_m, double from_m, double rise_m,
                               double time_s) {
    ask(radius_m > 0 && hole_below_table_m > 0 && time_s > 0,
        "a hole's radius, its depth below the water table and the time must be above 0");
    ask(rise_m > 0 && rise_m < from_m && from_m <= hole_below_table_m,
        "the water in the hole must rise, by less than its depth below the water table");
    constexpr double cm = 100;
    constexpr double m_day = 1.0 / 86400;
    const double y = from_m - 0.5 * rise_m;
    const double h = hole_below_table_m;
    return 4000 * (radius_m / y) * (rise_m * cm / time_s) / ((20 + h / radius_m) * (2 - y / h)) * m_day;
}

double falling_pond_time(const FallingPond& pond, double soaked_m) {
    ask(pond.conductivity_m_s > 0 && pond.suction_m >= 0 && pond.pond_m > 0,
        "a falling pond needs a conductivity and a depth above 0");
    ask(pond.deficit > 0 && pond.deficit < 1, "the room in the ground is a share between 0 and 1");
    ask(soaked_m >= 0 && soaked_m <= pond.pond_m, "no more can soak in than the pond holds");
    const double a = 1 - pond.deficit;
    const double b = (pond.suction_m + pond.pond_m) * pond.deficit;
    return (soaked_m / a - b / (a * a) * std::log1p(a * soaked_m / b)) / pond.conductivity_m_s;
}

double falling_pond_soaked(const FallingPond& pond, double time_s) {
    ask(time_s >= 0, "a time can't be below 0");
    if (time_s >= falling_pond_time(pond, pond.pond_m)) return pond.pond_m;
    double low = 0;
    double high = pond.pond_m;
    for (int i = 0; i < 100; ++i) {
        const double middle = 0.5 * (low + high);
        (falling_pond_time(pond, middle) < time_s ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

}  // namespace lielow
