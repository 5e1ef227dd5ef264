# SPDX-License-Identifier: Apache-2.0
"""Cold air and named places on a picture, from the sites.gpkg of a run. For picture.py.

`shown` is picture.py's Map: its extent and its CRS are used.
"""
import numpy as np
from matplotlib import patches, patheffects
from osgeo import ogr, osr

PATH_COLOUR, PATH_CASING = "white", "#202020"


def features_of(sites, name, crs):
    """The features of a layer of sites.gpkg with their geometries in the picture's CRS; none where it isn't there."""
    layer_file = ogr.Open(str(sites)) if sites.exists() else None
    layer = layer_file.GetLayerByName(name) if layer_file else None
    found = []
    for feature in layer or ():
        source = layer.GetSpatialRef().Clone()
        source.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
        shape = feature.GetGeometryRef().Clone()
        shape.Transform(osr.CoordinateTransformation(source, crs))
        found.append((feature.items(), shape))
    return found


def draw_reference_spot(axes, sites, crs):
    """A star where sites.gpkg beside the rasters says that the reference spot lies."""
    for _, point in features_of(sites, "reference_spot", crs):
        axes.plot(point.GetX(), point.GetY(), marker="*", markersize=17, color="white", markeredgecolor="black",
                  linestyle="none", label="reference spot", zorder=6)


def draw_spots(axes, sites, crs):
    """A ring and a name for each named spot."""
    for values, point in features_of(sites, "spots", crs):
        axes.plot(point.GetX(), point.GetY(), marker="o", markersize=7, color="white", markeredgecolor="black",
                  linestyle="none", zorder=6)
        axes.annotate(values["name"], xy=(point.GetX(), point.GetY()), xytext=(7, -3), textcoords="offset points",
                      fontsize=8.5, path_effects=[patheffects.withStroke(linewidth=2.5, foreground="white")], zorder=7)


def draw_paths(axes, sites, shown):
    """The ways of the cold air, thin, each with an arrowhead or two, and a dot where it comes to rest."""
    size = 0.008 * max(shown.extent[1] - shown.extent[0], shown.extent[3] - shown.extent[2])
    ends = []
    lines = features_of(sites, "cold_paths", shown.crs)
    for values, line in lines:
        corners = np.array(line.GetPoints())[:, :2]
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
        axes.plot(*corners.T, color=PATH_CASING, linewidth=1.9, alpha=0.55, zorder=2.1, solid_capstyle="round")
        axes.plot(*corners.T, color=PATH_COLOUR, linewidth=0.9, zorder=2.2)
        heads = max(1, round(along[-1] / (30 * size)))
        for share in (np.arange(heads) + 0.6) / heads:
            tip, back = (np.array([np.interp(d, along, corners[:, k]) for k in (0, 1)])
                         for d in (share * along[-1], share * along[-1] - size))
            side = 0.42 * np.array([back[1] - tip[1], tip[0] - back[0]])
            axes.add_patch(patches.Polygon([tip, back + side, back - side], facecolor=PATH_COLOUR, edgecolor=PATH_CASING,
                                           linewidth=0.5, zorder=2.3))
        if values["ends"] == "comes to rest":
            ends.append(corners[-1])
    if lines:
        axes.plot([], [], color=PATH_COLOUR, linewidth=1.2, marker=">", markersize=5, markeredgecolor=PATH_CASING,
                  markeredgewidth=0.5, label="way of the cold air, mean of the night",
                  path_effects=[patheffects.withStroke(linewidth=2.6, foreground=PATH_CASING)])
    if ends:
        axes.plot(*np.array(ends).T, marker="o", markersize=4.5, color=PATH_COLOUR, markeredgecolor=PATH_CASING,
                  markeredgewidth=0.8, linestyle="none", zorder=2.4, label="comes to rest")


def draw_arrows(axes, sites, shown, speed_unit):
    """Flow arrows as long as the air is fast, with one below the map to measure them by.

    `speed_unit`: (scale from m/s, offset, name).
    """
    found = features_of(sites, "flow_arrows", shown.crs)
    if not found:
        return
    at = np.array([(point.GetX(), point.GetY()) for _, point in found])
    speed = np.array([values["speed_m_s"] for values, _ in found])
    to = np.radians([values["goes_to_deg"] for values, _ in found])
    scale, _, unit = speed_unit
    speed = speed * scale
    spacing = max(shown.extent[1] - shown.extent[0], shown.extent[3] - shown.extent[2]) / 30
    per_unit = 1.3 * spacing / max(np.percentile(speed, 98), 1e-9)  # map units for one unit of speed
    arrows = axes.quiver(*at.T, speed * np.sin(to), speed * np.cos(to), angles="xy", scale_units="xy",
                         scale=1 / per_unit, units="width", width=0.0022, headwidth=4.2, headlength=5, pivot="middle",
                         color="black", edgecolor="white", linewidth=0.35, zorder=2.5)
    round_speed = max(v for v in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20) if v == 0.1 or v <= np.percentile(speed, 98))
    axes.quiverkey(arrows, 0.62, -0.028, round_speed, f"the cold air goes this way at {round_speed:g} {unit}",
                   labelpos="W", coordinates="axes", fontproperties=dict(size=9), zorder=8)
