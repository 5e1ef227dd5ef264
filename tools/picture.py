#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Draws one result raster over the hillshaded ground as a PNG to hand on. Needs python3-gdal, numpy, matplotlib.

Usage: picture.py RASTER.tif PICTURE.png --site SITE.toml [--units us|si] [--title TEXT]
"""
import argparse
import dataclasses
import pathlib
import tomllib

import matplotlib
import numpy as np
import picture_classes
import picture_flow
import picture_looks
import picture_obstacles
import picture_remedies
import picture_sure
import picture_water
from osgeo import gdal, ogr, osr

matplotlib.use("Agg")
from matplotlib import figure, patches, patheffects  # noqa: E402

LARGEST = 1600  # pixels along the longer side
FOOT = 0.3048  # m


@dataclasses.dataclass
class Map:
    """Values on a north-up grid and where it lies."""
    values: np.ndarray
    extent: tuple  # west, east, south, north in the CRS's unit
    crs: osr.SpatialReference
    metres_per_unit: float
    told: str = ""  # what the band says of itself


def reference(wkt):
    crs = osr.SpatialReference()
    crs.SetFromUserInput(wkt)
    crs.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
    return crs


def read_map(path):
    """The raster, north-up, no larger than a picture needs; NaN where it holds nothing."""
    source = gdal.Open(str(path))
    shrink = max(1.0, max(source.RasterXSize, source.RasterYSize) / LARGEST)
    t = source.GetGeoTransform()
    cell = [shrink * np.hypot(t[1], t[4]), shrink * np.hypot(t[2], t[5])]
    north_up = gdal.Warp("", source, format="MEM", xRes=cell[0], yRes=cell[1], resampleAlg="near",
                         outputType=gdal.GDT_Float32, dstNodata=np.nan)
    t = north_up.GetGeoTransform()
    extent = (t[0], t[0] + t[1] * north_up.RasterXSize, t[3] + t[5] * north_up.RasterYSize, t[3])
    crs = reference(source.GetProjection())
    unit = crs.GetLinearUnits() if crs.IsProjected() else 111195.0 * np.cos(np.radians(np.mean(extent[2:])))
    return Map(north_up.ReadAsArray().astype(float), extent, crs, unit,
               source.GetRasterBand(1).GetMetadataItem("long_name") or "")


def titled(look, shown, site):
    """The look's title; of the flow with its time, which ends the raster's own description; of classes with the crop."""
    if look.quantity == "class":
        return look.title.replace("the crop", site.get("crop", {}).get("kind", "the crop"))
    return f"{look.title}: {shown.told.rsplit(', ', 1)[-1]}" if "arrows" in look.overlays and shown.told else look.title


def hillshade(dem_path, shown):
    """Light from the north-west on the ground, 0..1; slopes are stretched so that any ground shows its shape."""
    rows, cols = shown.values.shape
    west, east, south, north = shown.extent
    ground = gdal.Warp("", str(dem_path), format="MEM", outputBounds=(west, south, east, north), width=cols,
                       height=rows, dstSRS=shown.crs.ExportToWkt(["FORMAT=WKT2_2019"]), resampleAlg="bilinear",
                       outputType=gdal.GDT_Float32, dstNodata=np.nan)
    down, right = np.gradient(ground.ReadAsArray().astype(float))
    steepness = np.hypot(down, right)
    stretch = 0.45 / max(np.nanpercentile(steepness, 90), 1e-9)
    down, right = down * stretch, right * stretch
    azimuth, height = np.radians(315), np.radians(45)
    light = np.sin(height) + np.cos(height) * (down * np.cos(azimuth) - right * np.sin(azimuth))
    return np.clip(light / np.sqrt(1 + down**2 + right**2), 0, 1)


def top_of(shape):
    """Where the outline's upper side crosses its middle: a name above it hides nothing inside."""
    west, east, south, north = shape.GetEnvelope()
    middle = ogr.Geometry(ogr.wkbLineString)
    for y in (south, north):
        middle.AddPoint_2D((west + east) / 2, y)
    return (west + east) / 2, shape.Intersection(middle).GetEnvelope()[3]


