// SPDX-License-Identifier: Apache-2.0
// A second way to solve the equations of a stack of two sheets, for flows that stay smooth: nodes of a walled
// box, sixth-order central differences of mirrored fields, fourth-order Runge-Kutta, velocities as unknowns.
// Shares nothing with the solver and has no dissipation.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <vector>

namespace lielow {

class SmoothStack {
  public:
    using Surface = std::function<double(double x, double y)>;
    /// Box from 0 to `length` along x with `nx` gaps between nodes, and along y to `width` with `ny` (0: a
    /// channel).
    SmoothStack(double length, int nx, double width, int ny, double b1, double b2)
        : nx_(nx), ny_(ny), dx_(length / nx), dy_(ny > 0 ? width / ny : 1.0), b1_(b1), b2_(b2) {
        for (auto& part : state_) part.assign(size(), 0.0);
        bed_.assign(size(), 0.0);
    }
    void set(const Surface& bed, const Surface& h1, const Surface& h2) {
        for (int j = 0; j <= ny_; ++j) {
            for (int i = 0; i <= nx_; ++i) {
                bed_[at(j, i)] = bed(i * dx_, j * dy_);
                state_[0][at(j, i)] = h1(i * dx_, j * dy_);
                state_[1][at(j, i)] = h2(i * dx_, j * dy_);
            }
        }
    }
    [[nodiscard]] double thickness(int sheet, int j, int i) const {
        return state_[static_cast<std::size_t>(sheet)][at(j, i)];
    }
    void run(double time, int steps) {
        const double dt = time / steps;
        for (int n = 0; n < steps; ++n) {
            const State k1 = rates(state_);
            const State k2 = rates(plus(state_, k1, 0.5 * dt));
            const State k3 = rates(plus(state_, k2, 0.5 * dt));
            const State k4 = rates(plus(state_, k3, dt));
            for (std::size_t p = 0; p < parts; ++p) {
                for (std::size_t c = 0; c < size(); ++c) {
                    state_[p][c] += dt / 6 * (k1[p][c] + 2 * (k2[p][c] + k3[p][c]) + k4[p][c]);
                }
            }
        }
    }

  private:
    static constexpr std::size_t parts = 6;  // h1, h2, u1, u2, v1, v2
    using Part = std::vector<double>;
    using State = std::array<Part, parts>;

    [[nodiscard]] std::size_t size() const { return static_cast<std::size_t>((nx_ + 1) * (ny_ + 1)); }
    [[nodiscard]] std::size_t at(int j, int i) const { return static_cast<std::size_t>(j * (nx_ + 1) + i); }
    static State plus(const State& a, const State& b, double factor) {
        State sum = a;
        for (std::size_t p = 0; p < parts; ++p) {
            for (std::size_t c = 0; c < sum[p].size(); ++c) sum[p][c] += factor * b[p][c];
        }
        return sum;
    }
    /// Derivative at place n of 0..last of values `value(m)`, mirrored beyond the ends with `sign`.
    template <class Value>
    static double slope(int n, int last, double gap, double sign, const Value& value) {
        const auto mirrored = [&](int m) {
            if (m < 0) return sign * value(-m);
            if (m > last) return sign * value(2 * last - m);
            return value(m);
        };
        return (45 * (mirrored(n + 1) - mirrored(n - 1)) - 9 * (mirrored(n + 2) - mirrored(n - 2)) +
                (mirrored(n + 3) - mirrored(n - 3))) /
               (60 * gap);
    }
    [[nodiscard]] double along_x(const Part& f, int j, int i, double sign) const {
        return slope(i, nx_, dx_, sign, [&](int m) { return f[at(j, m)]; });
    }
    [[nodiscard]] double along_y(const Part& f, int j, int i, double sign) const {
        if (ny_ == 0) return 0;
        return slope(j, ny_, dy_, sign, [&](int m) { return f[at(m, i)]; });
    }
    [[nodiscard]] State rates(const State& s) const {
        State r = s;
        Part qx(size()), qy(size()), head(size());
        for (std::size_t k = 0; k < 2; ++k) {
            const Part &h = s[k], &u = s[2 + k], &v = s[4 + k];
            for (std::size_t c = 0; c < size(); ++c) {
                qx[c] = h[c] * u[c];
                qy[c] = h[c] * v[c];
                head[c] =
                    k == 0 ? b1_ * (bed_[c] + s[0][c] + s[1][c]) : b2_ * (bed_[c] + s[1][c]) + b1_ * s[0][c];
            }
            for (int j = 0; j <= ny_; ++j) {
                for (int i = 0; i <= nx_; ++i) {
                    const std::size_t c = at(j, i);
                    r[k][c] = -along_x(qx, j, i, -1) - along_y(qy, j, i, -1);
                    r[2 + k][c] =
                        -u[c] * along_x(u, j, i, -1) - v[c] * along_y(u, j, i, 1) - along_x(head, j, i, 1);
                    r[4 + k][c] =
                        -u[c] * along_x(v, j, i, 1) - v[c] * along_y(v, j, i, -1) - along_y(head, j, i, 1);
                }
            }
        }
        return r;
    }

    int nx_, ny_;
    double dx_, dy_, b1_, b2_;
    State state_;
    Part bed_;
};

}  // namespace lielow
