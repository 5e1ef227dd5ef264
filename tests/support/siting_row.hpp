// SPDX-License-Identifier: Apache-2.0
// A row of cells as ground to judge.
#pragma once

#include <algorithm>
#include <cstdint>
#include <initializer_list>
#include <limits>
#include <vector>

#include "sim/siting.hpp"

namespace lielow::testing {

inline constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
using enum SitingClass;
using enum SitingFactor;

inline Field<float> row(std::initializer_list<float> values) {
    Field<float> field(1, static_cast<std::int32_t>(values.size()));
    std::copy(values.begin(), values.end(), field.data());
    return field;
}

inline Field<std::uint8_t> classes(std::initializer_list<int> values) {
    Field<std::uint8_t> field(1, static_cast<std::int32_t>(values.size()));
    std::transform(values.begin(), values.end(), field.data(),
                   [](int v) { return static_cast<std::uint8_t>(v); });
    return field;
}

inline std::uint8_t number(SitingClass c) {
    return static_cast<std::uint8_t>(c);
}
inline std::uint8_t reason(SitingFactor f) {
    return static_cast<std::uint8_t>(static_cast<int>(f) + 1);
}

inline SitingRule necessary(std::initializer_list<SitingFactor> factors) {
    SitingRule rule;
    for (const SitingFactor f : factors) rule.necessary.set(static_cast<std::size_t>(f));
    return rule;
}

inline SitingEvidence of(SitingFactor factor, const char* name, SitingLimits limits,
                         const Field<float>& values) {
    return {factor, name, limits, [&values](std::size_t c) { return static_cast<double>(values[c]); }};
}

inline Siting judge(const std::vector<SitingEvidence>& evidence, const SitingRule& rule, std::int32_t cells) {
    return judge_siting({1, cells, 10, 10}, Field<std::uint8_t>(1, cells, 1), evidence, rule);
}

}  // namespace lielow::testing
