// SPDX-License-Identifier: Apache-2.0
// Ctrl-C and SIGTERM, turned into an orderly end.
#pragma once

namespace lielow {

/// From now on the first Ctrl-C or SIGTERM only raises a flag; a second one ends the program at once.
void catch_stop_signals();

/// Whether the flag is up. Cheap enough for inner loops.
bool stop_requested();

/// Throws Interrupted when it is.
void throw_if_stopped();

}  // namespace lielow
