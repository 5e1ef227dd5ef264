# SPDX-License-Identifier: Apache-2.0
"""Draws what stands in the way of the air on a picture's axes, with an entry in its legend for each kind."""
import numpy as np
from matplotlib import lines, patches
from osgeo import ogr, osr

HALO = dict(color="white", solid_capstyle="butt", zorder=2)
# kind: how its line is drawn; an outline is hatched in the same colour
LINES = {
    "hedge": dict(color="#1b5e20", linewidth=3.0, linestyle=(0, (1.2, 0.5))),
    "tree belt": dict(color="#1b5e20", linewidth=4.5, linestyle=(0, (0.6, 0.4))),
    "fence": dict(color="black", linewidth=1.6, linestyle=(0, (4, 1.5))),
    "wall": dict(color="black", linewidth=2.6, linestyle="solid"),
    "bank": dict(color="#6d4c41", linewidth=4.5, linestyle="solid"),
}
MARKERS = {
    "gap": dict(marker="D", color="white", markersize=7),
    "culvert": dict(marker="s", color="#4fc3f7", markersize=7),
    "bridge": dict(marker="s", color="white", markersize=7),
    "fan": dict(marker="P", color="#ff7043", markersize=10),
}


def transformation(layer, crs):
    source = layer.GetSpatialRef().Clone()
    source.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
    return osr.CoordinateTransformation(source, crs)


def parts_of(shape):
    """Its points, lines and polygons one by one."""
    flat = shape.GetLinearGeometry()
    return [flat] if flat.GetGeometryCount() == 0 or ogr.GT_Flatten(flat.GetGeometryType()) == ogr.wkbPolygon else [
        part for child in flat for part in parts_of(child)]


def draw_outline(axes, part, kind):
    corners = np.array(part.GetGeometryRef(0).GetPoints())[:, :2]
    shade = LINES.get(kind, {}).get("color", "black")
    face = "none" if kind == "gap" else "#ffffff80"
    axes.add_patch(patches.Polygon(corners, facecolor=face, edgecolor=shade, hatch=None if kind == "gap" else "xxxx",
                                   linewidth=0.8, zorder=2))


def draw_part(axes, part, kind):
    """One point, line or outline."""
    shape = ogr.GT_Flatten(part.GetGeometryType())
    if shape == ogr.wkbPolygon:
        draw_outline(axes, part, kind)
        return
    points = np.array(part.GetPoints())[:, :2]
    if shape == ogr.wkbLineString and kind in LINES:
        style = LINES[kind]
        axes.plot(*points.T, linewidth=style["linewidth"] + 2, **HALO)
        axes.plot(*points.T, zorder=3, dash_capstyle="butt", **style)
        return
    axes.plot(*points.mean(axis=0), linestyle="none", markeredgecolor="black", zorder=5, **MARKERS.get(kind, MARKERS["gap"]))


def entry(kind, outline):
    """What the legend shows for a kind: an outline where only outlines of it were met."""
    if kind in MARKERS:
        return lines.Line2D([], [], linestyle="none", markeredgecolor="black", label=kind, **MARKERS[kind])
    if outline:
        return patches.Patch(facecolor="#ffffff80", edgecolor=LINES[kind]["color"], hatch="xxxx", linewidth=0.8, label=kind)
    return lines.Line2D([], [], label=kind, **LINES[kind])


def draw_obstacles(axes, path, crs, kind=None):
    """Draws a file's shapes, each of the kind its attribute says unless `kind` does; returns entries for the legend."""
    met = {}
    data = ogr.Open(str(path))
    for layer in data:
        if kind is None and layer.GetLayerDefn().GetFieldIndex("kind") < 0:
            continue
        change = transformation(layer, crs)
        for feature in layer:
            shape = feature.GetGeometryRef().Clone()
            shape.Transform(change)
            name = kind or feature["kind"].lower().replace("_", " ")
            for part in parts_of(shape):
                draw_part(axes, part, name)
                outline = ogr.GT_Flatten(part.GetGeometryType()) == ogr.wkbPolygon
                met[name] = met.get(name, True) and outline
    return [entry(name, met[name]) for name in (*LINES, *MARKERS) if name in met]
