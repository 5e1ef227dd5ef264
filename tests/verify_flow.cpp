// SPDX-License-Identifier: Apache-2.0
// Runs every flow case with every scheme and prints errors and orders as Markdown. With a file name, what
// tools/verification_figures.py needs goes there as JSON.
// Use: verify_flow [results.json]
#include <fmt/core.h>
#include <fmt/ranges.h>

#include <cmath>
#include <cstdio>
#include <exception>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/cases/flow_case.hpp"
#include "tests/support/convergence.hpp"

namespace {

using namespace lielow::cases;
using nlohmann::json;

struct Study {
    std::vector<double> errors;
    Outcome finest;
};

Study study(const FlowCase& flow, lielow::SchemeOrder order) {
    Study s;
    for (const int cells : flow.cells) {
        s.finest = flow.run(order, cells);
        s.errors.push_back(s.finest.error);
    }
    return s;
}

/// Between neighbouring grids; empty where the case has no order to show.
std::vector<std::string> orders(const FlowCase& flow, const Study& s) {
    std::vector<std::string> text;
    for (std::size_t i = 1; i < s.errors.size() && s.errors[i] > 1e-13; ++i) {
        const double finer = static_cast<double>(flow.cells[i]) / flow.cells[i - 1];
        text.push_back(fmt::format("{:.2f}", std::log(s.errors[i - 1] / s.errors[i]) / std::log(finer)));
    }
    return text;
}

std::vector<std::string> short_numbers(const std::vector<double>& values) {
    std::vector<std::string> text;
    text.reserve(values.size());
    for (const double v : values) text.push_back(v < 1e-11 ? "< 1e-11" : fmt::format("{:.1e}", v));
    return text;
}

double fitted_order(const FlowCase& flow, const Study& s) {
    lielow::ConvergenceStudy fit;
    for (std::size_t i = 0; i < s.errors.size(); ++i) fit.add(1.0 / flow.cells[i], s.errors[i]);
    return fit.fitted_order();
}

bool holds(const FlowCase& flow, lielow::SchemeOrder order, const Study& s) {
    const Expected& asked = flow.expected(order);
    bool all = s.errors.back() <= asked.error && !(asked.order && !(fitted_order(flow, s) >= *asked.order));
    for (const Check& c : s.finest.checks) all = all && std::abs(c.value) <= c.limit;
    return all;
}

std::string asked(const Expected& e) {
    const std::string error = e.error > 0 ? fmt::format("{:.1e}", e.error) : "0";
    return e.order ? fmt::format("{}; {:.2g}", error, *e.order) : error;
}

std::string error_row(const FlowCase& flow, lielow::SchemeOrder order, const Study& s) {
    const bool alike = s.errors.front() < 1e-11 && s.errors.back() < 1e-11;
    return fmt::format("| {} | {} | {} | {} | {} | {} | {} | {} | {} |\n", flow.title, scheme_name(order),
                       fmt::join(flow.cells, ", "),
                       alike ? "< 1e-11" : fmt::format("{}", fmt::join(short_numbers(s.errors), ", ")),
                       fmt::join(orders(flow, s), ", "), asked(flow.expected(order)),
                       holds(flow, order, s) ? "yes" : "**no**", flow.norm, flow.source);
}

json as_json(const FlowCase& flow, lielow::SchemeOrder order, const Study& s) {
    const Profile& p = s.finest.profile;
    return {{"name", flow.name},      {"title", flow.title},    {"scheme", scheme_name(order)},
            {"norm", flow.norm},      {"cells", flow.cells},    {"errors", s.errors},
            {"axis", p.axis},         {"quantity", p.quantity}, {"x", p.x},
            {"computed", p.computed}, {"exact", p.exact},       {"ground", p.ground}};
}

int run(const char* file_name) {
    std::string errors =
        "| case | scheme | cells | error | order | asked: error; order | holds | norm | source |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";
    std::string checks =
        "| case | scheme | cells | what | departure | limit |\n| --- | --- | --- | --- | --- | --- |\n";
    json runs = json::array();
    for (const FlowCase& flow : all_cases()) {
        for (const lielow::SchemeOrder order : schemes) {
            const Study s = study(flow, order);
            errors += error_row(flow, order, s);
            for (const Check& c : s.finest.checks) {
                checks += fmt::format("| {} | {} | {} | {} | {:.2g} | {:.2g} |\n", flow.title,
                                      scheme_name(order), flow.cells.back(), c.what, c.value, c.limit);
            }
            runs.push_back(as_json(flow, order, s));
        }
    }
    fmt::print("{}\n{}", errors, checks);
    if (file_name == nullptr) return 0;
    std::ofstream file(file_name);
    file << json{{"errors", errors}, {"checks", checks}, {"runs", runs}} << '\n';
    if (file.close(), !file) {
        fmt::print(stderr, "{}: can't be written\n", file_name);
        return 1;
    }
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc > 1 ? argv[1] : nullptr);
    } catch (const std::exception& e) {
        std::fprintf(stderr, "verify_flow: %s\n", e.what());
        return 1;
    }
}
