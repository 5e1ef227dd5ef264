// SPDX-License-Identifier: Apache-2.0
// Exit status: 0 done, 2 the input or the call is wrong, 1 failed. Why, in one line on stderr.
#include <fmt/format.h>
#include <omp.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <new>
#include <string>

#include "sim/errors.hpp"
#include "tools/command_line.hpp"
#include "tools/stop.hpp"

namespace {

int fail(int status, std::string message) {
    for (char& c : message) {
        if (c == '\n' || c == '\r') c = ' ';
    }
    fmt::print(stderr, "lielow: {}\n", message);
    return status;
}

/// Threads that wait for one another sleep instead of spinning. OpenMP's default spins, which costs nothing
/// on an idle machine but slows a night eightfold when another program wants a core. The library reads this
/// setting before main, so the program starts itself once more with it; whoever sets OMP_WAIT_POLICY decides,
/// and a failed restart just goes on.
void wait_asleep(char** argv) {
    constexpr int keep_what_is_set = 0;
    if (std::getenv("OMP_WAIT_POLICY") != nullptr || std::getenv("GOMP_SPINCOUNT") != nullptr) return;
    if (setenv("OMP_WAIT_POLICY", "passive", keep_what_is_set) == 0) execv("/proc/self/exe", argv);
}

void run(int argc, const char* const* argv) {
    const lielow::Call call = lielow::read_command_line(argc, argv);
    if (call.command) {
        if (call.threads > 0) omp_set_num_threads(call.threads);
        lielow::catch_stop_signals();
        lielow::Progress progress(stderr, lielow::progress_style_for(stderr, call.quiet));
        call.command->run(progress);
    }
    if (std::fflush(stdout) != 0) throw lielow::RunError("standard output can't be written to");
}

}  // namespace

int main(int argc, char** argv) {
    wait_asleep(argv);
    try {
        run(argc, argv);
        return 0;
    } catch (const lielow::InputError& error) {
        return fail(2, error.what());
    } catch (const std::bad_alloc&) {
        return fail(1, "not enough memory; take a coarser or smaller DEM");
    } catch (const std::exception& error) {
        return fail(1, error.what());
    }
}
