// SPDX-License-Identifier: Apache-2.0
#include "sim/flow_paths.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <numeric>
#include <optional>

namespace lielow {
namespace {

double speed_of(const Velocity& v) {
    return std::hypot(v.x, v.y);
}

bool inside(const Grid& grid, const Place& p) {
    return p.x >= 0 && p.y >= 0 && p.x <= grid.cols * grid.dx && p.y <= grid.rows * grid.dy;
}

/// The share of the way from `a`, inside, to `b`, outside, at which the ground's edge is crossed.
Place on_edge(const Grid& grid, const Place& a, const Place& b) {
    double share = 1;
    const auto cut = [&share](double from, double to, double limit) {
        if (to > limit && to > from) share = std::min(share, (limit - from) / (to - from));
    };
    cut(a.x, b.x, grid.cols * grid.dx);
    cut(-a.x, -b.x, 0);
    cut(a.y, b.y, grid.rows * grid.dy);
    cut(-a.y, -b.y, 0);
    return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

/// Direction of the flow at a place, of length one; nothing where the air is at rest.
std::optional<Velocity> heading(const FaceFlow& flow, const Place& p, const PathRules& rules) {
    const Velocity v = flow.at(p.x, p.y);
    const double speed = speed_of(v);
    if (!(speed >= rules.slowest)) return std::nullopt;
    const double scale = (rules.upstream ? -1 : 1) / speed;
    return Velocity{v.x * scale, v.y * scale};
}

/// One step along the path; nothing where it meets air at rest.
std::optional<Place> runge_kutta(const FaceFlow& flow, const Place& p, const PathRules& rules) {
    const double h = rules.step;
    const auto ahead = [&p](const Velocity& d, double by) { return Place{p.x + by * d.x, p.y + by * d.y}; };
    const auto a = heading(flow, p, rules);
    if (!a) return std::nullopt;
    const auto b = heading(flow, ahead(*a, h / 2), rules);
    if (!b) return std::nullopt;
    const auto c = heading(flow, ahead(*b, h / 2), rules);
    if (!c) return std::nullopt;
    const auto d = heading(flow, ahead(*c, h), rules);
    if (!d) return std::nullopt;
    return Place{p.x + h / 6 * (a->x + 2 * b->x + 2 * c->x + d->x),
                 p.y + h / 6 * (a->y + 2 * b->y + 2 * c->y + d->y)};
}

double distance(const Place& a, const Place& b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

}  // namespace

FlowPath trace_path(const FaceFlow& flow, const Place& start, const PathRules& rules) {
    FlowPath path{{start}, 0, 0, PathEnd::rest};
    while (true) {
        const Place here = path.places.back();
        const auto next = runge_kutta(flow, here, rules);
        // Where the flow runs together a step overshoots: its four headings cancel one another.
        if (!next || distance(here, *next) < 0.5 * rules.step) return path;
        const bool leaves = !inside(flow.grid, *next);
        const Place there = leaves ? on_edge(flow.grid, here, *next) : *next;
        if (rules.stop && rules.stop(there, path.places.size())) {
            path.end = PathEnd::joined;
            return path;
        }
        const double way = distance(here, there);
        const double speed = 0.5 * (speed_of(flow.at(here.x, here.y)) + speed_of(flow.at(there.x, there.y)));
        path.places.push_back(there);
        path.length += way;
        path.seconds += way / std::max(speed, rules.slowest);
        if (leaves || path.length >= rules.longest || path.seconds >= rules.latest) {
            path.end = leaves ? PathEnd::edge : PathEnd::limit;
            return path;
        }
    }
}

namespace {

/// Places of the paths laid so far, in buckets as wide as the separation.
class LaidPlaces {
  public:
    LaidPlaces(const Grid& grid, double width)
        : width_(width),
          cols_(static_cast<std::int32_t>(grid.cols * grid.dx / width) + 1),
          rows_(static_cast<std::int32_t>(grid.rows * grid.dy / width) + 1),
          buckets_(static_cast<std::size_t>(cols_) * static_cast<std::size_t>(rows_)) {}
    void add(const Place& p) { buckets_[bucket(row_of(p), col_of(p))].push_back(p); }
    /// Whether one lies nearer than `reach`, which may not exceed the width.
    [[nodiscard]] bool near(const Place& p, double reach) const {
        for (std::int32_t j = std::max(row_of(p) - 1, 0); j <= std::min(row_of(p) + 1, rows_ - 1); ++j) {
            for (std::int32_t i = std::max(col_of(p) - 1, 0); i <= std::min(col_of(p) + 1, cols_ - 1); ++i) {
                for (const Place& q : buckets_[bucket(j, i)]) {
                    if (distance(p, q) < reach) return true;
                }
            }
        }
        return false;
    }

  private:
    [[nodiscard]] std::int32_t col_of(const Place& p) const {
        return std::clamp(static_cast<std::int32_t>(p.x / width_), 0, cols_ - 1);
    }
    [[nodiscard]] std::int32_t row_of(const Place& p) const {
        return std::clamp(static_cast<std::int32_t>(p.y / width_), 0, rows_ - 1);
    }
    [[nodiscard]] std::size_t bucket(std::int32_t row, std::int32_t col) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(cols_) +
               static_cast<std::size_t>(col);
    }
    double width_;
    std::int32_t cols_;
    std::int32_t rows_;
    std::vector<std::vector<Place>> buckets_;
};

class Spacing {
  public:
    Spacing(const FaceFlow& flow, double separation, double slowest)
        : flow_(flow), separation_(separation), slowest_(slowest), laid_(flow.grid, separation) {}

    /// Lays a path through `seed` unless it would be too near or too short; true when laid.
    bool lay(const Place& seed) {
        if (!inside(flow_.grid, seed) || laid_.near(seed, separation_)) return false;
        const FlowPath down = trace(seed, false, {});
        const FlowPath up = trace(seed, true, down.places);
        SpacedPath path;
        path.length = up.length + down.length;
        if (path.length < 2 * separation_) return false;
        path.places.assign(up.places.rbegin(), up.places.rend());
        path.places.insert(path.places.end(), down.places.begin() + 1, down.places.end());
        path.seconds = up.seconds + down.seconds;
        path.end = down.end;
        path.mean_speed = path.length / path.seconds;
        for (const Place& p : path.places) laid_.add(p);
        paths_.push_back(std::move(path));
        return true;
    }
    /// Seeds beside every path from number `first` on, until there is no more room.
    void fill_beside(std::size_t first) {
        for (std::size_t n = first; n < paths_.size(); ++n) {
            const std::vector<Place> along = paths_[n].places;
            for (const Place& p : along) {
                const Velocity v = flow_.at(p.x, p.y);
                const double scale = separation_ / std::max(speed_of(v), slowest_);
                lay({p.x - scale * v.y, p.y + scale * v.x});
                lay({p.x + scale * v.y, p.y - scale * v.x});
            }
        }
    }
    std::vector<SpacedPath>& paths() { return paths_; }

  private:
    [[nodiscard]] PathRules rules(bool upstream) const {
        PathRules r;
        r.step = 0.5 * std::min({flow_.grid.dx, flow_.grid.dy, 0.25 * separation_});
        r.longest = 4 * (flow_.grid.cols * flow_.grid.dx + flow_.grid.rows * flow_.grid.dy);
        r.slowest = slowest_;
        r.upstream = upstream;
        return r;
    }
    /// `other`: the half traced before, the other way from the seed.
    [[nodiscard]] FlowPath trace(const Place& seed, bool upstream, const std::vector<Place>& other) const {
        PathRules r = rules(upstream);
        const double reach = 0.5 * separation_;
        const auto keep = static_cast<std::size_t>(3 * reach / r.step);
        LaidPlaces own(flow_.grid, separation_);  // those of this path that lie well behind
        for (std::size_t n = keep; n < other.size(); ++n) own.add(other[n]);
        std::deque<Place> recent{seed};
        r.stop = [&, reach, keep](const Place& p, std::size_t) {
            if (laid_.near(p, reach) || own.near(p, reach)) return true;
            recent.push_back(p);
            if (recent.size() > keep) {
                own.add(recent.front());
                recent.pop_front();
            }
            return false;
        };
        return trace_path(flow_, seed, r);
    }

    const FaceFlow& flow_;
    double separation_;
    double slowest_;
    LaidPlaces laid_;
    std::vector<SpacedPath> paths_;
};

}  // namespace

std::vector<SpacedPath> spaced_paths(const FaceFlow& flow, double separation, double slowest) {
    const Grid& grid = flow.grid;
    std::vector<double> speed(grid.cells());
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) speed[grid.index(j, i)] = speed_of(flow.in_cell(j, i));
    }
    std::vector<std::size_t> order(speed.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&speed](std::size_t a, std::size_t b) { return speed[a] > speed[b]; });
    Spacing spacing(flow, separation, slowest);
    const auto cols = static_cast<std::size_t>(grid.cols);
    for (const std::size_t cell : order) {
        if (speed[cell] < slowest) break;
        const std::size_t before = spacing.paths().size();
        const std::size_t row = cell / cols;
        const std::size_t col = cell % cols;
        const Place middle{(static_cast<double>(col) + 0.5) * grid.dx,
                           (static_cast<double>(row) + 0.5) * grid.dy};
        if (spacing.lay(middle)) spacing.fill_beside(before);
    }
    return std::move(spacing.paths());
}

}  // namespace lielow
