// SPDX-License-Identifier: Apache-2.0
// Hedges, belts, fences, walls, banks with their openings, and fans: what holds cold air back and what warms
// it, laid over the cells of a night.
//
// What is porous takes momentum: air of speed u that crosses it loses the pressure head K u²/2. That loss is
// spread as canopy drag, of density K/2 per metre of the way through, over the cells that hold the thing and
// up to its height; a line of length l in a cell of area A gives K l/(2 A). So every row and column of cells
// that the line crosses loses the same in all, and air that crosses squarely loses K u²/2, whatever the
// cells' size. What is solid raises the ground of its cells.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/line_cells.hpp"
#include "sim/night_surface.hpp"
#include "sim/passages.hpp"

namespace lielow {

enum class ObstacleKind : std::uint8_t { hedge, tree_belt, fence, wall, bank };

/// Loss coefficient of a flat screen of openness φ, the share of its face that is open: K = (1 − φ)/φ², for
/// grids and perforated plates (Baines & Peterson 1951, Transactions of the ASME 73, 467–480, from memory).
/// Infinite for 0.
double screen_loss_coefficient(double openness);

/// Loss coefficient of foliage many leaves deep, of which the share φ can be seen through: leaves and stems
/// of total frontal area index −ln φ (Beer's law for elements spread at random), each with the drag
/// coefficient 0.2 usual for foliage (from memory): K = 2 · 0.2 · (−ln φ). φ below 0.01 counts as 0.01.
double foliage_loss_coefficient(double openness);

/// Foliage's for a tree belt, a screen's for all else.
double loss_coefficient(ObstacleKind kind, double openness);

/// A stretch that is more open than the rest.
struct LineOpening {
    double from_m = 0;  ///< along the line
    double to_m = 0;
    double openness = 1;  ///< there
};
struct ObstacleLine {
    Polyline points;
    std::vector<LineOpening> openings;
};

/// Part of a raster.
struct CellShares {
    std::vector<std::uint32_t> cells;  ///< of the DEM's grid, ascending
    std::vector<float> share;          ///< of each, 0..1
};
struct AreaOpening {
    CellShares where;  ///< inside the area
    double openness = 1;
};
struct ObstacleArea {
    double width_m = 0;  ///< across: twice its area over its perimeter
    CellShares where;
    std::vector<Polyline> outline;
    std::vector<AreaOpening> openings;
};

struct Obstacle {
    std::string name;
    ObstacleKind kind = ObstacleKind::hedge;
    double height_m = 0;
    double openness = 0;
    std::vector<ObstacleLine> lines;
    std::vector<ObstacleArea> areas;
    /// Trees are never solid.
    [[nodiscard]] bool is_solid() const { return openness <= 0 && kind != ObstacleKind::tree_belt; }
};

struct Fan {
    std::string name;
    GroundPoint at;
    double radius_m = 0;
    double heat_w = 0;
};

struct Obstacles {
    std::vector<Obstacle> standing;
    std::vector<Fan> fans;
    std::vector<Passage> passages;  ///< through what the DEM itself shows
};

/// Lays what stands over coarse cells: porous things into `canopy`, solid ones into `surface.raised`. Where a
/// solid thing is open on part of a cell (a gap or culvert narrower than the cell) the ground stays and the
/// cell takes the drag of a screen as open as the cell's stretch is in the mean. A solid area narrower than
/// two cells raises every cell its outline crosses, a wider one those it covers by half. `fine` is the DEM's
/// grid.
void add_standing(const std::vector<Obstacle>& standing, const Grid& fine, const Blocks& blocks,
                  CanopySum& canopy, NightSurface& surface);

/// Spreads each fan's heat evenly over its disc; what falls outside the grid is lost to it.
void add_fans(const std::vector<Fan>& fans, const Grid& coarse, NightSurface& surface);

}  // namespace lielow
