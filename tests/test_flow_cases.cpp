// SPDX-License-Identifier: Apache-2.0
// Every published flow case (tests/cases/) with every scheme: error on the finest grid, observed order, and
// what else the case checks, on the finest grid too.
#include <gtest/gtest.h>

#include "tests/cases/flow_case.hpp"
#include "tests/support/convergence.hpp"

namespace lielow::cases {
namespace {

struct Run {
    const FlowCase* flow;
    SchemeOrder order;
};

std::vector<Run> all_runs() {
    std::vector<Run> runs;
    for (const FlowCase& flow : all_cases()) {
        for (const SchemeOrder order : schemes) runs.push_back({&flow, order});
    }
    return runs;
}

class FlowCaseTest : public testing::TestWithParam<Run> {};

TEST_P(FlowCaseTest, HoldsItsBounds) {
    const FlowCase& flow = *GetParam().flow;
    const Expected& expected = flow.expected(GetParam().order);
    ConvergenceStudy study{flow.title + ", " + scheme_name(GetParam().order) + " order", {}, {}};
    Outcome finest;
    for (const int cells : flow.cells) {
        finest = flow.run(GetParam().order, cells);
        study.add(1.0 / cells, finest.error);
    }
    study.print();
    EXPECT_LE(study.error.back(), expected.error) << flow.norm;
    if (expected.order) {
        EXPECT_GE(study.fitted_order(), *expected.order);
    }
    for (const Check& check : finest.checks) {
        std::printf("|  | %s | %.4g | limit %.3g |\n", check.what.c_str(), check.value, check.limit);
        EXPECT_LE(std::abs(check.value), check.limit) << check.what;
    }
}

INSTANTIATE_TEST_SUITE_P(All, FlowCaseTest, testing::ValuesIn(all_runs()), [](const auto& info) {
    return info.param.flow->name + "_" + scheme_name(info.param.order);
});

}  // namespace
}  // namespace lielow::cases
