// SPDX-License-Identifier: Apache-2.0
// The three ways a job can end early. Text is one line: what is wrong, where, and what to do.
#pragma once

#include <stdexcept>

namespace lielow {

/// The input or the call is wrong and the person can mend it (exit status 2).
struct InputError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// The job was sound but could not be carried out: disk full, not a number in a field (exit status 1).
struct RunError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// The person asked to stop (exit status 1).
struct Interrupted : std::runtime_error {
    Interrupted() : std::runtime_error("stopped on request; nothing was written under a final name") {}
};

}  // namespace lielow