def draw_fields(axes, path, crs):
    """Outlines with their names, reprojected."""
    layer_file = ogr.Open(str(path))
    layer = layer_file.GetLayer(0)
    change = picture_obstacles.transformation(layer, crs)
    halo = [patheffects.withStroke(linewidth=3, foreground="white")]
    for feature in layer:
        shape = feature.GetGeometryRef().Clone()
        shape.Transform(change)
        parts = [shape] if shape.GetGeometryName() == "POLYGON" else list(shape)
        for part in parts:
            corners = np.array(part.GetGeometryRef(0).GetPoints())[:, :2]
            axes.plot(*corners.T, color="white", linewidth=3.2, zorder=3)
            axes.plot(*corners.T, color="black", linewidth=1.4, zorder=4)
        if feature.GetFieldIndex("name") >= 0:
            axes.annotate(feature["name"], xy=top_of(shape), xytext=(0, 4), textcoords="offset points", ha="center",
                          fontsize=10, fontweight="bold", path_effects=halo, zorder=5)


def draw_site(axes, site, folder, crs):
    """Fields, belts and obstacles that the site file names; returns what the legend shall show."""
    ground = site["ground"]
    entries = []
    if "belts" in ground:
        entries += picture_obstacles.draw_obstacles(axes, folder / ground["belts"], crs, kind="tree belt")
    if "obstacles" in ground:
        entries += picture_obstacles.draw_obstacles(axes, folder / ground["obstacles"], crs)
    if "fields" in ground:
        draw_fields(axes, folder / ground["fields"], crs)
    return list({entry.get_label(): entry for entry in entries}.values())


def draw_scale_bar(axes, shown, units):
    """A bar of a round length, at most a quarter of the map, on a strip as wide as the map."""
    unit_metres, unit = (FOOT, "ft") if units == "us" else (1.0, "m")
    width = (shown.extent[1] - shown.extent[0]) * shown.metres_per_unit / unit_metres
    power = 10.0 ** np.floor(np.log10(width / 4))
    length = max(n * power for n in (1, 2, 5) if n * power <= width / 4)
    axes.set_axis_off()
    axes.set_xlim(0, width)
    axes.set_ylim(0, 1)
    for start, shade in ((0, "black"), (length / 2, "white")):
        axes.add_patch(patches.Rectangle((start, 0.62), length / 2, 0.3, facecolor=shade, edgecolor="black",
                                         clip_on=False))
    for at, text in ((0, "0"), (length / 2, f"{length / 2:,.0f}"), (length, f"{length:,.0f} {unit}")):
        axes.text(at, 0.5, text, ha="center", va="top", fontsize=9)


def draw_north(axes):
    axes.annotate("N", xy=(0.965, 0.985), xytext=(0.965, 0.885), xycoords="axes fraction", ha="center", va="center",
                  fontsize=13, fontweight="bold", zorder=6,
                  arrowprops=dict(arrowstyle="-|>,head_width=0.5,head_length=0.9", facecolor="black", linewidth=1.8),
                  path_effects=[patheffects.withStroke(linewidth=3, foreground="white")])


def paint(values, light, limits_ramp_norm):
    """The values' colours, shaded by the ground; bare ground stays grey."""
    _, ramp, norm = limits_ramp_norm
    grey = np.repeat((0.35 + 0.6 * light)[..., None], 3, axis=2)
    grey[np.isnan(light)] = 1.0
    tint = ramp(norm(np.nan_to_num(values)))[..., :3]
    shaded = tint * (0.62 + 0.45 * np.nan_to_num(light, nan=0.8))[..., None]
    return np.clip(np.where(np.isnan(values)[..., None], grey, shaded), 0, 1)


