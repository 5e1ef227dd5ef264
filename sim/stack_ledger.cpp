// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_ledger.hpp"

namespace lielow {

template <class Real>
void count_edge_fluxes(const Grid& grid, const LedgerRows& counted, std::span<const double> buoyancy,
                       const SheetArray<Real>& flux_x, const SheetArray<Real>& flux_y, double dt,
                       StackBudget& budget) {
    for (int k = 0; k < flux_x.sheets(); ++k) {
        double in = 0;
        for (std::int32_t j = counted.rows.first; j < counted.rows.last; ++j) {
            const Real* flux = flux_x.row(j, k);
            in += (static_cast<double>(flux[0]) - static_cast<double>(flux[grid.cols])) * grid.dy;
        }
        const Real* north = flux_y.row(0, k);
        const Real* south = flux_y.row(grid.rows, k);
        for (std::int32_t i = 0; i < grid.cols; ++i)
            in += ((counted.north ? static_cast<double>(north[i]) : 0.0) -
                   (counted.south ? static_cast<double>(south[i]) : 0.0)) *
                  grid.dx;
        budget.volume_in += in * dt;
        budget.buoyancy_in += in * dt * buoyancy[static_cast<std::size_t>(k)];
    }
}

template <class Real>
void count_content(const Grid& grid, const RowSpan& rows, std::span<const double> buoyancy,
                   const SheetArray<Real>& thickness, StackBudget& budget) {
    budget.volume = budget.buoyancy_content = 0;
    for (int k = 0; k < thickness.sheets(); ++k) {
        double sum = 0;
        for (std::int32_t j = rows.first; j < rows.last; ++j) {
            const Real* row = thickness.row(j, k);
            double line = 0;
            for (std::int32_t i = 0; i < grid.cols; ++i) line += static_cast<double>(row[i]);
            sum += line;
        }
        budget.volume += sum * grid.cell_area();
        budget.buoyancy_content += sum * grid.cell_area() * buoyancy[static_cast<std::size_t>(k)];
    }
}

template void count_edge_fluxes(const Grid&, const LedgerRows&, std::span<const double>,
                                const SheetArray<float>&, const SheetArray<float>&, double, StackBudget&);
template void count_edge_fluxes(const Grid&, const LedgerRows&, std::span<const double>,
                                const SheetArray<double>&, const SheetArray<double>&, double, StackBudget&);
template void count_content(const Grid&, const RowSpan&, std::span<const double>, const SheetArray<float>&,
                            StackBudget&);
template void count_content(const Grid&, const RowSpan&, std::span<const double>, const SheetArray<double>&,
                            StackBudget&);

}  // namespace lielow
