// SPDX-License-Identifier: Apache-2.0
// Ctrl-C and SIGTERM, turned into an orderly end.
#pragma once

#include <csignal>

namespace lielow {

/// From now on the first Ctrl-C or SIGTERM only raises a flag; a second one ends the program at once.
void catch_stop_signals();

/// The same until the end of its scope, then as it was before, the flag down: for a library inside another
/// program.
class StopSignalsCaught {
  public:
    StopSignalsCaught();
    ~StopSignalsCaught();
    StopSignalsCaught(const StopSignalsCaught&) = delete;
    StopSignalsCaught& operator=(const StopSignalsCaught&) = delete;

  private:
    struct sigaction interrupt_ = {};
    struct sigaction terminate_ = {};
};

/// Whether the flag is up. Cheap enough for inner loops.
bool stop_requested();

/// Throws Interrupted when it is.
void throw_if_stopped();

}  // namespace lielow
