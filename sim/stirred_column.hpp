// SPDX-License-Identifier: Apache-2.0
// One column of air over level ground whose mixing follows stability (sim/stable_mixing.hpp), on fixed
// heights: what a night plans with before it has a ladder, and what its isotherms are checked against.
#pragma once

#include <vector>

namespace lielow {

class StirredColumn {
  public:
    /// u*, m/s; z0, m; potential temperature of the evening air, K.
    StirredColumn(double u_star, double roughness, double theta_k);
    /// Takes q (K m/s) out of the lowest air for `span` seconds: finite volumes on heights that grow by 7 %
    /// from 2 cm to 1 km, implicit steps of at most 30 s with the diffusivity of their start.
    void lose(double q, double span);
    /// Colder than the evening air by, K, at the ground or at a height (m).
    [[nodiscard]] double deficit(double height = 0) const;
    /// Missing heat ∫ deficit dz, K m.
    [[nodiscard]] double missing() const;

  private:
    void step(double q, double dt);
    double u_star_;
    double roughness_;
    double theta_k_;
    std::vector<double> edge_;     ///< heights that part the layers, m; one more than layers
    std::vector<double> deficit_;  ///< of the layers, K
};

}  // namespace lielow
