#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Draws one result raster over the hillshaded ground as a PNG to hand on. Needs python3-gdal, numpy, matplotlib.

Usage: picture.py RASTER.tif PICTURE.png --site SITE.toml [--units us|si] [--title TEXT]
"""
import argparse
import dataclasses
import pathlib
import textwrap
import tomllib

import matplotlib
import numpy as np
import picture_classes
import picture_flow
import picture_obstacles
import picture_remedies
import picture_sure
import picture_water
from osgeo import gdal, ogr, osr

matplotlib.use("Agg")
from matplotlib import colors, figure, patches, patheffects, ticker  # noqa: E402

LARGEST = 1600  # pixels along the longer side
FOOT = 0.3048  # m
ACRE = 43560 * FOOT**2  # m2


@dataclasses.dataclass(frozen=True)
class Look:
    """How one raster is shown; `colder`/`deeper` ground is always the darker end of the ramp."""
    title: str
    label: str
    ramp: str
    kind: str  # a key of UNITS
    from_zero: bool = False  # nothing is drawn where the value is 0
    least: float = 0  # nor where it is no greater, SI
    limits: tuple = ()  # of the classes, as shown; () = round ones that fit the values
    flow: str = ""  # of the cold air: "paths", "arrows" or nothing
    both_ways: bool = False  # a change: nothing is drawn where it is no greater than `least` either way
    turns: bool = False  # degrees of a circle
    water: tuple = ()  # drawn over it: "ways", "hollows", "test_spots"


LOSS_LIMITS = (0, 10, 25, 50, 75, 90, 100)  # %; 10 and 90 are the two that tables of critical temperatures have
YEARS_LIMITS = (1, 2, 3, 5, 10, 20, 50, 100)
TABLE_LIMITS = (0, 0.25, 0.5, 1, 1.5, 2, 3, 4, 6, 8)  # ft or m, the same for the three days
LOOKS = {
    "night_offset": Look("Colder or warmer than the reference spot", "against the reference spot", "cividis",
                         "difference", flow="paths"),
    "night_low": Look("Lowest air temperature of the night at plant height", "lowest air temperature", "cividis",
                      "temperature", flow="paths"),
    "night_low_hour": Look("When it is coldest", "hours after sunset", "viridis", "time"),
    "hours_below": Look("Hours of the night below", "time below", "plasma_r", "time", True, flow="paths"),
    "cold_depth": Look("Depth of the cold air at the night's end", "depth of cold air", "viridis_r", "length",
                       flow="paths"),
    "flow_speed": Look("How fast the cold air moves, and where to", "speed near the ground", "YlGnBu", "speed",
                       flow="arrows"),
    "flow_from": Look("Where the cold air comes from", "direction it comes from", "twilight", "degrees",
                      limits=tuple(np.arange(0, 361, 22.5)), flow="arrows", turns=True),
    # Not cividis here: its middle is as grey as bare ground.
    "frost_hours": Look("Hours of the night in which flowers are at risk",
                        "time below the critical temperature; grey: none", "plasma_r", "time", True),
    "loss_share": Look("Share of the flowers killed that night", "flowers killed", "plasma_r", "share",
                       limits=LOSS_LIMITS),
    "loss_years": Look("One damaging spring in so many years", "one spring in; grey: rarer", "plasma", "years",
                       limits=YEARS_LIMITS),
    "loss_years_low": Look("One damaging spring in so many years: as often as that it may be",
                           "low end of 95 %, one spring in; grey: rarer", "plasma", "years", limits=YEARS_LIMITS),
    "loss_years_high": Look("One damaging spring in so many years: as rarely as that it may be",
                            "high end of 95 %, one spring in; grey: rarer", "plasma", "years",
                            limits=YEARS_LIMITS),
    "fill_stage": Look("Stage at which the ground goes under", "stage above the low point", "viridis", "length"),
    "fill_depth": Look("Depth of water at the stage asked for", "depth of water", "viridis_r", "length", True),
    "field_fill_stage": Look("Stage at which the fields go under, each from its own low point",
                             "stage above the field's low point", "viridis", "length"),
    "field_fill_depth": Look("Depth of water in the fields, each from its own low point", "depth of water", "viridis_r",
                             "length", True),
    "drain_days": Look("Days after the storm until the root zone is free of water", "days; grey: never wet", "plasma_r",
                       "days", True),
    "drain_days_with_pipes": Look("The same if pipes lay in every field", "days; grey: never wet", "plasma_r", "days",
                                  True),
    "water_table_day1": Look("Water table a day after the storm", "depth below the surface", "viridis", "length",
                            limits=TABLE_LIMITS),
    "water_table_day2": Look("Water table 2 days after the storm", "depth below the surface", "viridis", "length",
                            limits=TABLE_LIMITS),
    "water_table_day7": Look("Water table 7 days after the storm", "depth below the surface", "viridis", "length",
                            limits=TABLE_LIMITS),
    "hollow_depth": Look("Closed hollows, filled to the spill", "depth below the spill level", "viridis_r", "length",
                         True, water=("hollows",)),
}
LOOKS |= {
    "storm_depth": Look("Water of the storm, and the ways by which it drains", "depth of water; grey: dry or a film",
                        "viridis_r", "length", True, least=0.01, water=("hollows", "ways")),
    "storm_hours": Look("Hours under more than an inch of the storm's water", "time; grey: none", "viridis_r", "time", True),
    "storm_speed": Look("Greatest speed of the storm's water", "speed; grey: shallow", "viridis_r", "speed", True),
    "wetness_index": Look("Wetness index: where water gathers and slopes are gentle", "ln(a / tan slope)", "viridis_r",
                          "number", water=("ways",)),
    "drainage_way": Look("Ground that drains through each place", "upslope area", "viridis_r", "area",
                         limits=(0, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 20, 100), water=("ways",)),
    "soil_drainage": Look("Natural drainage class, by soil survey and field tests",
                          "0 excessively, 1 somewhat excessively, 2 well, 3 moderately well,\n4 somewhat poorly, 5 poorly, "
                          "6 very poorly, 7 subaqueous", "viridis_r", "number", limits=tuple(range(9))),
    "soil_water_table": Look("Shallowest water table in spring, by soil survey and field tests",
                             "depth below the surface; grey: not known", "viridis", "length"),
    "height_above_way": Look("Height above the drainage way", "height; grey: drains off the map", "viridis", "length",
                             limits=(0, 1, 2, 5, 10, 20, 40, 80, 160), water=("ways",)),
}
LOOKS |= {
    "siting": Look("Where the crop can be planted", "", "", "classes"),
    # Dark at both ends, where the runs agree, and pale between.
    "not_here_share": Look("How sure it is that the ground is not for the crop", "runs that say not here; pale: they differ", "PuOr_r",
                           "share", limits=(0, 5, 20, 40, 60, 80, 95, 100), water=("test_spots",)),
    "night_offset_spread": Look("How far the runs differ on the cold of each place", "up or down, one standard deviation",
                                "viridis_r", "difference", water=("test_spots",)),
    "siting_reason": Look("What decides where the crop can be planted", "", "", "classes"),
}
# Changes by a remedy (lielow compare): colder and wetter are blue and blue-green, in whatever sign that is.
LOOKS |= {
    "night_low_change": Look("Colder or warmer with the remedy", "change of the lowest temperature; grey: within 0.1",
                             "RdBu_r", "difference", least=0.1 / 1.8, flow="paths", both_ways=True,
                             limits=(-4, -2, -1, -0.5, -0.25, -0.1, 0.1, 0.25, 0.5, 1, 2, 4)),
    "loss_share_change": Look("More or fewer flowers killed with the remedy", "change; grey: within 1 %", "PuOr_r", "share",
                              least=0.01, both_ways=True, limits=(-100, -50, -25, -10, -5, -1, 1, 5, 10, 25, 50, 100)),
    "storm_depth_change": Look("The storm's water with the remedy", "change of its depth; grey: within ¼ in (6 mm)", "BrBG",
                               "length", least=0.00635, both_ways=True, limits=(-4, -2, -1, -0.5, -0.1, 0.1, 0.5, 1, 2, 4)),
    "hollow_depth_change": Look("Closed hollows with the remedy", "change of their depth; grey: none", "BrBG", "length",
                                least=0.001, both_ways=True, limits=(-4, -2, -1, -0.5, -0.1, 0.1, 0.5, 1, 2, 4)),
    "fill_stage_change": Look("Stage at which the ground goes under, with the remedy", "change; grey: none", "BrBG_r", "length",
                              least=0.001, both_ways=True, limits=(-8, -4, -2, -1, -0.1, 0.1, 1, 2, 4, 8)),
    "drain_days_change": Look("Days until the root zone is free of water with the remedy", "change; grey: within ¼ day", "BrBG",
                              "days", least=0.25, both_ways=True, limits=(-14, -7, -3, -1, -0.25, 0.25, 1, 3, 7, 14)),
}
PLAIN = Look("", "value", "viridis", "plain")
ALIKE = {"time": (1, 0, "h"), "share": (100, 0, "%"), "years": (1, 0, "years"),
         "days": (1, 0, "days"), "degrees": (1, 0, "degrees"), "number": (1, 0, "")}
UNITS = {  # kind: (scale, offset, unit) from SI
    "us": {"length": (1 / FOOT, 0, "ft"), "area": (1 / ACRE, 0, "acres"), "difference": (1.8, 0, "°F"), "temperature": (1.8, 32, "°F"),
           "speed": (3600 / (5280 * FOOT), 0, "mph"), **ALIKE},
    "si": {"length": (1, 0, "m"), "area": (1e-4, 0, "ha"), "difference": (1, 0, "K"), "temperature": (1, 0, "°C"),
           "speed": (1, 0, "m/s"), **ALIKE},
}


def look_of(name):
    """The look of a raster; hours_below_32_degf is one of hours_below."""
    if name.startswith("hours_below_"):
        number, unit = name.removeprefix("hours_below_").removesuffix("_degf").removesuffix("_degc"), name[-1].upper()
        number = number.replace("minus_", "−").replace("_", ".")
        look = LOOKS["hours_below"]
        return dataclasses.replace(look, title=f"{look.title} {number} °{unit}", label=f"{look.label} {number} °{unit}; grey: none")
    return LOOKS.get(name, PLAIN)


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
    if look.kind == "classes":
        return look.title.replace("the crop", site.get("crop", {}).get("kind", "the crop"))
    return f"{look.title}: {shown.told.rsplit(', ', 1)[-1]}" if look.flow == "arrows" and shown.told else look.title


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


def round_limits(values, from_zero):
    """About ten round class limits that hold all but the outermost values."""
    low, high = np.nanpercentile(values, [0.5, 99.5]) if np.isfinite(values).any() else (0, 1)
    if from_zero:
        low = 0.0
    if high - low < 1e-6:
        low, high = low - 0.5, high + 0.5
    return ticker.MaxNLocator(nbins=9, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)


def bands(values, look):
    """Class limits, the look's own or round ones, and the colours between."""
    limits = np.array(look.limits) if look.limits else round_limits(values, look.from_zero)
    ramp = matplotlib.colormaps[look.ramp].resampled(256)
    beyond_low, beyond_high = np.nanmin(values) < limits[0], np.nanmax(values) > limits[-1]
    extend = {(0, 0): "neither", (1, 0): "min", (0, 1): "max", (1, 1): "both"}[(int(beyond_low), int(beyond_high))]
    return limits, ramp, colors.BoundaryNorm(limits, ramp.N, extend=extend)


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


