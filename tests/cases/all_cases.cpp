// SPDX-License-Identifier: Apache-2.0
#include "tests/cases/flow_case.hpp"

namespace lielow::cases {

const FlowCases& all_cases() {
    static const FlowCases cases = [] {
        FlowCases all;
        for (const auto& group : {bump_cases(), dam_break_cases(), thacker_cases(), macdonald_cases(),
                                  rain_cases(), internal_wave_cases(), two_sheet_cases(), incline_cases(),
                                  heavy_front_cases(), obstacle_cases()}) {
            all.insert(all.end(), group.begin(), group.end());
        }
        return all;
    }();
    return cases;
}

}  // namespace lielow::cases
