// SPDX-License-Identifier: Apache-2.0
// Where a field's cold comes from: what crosses its border on the solver's own cell faces, step by step, so
// that what comes in less what goes out is what the content changes by.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/compass.hpp"
#include "sim/face_flow.hpp"
#include "sim/grid.hpp"
#include "sim/stack_solver.hpp"
#include "sim/zonal.hpp"

namespace lielow {

/// Share of each coarse cell that a zone of the fine grid covers, 0..1.
Field<float> covered_share(const Grid& fine, const Blocks& blocks, const Zone& zone);

/// One cell face on a field's border.
struct BorderFace {
    std::int32_t row = 0;  ///< of the cell inside
    std::int32_t col = 0;
    std::int32_t outer_row = 0;  ///< of the cell outside; may lie beside the grid
    std::int32_t outer_col = 0;
    int side = 0;  ///< compass sector towards which the border looks there
};

/// A field as whole coarse cells: those at least half covered, or the best covered one.
struct FieldCells {
    std::vector<std::size_t> cells;  ///< ascending
    std::vector<BorderFace> border;
};

/// The side of a face is told by the slope of the cover around it, not by the face's own four directions.
FieldCells field_cells(const Grid& grid, const Field<float>& cover, const RasterAxes& axes);

/// What came over a border since the start; air counts as cold from half a sheet's step on.
struct BorderSums {
    std::array<double, compass_sectors> air_in_m3{};  ///< by side of the field
    std::array<double, compass_sectors> air_out_m3{};
    std::array<double, compass_sectors> cold_in_k_m3{};  ///< missing heat; times ρ cp it is J
    std::array<double, compass_sectors> cold_out_k_m3{};
    /// The share of cold_in that came in no higher than the meter's height above the ground: what plants
    /// feel. Higher up the air may move the other way.
    std::array<double, compass_sectors> low_in_k_m3{};
    std::vector<double> face_low_in_k_m3;  ///< the same per border face
    double content_k_m3 = 0;               ///< missing heat inside at the last count
    double air_content_m3 = 0;
};

/// Counts a field's border through a run of the first-order scheme, whose fluxes are upwind: the giving
/// cell's whole sheet with the velocity before the step. Exact to rounding on faces between cells of the
/// grid; on the grid's own edge and in the second-order scheme the state before the step stands for the flux.
class BorderMeter {
  public:
    /// `low`: height above the ground up to which air counts as low, m.
    BorderMeter(const Grid& grid, FieldCells field, double sheet_step_k, double low);

    void before_step(const StackSolver<float>& solver);
    void after_step(double dt);
    /// Counts what lies inside now.
    void count_content(const StackSolver<float>& solver);

    [[nodiscard]] const FieldCells& field() const { return field_; }
    [[nodiscard]] const BorderSums& sums() const { return sums_; }
    void walk(StateWalk& walk);

  private:
    void take_face(const StackSolver<float>& solver, const BorderFace& face, float* inward,
                   float& low_in) const;
    Grid grid_;
    FieldCells field_;
    double sheet_step_k_;
    double low_;
    BorderSums sums_;
    int sheets_ = 0;
    std::vector<float> inward_;  ///< m³/s, per face and sheet
    std::vector<float> low_in_;  ///< m³/s times the number of steps of cold, per face
};

/// A mean flow on wider ground in the same frame, where paths go on that leave the first one's grid.
struct WiderFlow {
    FaceFlow mean;
    double east_m = 0;   ///< from its first corner to the first grid's, along the rows
    double south_m = 0;  ///< and down them
};

/// Share of what came in low over the border that the mean flow brings from the edge of all known ground
/// within `seconds`, 0..1: traced upstream from every face, weighted with what came in there, and with
/// `wider` on through that up to its own edge. 0 where nothing came in.
double share_from_edge(const FaceFlow& mean, const BorderMeter& meter, double seconds,
                       const WiderFlow* wider = nullptr);

}  // namespace lielow