def draw(raster, png, site_path, units=None, title=None):
    site = tomllib.loads(site_path.read_text(encoding="utf-8"))
    units = units or site.get("units", "us")
    look = look_of(raster.stem)
    scale, offset, unit = UNITS[units].get(look.kind, (1, 0, ""))
    shown = read_map(raster)
    values = shown.values * scale + offset
    if look.from_zero:
        values[values <= look.least * scale] = np.nan
    if look.both_ways:
        values[np.abs(values) <= look.least * scale] = np.nan
    names = []
    if look.kind == "classes":
        values, parts, names = picture_classes.bands(raster, values)
    else:
        parts = bands(values, look)
    limits, ramp, norm = parts
    light = hillshade(site_path.parent / site["ground"]["dem"], shown)

    sheet, axes, strip, bar = sheet_for(*values.shape)
    axes.imshow(paint(values, light, parts), extent=shown.extent, interpolation="nearest")
    axes.set_anchor("W")
    axes.set_xticks([])
    axes.set_yticks([])
    entries = draw_site(axes, site, site_path.parent, shown.crs)
    sites = raster.resolve().parent.parent / "sites.gpkg"
    if look.both_ways:
        picture_remedies.draw_remedies(axes, site, raster.resolve().parent.parent.name)
    if look.flow == "paths":
        picture_flow.draw_paths(axes, sites, shown)
    elif look.flow == "arrows":
        picture_flow.draw_arrows(axes, sites, shown, UNITS[units]["speed"])
    if "ways" in look.water:
        picture_water.draw_ways(axes, sites, shown)
    if "test_spots" in look.water:
        picture_sure.draw_test_spots(axes, sites, shown)
    if "hollows" in look.water:
        picture_water.draw_hollows(axes, sites, shown)
    if look.kind == "difference":
        picture_flow.draw_reference_spot(axes, sites, shown.crs)
    if look.flow:
        picture_flow.draw_spots(axes, sites, shown.crs)
    axes.set_xlim(*shown.extent[:2])
    axes.set_ylim(*shown.extent[2:])
    draw_scale_bar(strip, shown, units)
    strip.legend(handles=[*axes.get_legend_handles_labels()[0], *entries], loc="center right", ncol=3, fontsize=9, frameon=False,
                 borderaxespad=0, borderpad=0, columnspacing=1.4)
    draw_north(axes)
    for text, above, style in ((title or titled(look, shown, site) or raster.stem, 26, dict(fontsize=15, fontweight="bold")),
                               (site.get("title", ""), 8, dict(fontsize=11, color="#444444"))):
        axes.annotate(text, xy=(0, 1), xytext=(0, above), xycoords="axes fraction", textcoords="offset points", **style)
    scale = sheet.colorbar(matplotlib.cm.ScalarMappable(norm=norm, cmap=ramp), cax=bar, ticks=limits, format="%g",
                           spacing="uniform" if look.limits else "proportional",
                           label=f"{look.label} ({unit})" if unit else look.label)
    if names:
        scale.set_ticks(range(len(names)), labels=["\n".join(textwrap.wrap(name, 11)) for name in names], minor=False)
        scale.ax.tick_params(which="both", length=0)
        scale.ax.invert_yaxis()  # the first class on top
    if look.turns:
        scale.set_ticks(np.arange(0, 361, 45), labels=["N", "NE", "E", "SE", "S", "SW", "W", "NW", "N"], minor=False)
        scale.set_label(look.label)
    png.parent.mkdir(parents=True, exist_ok=True)
    sheet.savefig(png)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("raster", type=pathlib.Path)
    parser.add_argument("png", type=pathlib.Path)
    parser.add_argument("--site", type=pathlib.Path, required=True, help="site file: names the ground and the fields")
    parser.add_argument("--units", choices=UNITS, help="default: the site file's")
    parser.add_argument("--title")
    args = parser.parse_args()
    for module in (gdal, ogr, osr):
        module.UseExceptions()
    draw(args.raster, args.png, args.site, args.units, args.title)


if __name__ == "__main__":
    main()
