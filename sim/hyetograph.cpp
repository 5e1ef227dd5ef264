// SPDX-License-Identifier: Apache-2.0
#include "sim/hyetograph.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double day_s = 86400.0;

struct Ordinate {
    double hour;
    double share;
};

constexpr std::array<Ordinate, 23> type_i{
    {{0, 0},        {2, 0.035},    {4, 0.076},     {6, 0.125},    {7, 0.156},    {8, 0.194},
     {8.5, 0.219},  {9, 0.254},    {9.5, 0.303},   {9.75, 0.362}, {10, 0.515},   {10.5, 0.583},
     {11, 0.624},   {11.5, 0.655}, {11.75, 0.669}, {12, 0.682},   {12.5, 0.706}, {13, 0.728},
     {13.5, 0.748}, {14, 0.766},   {16, 0.830},    {20, 0.926},   {24, 1}}};

constexpr std::array<Ordinate, 23> type_ia{
    {{0, 0},        {2, 0.050},    {4, 0.116},     {6, 0.206},    {7, 0.268},    {8, 0.425},
     {8.5, 0.480},  {9, 0.520},    {9.5, 0.550},   {9.75, 0.564}, {10, 0.577},   {10.5, 0.601},
     {11, 0.624},   {11.5, 0.645}, {11.75, 0.655}, {12, 0.664},   {12.5, 0.683}, {13, 0.701},
     {13.5, 0.719}, {14, 0.736},   {16, 0.800},    {20, 0.906},   {24, 1}}};

constexpr std::array<Ordinate, 29> type_ii{
    {{0, 0},         {2, 0.022},     {4, 0.048},     {6, 0.080},     {7, 0.098},     {8, 0.120},
     {8.5, 0.133},   {9, 0.147},     {9.5, 0.163},   {10, 0.181},    {10.5, 0.204},  {11, 0.235},
     {11.5, 0.2833}, {11.6, 0.3068}, {11.7, 0.3544}, {11.8, 0.4308}, {11.9, 0.5679}, {12, 0.6630},
     {12.1, 0.6820}, {12.2, 0.6986}, {12.3, 0.7130}, {12.4, 0.7252}, {12.5, 0.7350}, {13, 0.772},
     {13.5, 0.799},  {14, 0.820},    {16, 0.880},    {20, 0.952},    {24, 1}}};

constexpr std::array<Ordinate, 23> type_iii{
    {{0, 0},        {2, 0.020},    {4, 0.043},     {6, 0.072},    {7, 0.089},    {8, 0.115},
     {8.5, 0.130},  {9, 0.148},    {9.5, 0.167},   {9.75, 0.178}, {10, 0.189},   {10.5, 0.216},
     {11, 0.250},   {11.5, 0.298}, {11.75, 0.339}, {12, 0.500},   {12.5, 0.702}, {13, 0.751},
     {13.5, 0.785}, {14, 0.811},   {16, 0.886},    {20, 0.957},   {24, 1}}};

std::span<const Ordinate> ordinates(RainShape shape) {
    switch (shape) {
        case RainShape::type_i:
            return type_i;
        case RainShape::type_ia:
            return type_ia;
        case RainShape::type_ii:
            return type_ii;
        case RainShape::type_iii:
            return type_iii;
        case RainShape::uniform:
            break;
    }
    return {};
}

}  // namespace

void validate_storm(double depth_m, double duration_s) {
    constexpr double least_m = 1e-4;
    constexpr double most_m = 1.9;
    if (!(depth_m >= least_m))
        throw InputError("the storm brings no rain; give its depth, such as 3 in, or leave the storm out");
    if (!(depth_m <= most_m)) {
        throw InputError(
            "the storm brings more rain than has ever been measured in a day (1.8 m); is its unit right?");
    }
    if (!(duration_s >= 60) || !(duration_s <= 30 * day_s))
        throw InputError("the storm must last between a minute and 30 days");
}

MassCurve::MassCurve(std::vector<double> time_s, std::vector<double> depth_m)
    : time_s_(std::move(time_s)), depth_m_(std::move(depth_m)) {
    if (time_s_.size() < 2 || time_s_.size() != depth_m_.size())
        throw InputError("a storm needs at least two moments with the rain fallen by each");
    if (time_s_.front() != 0 || depth_m_.front() != 0)
        throw InputError("a storm's rain must begin with 0 at time 0");
    for (std::size_t n = 1; n < time_s_.size(); ++n) {
        if (!(time_s_[n] > time_s_[n - 1])) throw InputError("a storm's times must rise from row to row");
        if (!(depth_m_[n] >= depth_m_[n - 1]))
            throw InputError("the rain fallen since the start must not fall from row to row");
    }
    validate_storm(total_m(), duration_s());
}

double MassCurve::depth_at(double time_s) const {
    if (!(time_s > 0)) return 0;
    if (time_s >= duration_s()) return total_m();
    const auto after = std::upper_bound(time_s_.begin(), time_s_.end(), time_s) - time_s_.begin();
    const auto n = static_cast<std::size_t>(after);
    const double share = (time_s - time_s_[n - 1]) / (time_s_[n] - time_s_[n - 1]);
    return depth_m_[n - 1] + share * (depth_m_[n] - depth_m_[n - 1]);
}

double MassCurve::peak_intensity() const {
    double peak = 0;
    for (std::size_t n = 1; n < time_s_.size(); ++n)
        peak = std::max(peak, (depth_m_[n] - depth_m_[n - 1]) / (time_s_[n] - time_s_[n - 1]));
    return peak;
}

double MassCurve::greatest_within(double window_s) const {
    // The curve is linear from point to point, so the best window begins or ends at one.
    double most = 0;
    for (const double t : time_s_) {
        most = std::max(most, depth_at(t + window_s) - depth_at(t));
        most = std::max(most, depth_at(t) - depth_at(t - window_s));
    }
    return most;
}

MassCurve storm_of_shape(RainShape shape, double depth_m, double duration_s) {
    validate_storm(depth_m, duration_s);
    if (shape == RainShape::uniform) return {{0, duration_s}, {0, depth_m}};
    if (std::abs(duration_s - day_s) > 1) {
        throw InputError(
            "the NRCS rain shapes are of 24 hours; for another duration take an even rain or a table");
    }
    std::vector<double> time;
    std::vector<double> depth;
    for (const Ordinate& o : ordinates(shape)) {
        time.push_back(o.hour * 3600);
        depth.push_back(o.share * depth_m);
    }
    return {std::move(time), std::move(depth)};
}

}  // namespace lielow