def sheet_for(rows, cols):
    """The page, with room in inches for titles above, the scale bar below and the colours to the right of the map."""
    inches = min(9.1 / cols, 8.2 / rows)
    width, height = max(cols * inches, 4.5), rows * inches
    page = np.array((width + 1.9, height + 1.2))
    sheet = figure.Figure(figsize=page, dpi=130)

    def place(left, bottom, wide, high):
        return sheet.add_axes((left / page[0], bottom / page[1], wide / page[0], high / page[1]))

    return (sheet, place(0.35, 0.5, width, height), place(0.35, 0.06, cols * inches, 0.38),
            place(cols * inches + 0.55, 0.5 + 0.1 * height, 0.25, 0.8 * height))


def draw_overlays(axes, look, shown, site, raster, speed_unit):
    """What the look says lies over the map, in its order."""
    sites, change_of = raster.resolve().parent.parent / "sites.gpkg", raster.resolve().parent.parent.name
    drawers = {
        "remedies": lambda: picture_remedies.draw_remedies(axes, site, change_of),
        "cold paths": lambda: picture_flow.draw_paths(axes, sites, shown),
        "arrows": lambda: picture_flow.draw_arrows(axes, sites, shown, speed_unit),
        "ways": lambda: picture_water.draw_ways(axes, sites, shown),
        "hollows": lambda: picture_water.draw_hollows(axes, sites, shown),
        "test spots": lambda: picture_sure.draw_test_spots(axes, sites, shown),
        "reference spot": lambda: picture_flow.draw_reference_spot(axes, sites, shown.crs),
        "named spots": lambda: picture_flow.draw_spots(axes, sites, shown.crs),
    }
    for overlay in look.overlays:
        drawers[overlay]()


def draw_titles(axes, title, site_title):
    for text, above, style in ((title, 26, dict(fontsize=15, fontweight="bold")), (site_title, 8, dict(fontsize=11, color="#444444"))):
        axes.annotate(text, xy=(0, 1), xytext=(0, above), xycoords="axes fraction", textcoords="offset points", **style)


def draw(raster, png, site_path, units=None, title=None):
    site = tomllib.loads(site_path.read_text(encoding="utf-8"))
    units = units or site.get("units", "us")
    look = picture_looks.look_of(raster.stem)
    scale, offset, unit = picture_looks.unit_of(look, units)
    shown = read_map(raster)
    names = []
    if look.quantity == "class":
        values, parts, names = picture_classes.bands(raster, shown.values)
    else:
        values = look.drawn(shown.values) * scale + offset
        parts = picture_looks.bands(values, look, units)

    sheet, axes, strip, bar = sheet_for(*values.shape)
    light = hillshade(site_path.parent / site["ground"]["dem"], shown)
    axes.imshow(paint(values, light, parts), extent=shown.extent, interpolation="nearest")
    axes.set_anchor("W")
    axes.set_xticks([])
    axes.set_yticks([])
    entries = draw_site(axes, site, site_path.parent, shown.crs)
    draw_overlays(axes, look, shown, site, raster, picture_looks.unit_of(picture_looks.LOOKS["flow_speed"], units))
    axes.set_xlim(*shown.extent[:2])
    axes.set_ylim(*shown.extent[2:])
    draw_scale_bar(strip, shown, units)
    strip.legend(handles=[*axes.get_legend_handles_labels()[0], *entries], loc="center right", ncol=3, fontsize=9, frameon=False,
                 borderaxespad=0, borderpad=0, columnspacing=1.4)
    draw_north(axes)
    draw_titles(axes, title or titled(look, shown, site) or raster.stem, site.get("title", ""))
    if names:
        picture_classes.colour_bar(sheet, bar, look, names, *parts)
    else:
        picture_looks.colour_bar(sheet, bar, look, unit, values, *parts)
    png.parent.mkdir(parents=True, exist_ok=True)
    sheet.savefig(png)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("raster", type=pathlib.Path)
    parser.add_argument("png", type=pathlib.Path)
    parser.add_argument("--site", type=pathlib.Path, required=True, help="site file: names the ground and the fields")
    parser.add_argument("--units", choices=picture_looks.UNITS, help="default: the site file's")
    parser.add_argument("--title")
    args = parser.parse_args()
    for module in (gdal, ogr, osr):
        module.UseExceptions()
    draw(args.raster, args.png, args.site, args.units, args.title)


if __name__ == "__main__":
    main()
