// SPDX-License-Identifier: Apache-2.0
// A night on idealised ground, with the readings that publications give.
#pragma once

#include <functional>

#include "sim/night.hpp"

namespace lielow::nights {

/// Elevation, m, at x along the rows and y down the rows, m.
using Shape = std::function<double(double x, double y)>;

/// A moment of the night, h after sunset. Readings are means over the states kept in the hour before it,
/// which takes out most of the ripple that sheets make when they appear.
class IdealNight {
  public:
    /// Square cells of `cell` m.
    IdealNight(const Shape& elevation, int rows, int cols, double cell, NightSetup setup);

    /// Air `height` m above the ground at (x, y): K colder than the evening air at the same elevation, >= 0.
    [[nodiscard]] double deficit(double x, double y, double height, double hours) const;
    /// Its temperature, K above that of the evening air at elevation 0.
    [[nodiscard]] double temperature(double x, double y, double height, double hours) const;
    /// Missing heat ∫ deficit dz, K m.
    [[nodiscard]] double missing(double x, double y, double hours) const;
    /// Depth of the layer of even deficit that has the same missing heat at the same mean height, m.
    [[nodiscard]] double layer_depth(double x, double y, double hours) const;
    /// Height of the top isotherm, m.
    [[nodiscard]] double top(double x, double y, double hours) const;
    /// Wind of the lowest air, m/s.
    [[nodiscard]] double lowest_wind(double x, double y, double hours) const;
    /// Mean wind along x weighted with the deficit, m/s, the U of layer models: what missing heat crosses at
    /// x, by the balance of all ground between a wall at x = 0 and there, over what is there. One row of
    /// cells.
    [[nodiscard]] double layer_speed(double x, double hours) const;

    [[nodiscard]] double end_hours() const { return hours_; }
    [[nodiscard]] double ground(double x, double y) const { return night_.ground(row(y), col(x)); }
    [[nodiscard]] int cols() const { return night_.ground.cols(); }
    [[nodiscard]] double x_of(int col) const { return (col + 0.5) * cell_; }

  private:
    using Reading = std::function<double(const NightState&)>;
    [[nodiscard]] double mean_of(double hours, const Reading& reading) const;
    [[nodiscard]] const NightState& state_at(double hours) const;
    [[nodiscard]] double missing_in(const NightState& state, int row, int col) const;
    [[nodiscard]] int col(double x) const { return static_cast<int>(x / cell_); }
    [[nodiscard]] int row(double y) const { return static_cast<int>(y / cell_); }

    double cell_;
    double hours_;
    NightResult night_;
};

/// One row of cells between walls: ground that is the same all along y, with mirror images at both ends.
IdealNight strip_night(const std::function<double(double x)>& elevation, double length, double cell,
                       NightSetup setup);

}  // namespace lielow::nights
