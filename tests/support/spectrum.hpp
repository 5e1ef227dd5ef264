// SPDX-License-Identifier: Apache-2.0
// How the energy of a stack's motion is spread over wavelengths, counted in cells.
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <unsupported/Eigen/FFT>
#include <vector>

#include "sim/stack_solver.hpp"

namespace lielow::test {

/// Energy at wave numbers 0 .. n/2 over lines of n faces: wave number m has a wavelength of n/m cells.
class Spectrum {
  public:
    explicit Spectrum(std::size_t faces) : power_(faces / 2 + 1, 0.0), line_(faces) {}

    /// Adds the velocities of all sheets, those along rows taken row by row, the others column by column,
    /// each weighted by the root of the thickness at its face so that squares are energies. The grid must be
    /// square; the first and last face of a line, walls or edges, count as one.
    template <class Real>
    void add(const StackSolver<Real>& solver) {
        const auto n = static_cast<std::int32_t>(line_.size());
        for (int k = 0; k < solver.sheets(); ++k) {
            for (std::int32_t line = 0; line < n; ++line) {
                line_[0] = 0;
                for (std::int32_t face = 1; face < n; ++face) {
                    const double thick = static_cast<double>(solver.thickness(k, line, face - 1)) +
                                         static_cast<double>(solver.thickness(k, line, face));
                    at(face) = std::sqrt(0.5 * thick) * static_cast<double>(solver.velocity_x(k, line, face));
                }
                add_line();
                for (std::int32_t face = 1; face < n; ++face) {
                    const double thick = static_cast<double>(solver.thickness(k, face - 1, line)) +
                                         static_cast<double>(solver.thickness(k, face, line));
                    at(face) = std::sqrt(0.5 * thick) * static_cast<double>(solver.velocity_y(k, face, line));
                }
                add_line();
            }
        }
    }

    [[nodiscard]] const std::vector<double>& power() const { return power_; }
    [[nodiscard]] double total() const {
        double sum = 0;
        for (std::size_t m = 1; m < power_.size(); ++m) sum += power_[m];
        return sum;
    }
    /// Share of the energy at wavelengths of at most `cells`.
    [[nodiscard]] double share_below(double cells) const {
        double sum = 0;
        for (std::size_t m = 1; m < power_.size(); ++m) {
            if (static_cast<double>(line_.size()) / static_cast<double>(m) <= cells) sum += power_[m];
        }
        return sum > 0 ? sum / total() : 0;
    }

  private:
    double& at(std::int32_t face) { return line_[static_cast<std::size_t>(face)]; }
    /// Under Hann's window, since lines are not periodic.
    void add_line() {
        const std::size_t n = line_.size();
        std::vector<std::complex<double>> wave(n);
        for (std::size_t i = 0; i < n; ++i) {
            line_[i] *=
                std::pow(std::sin(std::numbers::pi * static_cast<double>(i) / static_cast<double>(n)), 2);
        }
        transform_.fwd(wave, line_);
        for (std::size_t m = 0; m < power_.size(); ++m) power_[m] += std::norm(wave[m]);
    }

    std::vector<double> power_;
    std::vector<double> line_;
    Eigen::FFT<double> transform_;
};

}  // namespace lielow::test
