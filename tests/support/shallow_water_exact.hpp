// SPDX-License-Identifier: Apache-2.0
// Exact solutions of the shallow-water equations, collected by Delestre et al. 2013, Int. J. Numer. Meth.
// Fluids 72:269-300 (arXiv 1110.0288), from the original papers named at each.
#pragma once

#include <cmath>
#include <numbers>

namespace lielow::exact {

struct Flow {
    double h = 0;
    double u = 0;
};

/// Dam break onto a dry flat bed (Ritter 1892): reservoir h_left for x < 0, gravity g.
inline Flow ritter(double g, double h_left, double x, double t) {
    const double c = std::sqrt(g * h_left);
    if (x <= -c * t) return {h_left, 0};
    if (x >= 2 * c * t) return {0, 0};
    const double u = 2.0 / 3.0 * (x / t + c);
    const double root = c - x / (2 * t);
    return {4.0 / (9.0 * g) * root * root, u};
}

/// Plateau of the dam break onto a wet flat bed (Stoker 1957): h_m, u_m and the bore's speed.
struct StokerPlateau {
    double h = 0;
    double u = 0;
    double bore = 0;
};

inline StokerPlateau stoker_plateau(double g, double h_left, double h_right) {
    // Rarefaction: u = 2(√(g h_l) − √(g h)); bore: u = (h − h_r) √(g (h + h_r)/(2 h h_r)). Bisect for the h
    // where they agree.
    double low = h_right;
    double high = h_left;
    for (int i = 0; i < 200; ++i) {
        const double h = 0.5 * (low + high);
        const double fan = 2 * (std::sqrt(g * h_left) - std::sqrt(g * h));
        const double bore = (h - h_right) * std::sqrt(g * (h + h_right) / (2 * h * h_right));
        (fan > bore ? low : high) = h;
    }
    const double h = 0.5 * (low + high);
    const double u = 2 * (std::sqrt(g * h_left) - std::sqrt(g * h));
    return {h, u, h * u / (h - h_right)};
}

inline Flow stoker(double g, double h_left, double h_right, double x, double t) {
    const StokerPlateau m = stoker_plateau(g, h_left, h_right);
    const double c = std::sqrt(g * h_left);
    if (x <= -c * t) return {h_left, 0};
    if (x <= t * (m.u - std::sqrt(g * m.h))) {
        const double root = c - x / (2 * t);
        return {4.0 / (9.0 * g) * root * root, 2.0 / 3.0 * (x / t + c)};
    }
    if (x <= m.bore * t) return {m.h, m.u};
    return {h_right, 0};
}

/// Paraboloid z = −h0 (1 − r²/a²) about the origin, radially symmetric oscillation (Thacker 1981, J. Fluid
/// Mech. 107:499-508).
struct ThackerRadial {
    double g = 9.81;
    double a = 1.0;
    double h0 = 0.1;
    double r0 = 0.8;
    [[nodiscard]] double amplitude() const { return (a * a - r0 * r0) / (a * a + r0 * r0); }
    [[nodiscard]] double omega() const { return std::sqrt(8 * g * h0) / a; }
    [[nodiscard]] double period() const { return 2 * std::numbers::pi / omega(); }
    [[nodiscard]] double bed(double r) const { return -h0 * (1 - r * r / (a * a)); }
    [[nodiscard]] double depth(double r, double t) const {
        const double A = amplitude();
        const double d = 1 - A * std::cos(omega() * t);
        const double surface =
            h0 * (std::sqrt(1 - A * A) / d - 1 - r * r / (a * a) * ((1 - A * A) / (d * d) - 1));
        return std::max(0.0, surface - bed(r));
    }
};

/// The same paraboloid, planar surface going round (Thacker 1981).
struct ThackerPlanar {
    double g = 9.81;
    double a = 1.0;
    double h0 = 0.1;
    double eta = 0.5;
    [[nodiscard]] double omega() const { return std::sqrt(2 * g * h0) / a; }
    [[nodiscard]] double period() const { return 2 * std::numbers::pi / omega(); }
    [[nodiscard]] double bed(double x, double y) const { return -h0 * (1 - (x * x + y * y) / (a * a)); }
    [[nodiscard]] double depth(double x, double y, double t) const {
        const double w = omega() * t;
        const double surface = eta * h0 / (a * a) * (2 * x * std::cos(w) + 2 * y * std::sin(w) - eta);
        return std::max(0.0, surface - bed(x, y));
    }
    [[nodiscard]] double speed_x(double t) const { return -eta * omega() * std::sin(omega() * t); }
    [[nodiscard]] double speed_y(double t) const { return eta * omega() * std::cos(omega() * t); }
};

/// One-dimensional parabola z = h0 (x²/a² − 1), planar surface (Thacker 1981).
struct ThackerLine {
    double g = 9.81;
    double a = 1.0;
    double h0 = 0.5;
    [[nodiscard]] double omega() const { return std::sqrt(2 * g * h0) / a; }
    [[nodiscard]] double period() const { return 2 * std::numbers::pi / omega(); }
    [[nodiscard]] double bed(double x) const { return h0 * (x * x / (a * a) - 1); }
    [[nodiscard]] double depth(double x, double t) const {
        const double s = x / a + std::cos(omega() * t) / (2 * a);
        return std::max(0.0, -h0 * (s * s - 1));
    }
    [[nodiscard]] double speed(double t) const {
        return std::sqrt(2 * g * h0) / (2 * a) * std::sin(omega() * t);
    }
};

}  // namespace lielow::exact
