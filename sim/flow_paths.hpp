// SPDX-License-Identifier: Apache-2.0
// The ways cold air takes: streamlines of a flow that doesn't change, traced with the classical fourth-order
// Runge-Kutta method (Kutta 1901, Z. Math. Phys. 46:435-453) along their length, and evenly spaced after
// Jobard & Lefer 1997, "Creating evenly-spaced streamlines of arbitrary density", Visualization in Scientific
// Computing '97, 43-55.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "sim/face_flow.hpp"

namespace lielow {

struct Place {
    double x = 0;
    double y = 0;
};

/// Why a path ends.
enum class PathEnd : std::uint8_t {
    rest,    ///< the air is slower than asked for, or meets itself: a pool
    edge,    ///< it leaves the ground
    joined,  ///< `stop` said so: beside another path, or where it was before
    limit,   ///< longest or latest
};

struct PathRules {
    double step = 1;        ///< m
    double longest = 1e6;   ///< m
    double latest = 1e9;    ///< s of travel
    double slowest = 1e-3;  ///< m/s; slower air is at rest
    bool upstream = false;  ///< trace back to where the air comes from
    /// Asked at every new place with the number of steps made so far; true ends the path before it.
    std::function<bool(const Place&, std::size_t steps)> stop = {};
};

struct FlowPath {
    std::vector<Place> places;  ///< from the start on, at least one
    double length = 0;          ///< m
    double seconds = 0;         ///< of travel
    PathEnd end = PathEnd::rest;
};

FlowPath trace_path(const FaceFlow& flow, const Place& start, const PathRules& rules);

struct SpacedPath {
    std::vector<Place> places;  ///< downstream
    double length = 0;          ///< m
    double seconds = 0;
    PathEnd end = PathEnd::rest;
    double mean_speed = 0;  ///< m/s
};

/// Paths that cover the ground evenly: none starts nearer to another than `separation`, m, or runs on nearer
/// than half of it; none is shorter than twice it. The first starts where the air is fastest, so that the
/// main ways run unbroken. Ties go by cell number.
std::vector<SpacedPath> spaced_paths(const FaceFlow& flow, double separation, double slowest);

}  // namespace lielow
