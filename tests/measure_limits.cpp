// SPDX-License-Identifier: Apache-2.0
// How far the stack solver can be driven: the Courant number at rest and on a flowing night, the spectrum of
// a night's motion, single against double precision, a disturbance over 100 000 steps. Prints the tables as
// Markdown; with a file name, what tools/verification_figures.py needs goes there as JSON.
// Use: measure_limits [limits.json]
#include <fmt/core.h>

#include <cstdio>
#include <exception>
#include <fstream>
#include <functional>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "sim/errors.hpp"
#include "tests/support/disturbed_rest.hpp"
#include "tests/support/rough_night.hpp"
#include "tests/support/spectrum.hpp"

namespace {

using namespace lielow;
using namespace lielow::test;
using nlohmann::json;

constexpr SchemeOrder schemes[] = {SchemeOrder::first, SchemeOrder::second};
constexpr double reference_courant = 0.35;
constexpr double shortest_cells = 2.7;  ///< wavelengths up to this are the grid's own

const char* name_of(SchemeOrder order) {
    return order == SchemeOrder::first ? "first" : "second";
}
const char* name_of(EdgeKind edges) {
    return edges == EdgeKind::wall ? "walls" : "far field";
}

/// Runs every job, several at a time; each writes only its own result. An exception is passed on at the end.
void run_all(const std::vector<std::function<void()>>& jobs) {
    std::exception_ptr failure;
#pragma omp parallel for schedule(dynamic)
    for (const auto& job : jobs) {
        try {
            job();
        } catch (...) {
#pragma omp critical
            failure = std::current_exception();
        }
    }
    if (failure) std::rethrow_exception(failure);
}

// --- Rest -----------------------------------------------------------------------------------------------

struct RestRun {
    int sheets;
    SchemeOrder order;
    double courant;
    double growth = 0;  ///< energy of motion in steps 9500 to 10 000 over that in the first 500
};

void measure(RestRun& run) {
    DisturbedRest rest(run.sheets, run.order, run.courant, 12, 14);
    rest.disturb(1e-6);
    try {
        const double early = rest.mean_energy(500);
        rest.step(9000);
        run.growth = rest.mean_energy(500) / early;
    } catch (const RunError&) {
        run.growth = std::numeric_limits<double>::infinity();
    }
}

std::vector<RestRun> rest_runs() {
    std::vector<RestRun> runs;
    for (const int sheets : {1, 2, 4, 8, 12, 20}) {
        for (const SchemeOrder order : schemes) {
            for (const double courant : {reference_courant, 0.7, 0.8, 0.9, 1.0})
                runs.push_back({sheets, order, courant});
        }
    }
    return runs;
}

// --- Flowing nights -------------------------------------------------------------------------------------

struct NightRun {
    EdgeKind edges;
    double cell_m;
    int sheets;
    SchemeOrder order;
    double courant;
    bool failed = false;
    double grid_scale = 0;  ///< share of the energy of motion at the shortest wavelengths
    std::int64_t steps = 0;
    Field<double> deficit{};
};

/// Slopes of some 20 % (5 m) and 15 % (12 m) in the root mean square.
Ground ground_for(double cell_m, std::int32_t cells) {
    return rough_ground(cells, cell_m, static_cast<float>(cells) / 48 * (cell_m < 10 ? 60.0F : 100.0F));
}

void measure(NightRun& run) {
    const NightSetup s = night_setup(run.edges, run.sheets, run.order, 1.5);
    RoughNight<float> night(ground_for(run.cell_m, 32), s, run.courant);
    Spectrum spectrum(32);
    try {
        for (double time = 600; time <= s.duration_s; time += 600) {
            night.run_until(time);
            spectrum.add(night.solver());
        }
    } catch (const RunError&) {
        run.failed = true;
    }
    run.grid_scale = spectrum.share_below(shortest_cells);
    run.steps = night.solver().steps();
    run.deficit = night.deficit();
}

std::vector<NightRun> night_runs() {
    std::vector<NightRun> runs;
    const auto add = [&](EdgeKind edges, double cell_m, std::initializer_list<int> counts) {
        for (const int sheets : counts) {
            for (const SchemeOrder order : schemes) {
                for (const double courant : {reference_courant, 0.7, 0.8, 0.9, 1.0})
                    runs.push_back({edges, cell_m, sheets, order, courant});
            }
        }
    };
    add(EdgeKind::wall, 12, {1, 2, 4, 8, 12, 20});
    add(EdgeKind::far_field, 5, {8, 12, 20});
    add(EdgeKind::far_field, 12, {8, 12, 20});
    return runs;
}

/// The same night at the reference Courant number, which comes first of its five.
const NightRun& reference_of(const std::vector<NightRun>& runs, std::size_t n) {
    while (runs[n].courant != reference_courant) --n;
    return runs[n];
}

// --- Spectra, precision, growth ---------------------------------------------------------------------------

struct SpectrumRun {
    SchemeOrder order;
    double interface_drag;
    std::vector<double> share{};  ///< of the energy, by wave number over 64 cells
    double grid_scale = 0;
};

void measure(SpectrumRun& run) {
    NightSetup s = night_setup(EdgeKind::far_field, 12, run.order, 2);
    s.interface_drag = run.interface_drag;
    RoughNight<float> night(ground_for(5, 64), s, night_courant);
    Spectrum spectrum(64);
    for (double time = 900; time <= s.duration_s; time += 900) {
        night.run_until(time);
        spectrum.add(night.solver());
    }
    for (const double power : spectrum.power()) run.share.push_back(power / spectrum.total());
    run.grid_scale = spectrum.share_below(shortest_cells);
}

struct PrecisionRun {
    EdgeKind edges;
    SchemeOrder order;
    Difference apart{};
    double spread = 0;  ///< standard deviation of the temperature over the ground, K
};

void measure(PrecisionRun& run) {
    const NightSetup s = night_setup(run.edges, 12, run.order, 10);
    const Ground ground = ground_for(12, 24);
    RoughNight<float> single(ground, s, night_courant);
    RoughNight<double> twice(ground, s, night_courant);
    single.run_until(s.duration_s);
    twice.run_until(s.duration_s);
    const Field<double> deficit = twice.deficit();
    run.apart = difference(single.deficit(), deficit);
    double mean = 0;
    for (const double d : deficit.all()) mean += d / static_cast<double>(deficit.size());
    run.spread = difference(deficit, Field<double>(deficit.rows(), deficit.cols(), mean)).rms;
}

struct GrowthRun {
    int sheets;
    SchemeOrder order;
    double courant;
    std::vector<double> energy{};  ///< after each 20 000 steps, over that of the first 1000
};

constexpr int growth_interval = 20000;

void measure(GrowthRun& run) {
    DisturbedRest rest(run.sheets, run.order, run.courant, 12, 14);
    rest.disturb(1e-6);
    const double early = rest.mean_energy(1000);
    rest.step(growth_interval - 2000);
    run.energy.push_back(rest.mean_energy(1000) / early);
    while (run.energy.size() < 5) {
        rest.step(growth_interval - 1000);
        run.energy.push_back(rest.mean_energy(1000) / early);
    }
}

// --- Tables and file --------------------------------------------------------------------------------------

std::string growth_text(double growth) {
    return growth < 100 ? fmt::format("{:.2f}", growth) : fmt::format("**{:.0e}**", growth);
}

std::string rest_table(const std::vector<RestRun>& runs) {
    std::string text =
        "| sheets | scheme | 0.35 | 0.7 | 0.8 | 0.9 | 1.0 |\n"
        "| --- | --- | --- | --- | --- | --- | --- |\n";
    for (const RestRun& run : runs) {
        if (run.courant == reference_courant)
            text += fmt::format("| {} | {} |", run.sheets, name_of(run.order));
        text += fmt::format(" {} |", growth_text(run.growth));
        if (run.courant == 1.0) text += "\n";
    }
    return text;
}

std::string night_table(const std::vector<NightRun>& runs) {
    std::string text =
        "| edges | cell, m | sheets | scheme | 0.35 | 0.7 | 0.8 | 0.9 | 1.0 |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";
    for (std::size_t n = 0; n < runs.size(); ++n) {
        const NightRun& run = runs[n];
        if (run.courant == reference_courant) {
            text += fmt::format("| {} | {} | {} | {} | {:.2f} % |", name_of(run.edges), run.cell_m,
                                run.sheets, name_of(run.order), 100 * run.grid_scale);
        } else if (run.failed) {
            text += " **fails** |";
        } else {
            const Difference apart = difference(run.deficit, reference_of(runs, n).deficit);
            text += fmt::format(" {:.2f} %; {:.3f} |", 100 * run.grid_scale, apart.rms);
        }
        if (run.courant == 1.0) text += "\n";
    }
    return text;
}

std::string spectrum_table(const std::vector<SpectrumRun>& runs) {
    std::string text = "| scheme | drag between sheets | share at 2 to 2.7 cells |\n| --- | --- | --- |\n";
    for (const SpectrumRun& run : runs)
        text += fmt::format("| {} | {} | {:.2f} % |\n", name_of(run.order), run.interface_drag,
                            100 * run.grid_scale);
    return text;
}

std::string precision_table(const std::vector<PrecisionRun>& runs) {
    std::string text =
        "| edges | scheme | root mean square, K | largest, K | spread over the ground, K |\n"
        "| --- | --- | --- | --- | --- |\n";
    for (const PrecisionRun& run : runs)
        text += fmt::format("| {} | {} | {:.4f} | {:.4f} | {:.2f} |\n", name_of(run.edges),
                            name_of(run.order), run.apart.rms, run.apart.largest, run.spread);
    return text;
}

std::string growth_table(const std::vector<GrowthRun>& runs) {
    std::string text =
        "| sheets | scheme | Courant number | 20 000 | 40 000 | 60 000 | 80 000 | 100 000 |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- |\n";
    for (const GrowthRun& run : runs) {
        text += fmt::format("| {} | {} | {} |", run.sheets, name_of(run.order), run.courant);
        for (const double energy : run.energy) text += fmt::format(" {} |", growth_text(energy));
        text += "\n";
    }
    return text;
}

json spectra_json(const std::vector<SpectrumRun>& runs) {
    json all = json::array();
    for (const SpectrumRun& run : runs) {
        all.push_back({{"scheme", name_of(run.order)},
                       {"interface_drag", run.interface_drag},
                       {"cells", 2 * (run.share.size() - 1)},
                       {"share", run.share}});
    }
    return all;
}

template <class Run>
void queue(std::vector<Run>& runs, std::vector<std::function<void()>>& jobs) {
    for (Run& run : runs) jobs.emplace_back([&run] { measure(run); });
}

int run(const char* file_name) {
    std::vector<GrowthRun> growth;
    std::vector<SpectrumRun> spectra;
    std::vector<PrecisionRun> precision;
    for (const SchemeOrder order : schemes) {
        for (const int sheets : {12, 1}) {
            for (const double courant : {0.7, 0.9}) growth.push_back({sheets, order, courant});
        }
        for (const double drag : {0.0, 0.002, 0.01}) spectra.push_back({order, drag});
        for (const EdgeKind edges : {EdgeKind::wall, EdgeKind::far_field})
            precision.push_back({edges, order});
    }
    std::vector<RestRun> rest = rest_runs();
    std::vector<NightRun> nights = night_runs();
    std::vector<std::function<void()>> jobs;
    queue(growth, jobs);
    queue(spectra, jobs);
    queue(precision, jobs);
    queue(nights, jobs);
    queue(rest, jobs);
    run_all(jobs);

    json out{{"courant_at_rest", rest_table(rest)},
             {"courant_at_night", night_table(nights)},
             {"grid_scale", spectrum_table(spectra)},
             {"precision", precision_table(precision)},
             {"growth", growth_table(growth)}};
    for (const auto& [name, table] : out.items()) fmt::print("{}\n{}\n", name, table.get<std::string>());
    if (file_name == nullptr) return 0;
    out["spectra"] = spectra_json(spectra);
    std::ofstream file(file_name);
    file << out << '\n';
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
        std::fprintf(stderr, "measure_limits: %s\n", e.what());
        return 1;
    }
}
