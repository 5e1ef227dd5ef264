// SPDX-License-Identifier: Apache-2.0
#include "tools/stop.hpp"

#include <atomic>
#include <csignal>

#include "sim/errors.hpp"

namespace lielow {
namespace {

std::atomic<bool> stop_flag{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may only touch lock-free atomics");

extern "C" void raise_stop_flag(int) {
    stop_flag.store(true, std::memory_order_relaxed);
}

}  // namespace

void catch_stop_signals() {
    struct sigaction action = {};
    action.sa_handler = raise_stop_flag;
    // Restart: a write cut short by the signal would look like a full disk. Reset: the second signal ends the
    // program.
    action.sa_flags = SA_RESTART | static_cast<int>(SA_RESETHAND);
    sigaction(SIGINT, &action, nullptr);
    sigaction(SIGTERM, &action, nullptr);
}

StopSignalsCaught::StopSignalsCaught() {
    sigaction(SIGINT, nullptr, &interrupt_);
    sigaction(SIGTERM, nullptr, &terminate_);
    catch_stop_signals();
}

StopSignalsCaught::~StopSignalsCaught() {
    sigaction(SIGINT, &interrupt_, nullptr);
    sigaction(SIGTERM, &terminate_, nullptr);
    stop_flag.store(false, std::memory_order_relaxed);
}

bool stop_requested() {
    return stop_flag.load(std::memory_order_relaxed);
}

void throw_if_stopped() {
    if (stop_requested()) throw Interrupted();
}

}  // namespace lielow
