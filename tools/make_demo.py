#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Makes the invented farm of demo-dem/: ground and wider ground, fields, belts, obstacles, soil, tests.csv and station.csv. Needs python3-gdal and numpy.

Usage: make_demo.py [FOLDER]   (default: demo-dem/ beside tools/)
"""
import argparse
import pathlib

import numpy as np
from osgeo import gdal, ogr, osr

import demo_ground
import demo_soil
import demo_station

CELL = 2.0  # m
WIDE_CELL, WIDE_MARGIN = 40.0, 1400.0  # m, of the coarser ground around the farm
EAST, NORTH = 500000.0, 4400000.0  # m, south-west corner: round numbers, no real farm lies behind them
CRS, CRS_WITH_HEIGHT = "EPSG:26917", "EPSG:26917+5703"  # NAD83 / UTM 17N; NAVD88 height in metres

# Corners in metres east and north of the south-west corner.
FIELDS = {
    "Top Rail": [(955, 925), (1000, 1060), (1185, 1062), (1225, 985), (1190, 905), (1060, 890)],
    "Shelf Piece": [(270, 800), (262, 905), (330, 945), (455, 925), (520, 880), (505, 800), (430, 770), (340, 770)],
    "Kettle Piece": [(570, 655), (545, 765), (590, 810), (700, 795), (735, 700), (720, 645), (640, 632)],
    "Long Swale": [(560, 470), (655, 500), (740, 440), (860, 415), (985, 425), (985, 335), (860, 315), (700, 340)],
    "Low Gate": [(1130, 265), (1120, 400), (1200, 390), (1270, 330), (1302, 265), (1292, 150), (1190, 165)],
}
BELT = dict(name="Lower belt", height="40 ft", openness=0.35, width_m=16.0,
            middle=[(1303, 72), (1316, 190), (1322, 275), (1311, 420)])


HEDGE = dict(name="Swale hedge", kind="hedge", height="12 ft", openness=0.3, line=[(1050, 205), (1062, 330), (1040, 470)])
GATE = dict(name="Swale gate", kind="gap", width="16 ft", at=(1061.1, 336))  # where the drainage way runs through


def centres(cell, margin):
    x = np.arange(-margin + cell / 2, demo_ground.WIDTH + margin, cell)
    y = np.arange(demo_ground.HEIGHT + margin - cell / 2, -margin, -cell)
    return np.meshgrid(x, y)


def resampled(z, cell, margin, bounds, new_cell, rule):
    """Ground within bounds (west, south, east, north) on other cells."""
    coarse = gdal.GetDriverByName("MEM").Create("", z.shape[1], z.shape[0], 1, gdal.GDT_Float64)
    coarse.SetGeoTransform((-margin, cell, 0, demo_ground.HEIGHT + margin, 0, -cell))
    coarse.GetRasterBand(1).WriteArray(z)
    other = gdal.Warp("", coarse, format="MEM", outputBounds=bounds, xRes=new_cell, yRes=new_cell, resampleAlg=rule)
    return other.ReadAsArray()


def weathered_near():
    x, y = centres(demo_ground.COARSE, demo_ground.MARGIN)
    return demo_ground.weather(demo_ground.skeleton(x, y), demo_ground.COARSE)


def make_ground(near):
    bounds = (0, 0, demo_ground.WIDTH, demo_ground.HEIGHT)
    # A cubic spline leaves no trace of the coarse grid.
    z = resampled(near, demo_ground.COARSE, demo_ground.MARGIN, bounds, CELL, "cubicspline")
    x, y = centres(CELL, 0.0)
    z = demo_ground.small_forms(demo_ground.with_hollow(z, x, y), x, y)
    return np.round(z, 2).astype(np.float32)


def make_wide_ground(near):
    """The same skeleton weathered on coarse cells, the farm's own ground where it lies, and a strip that joins both."""
    x, y = centres(WIDE_CELL, WIDE_MARGIN)
    z = demo_ground.weather(demo_ground.skeleton(x, y), WIDE_CELL)
    west, south, east, north = -200, -220, 1600, 1300  # sides of wide cells within the near ground
    outside = np.maximum(np.maximum(-x, x - demo_ground.WIDTH), np.maximum(-y, y - demo_ground.HEIGHT))
    inside = np.ix_((y[:, 0] > south) & (y[:, 0] < north), (x[0] > west) & (x[0] < east))
    share = demo_ground.smooth_step(outside[inside] / 180)
    averaged = resampled(near, demo_ground.COARSE, demo_ground.MARGIN, (west, south, east, north), WIDE_CELL, "average")
    z[inside] = share * z[inside] + (1 - share) * averaged
    return np.round(z, 1).astype(np.float32)


def reference(code):
    crs = osr.SpatialReference()
    crs.SetFromUserInput(code)
    return crs


def write_dem(path, z, cell, margin, description):
    options = ["TILED=YES", "COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=9"]
    dem = gdal.GetDriverByName("GTiff").Create(str(path), z.shape[1], z.shape[0], 1, gdal.GDT_Float32, options)
    dem.SetGeoTransform((EAST - margin, cell, 0, NORTH + demo_ground.HEIGHT + margin, 0, -cell))
    dem.SetProjection(reference(CRS_WITH_HEIGHT).ExportToWkt(["FORMAT=WKT2_2019"]))
    band = dem.GetRasterBand(1)
    band.SetDescription(description)
    band.SetUnitType("m")
    band.WriteArray(z)


def polygon(corners):
    ring = ogr.Geometry(ogr.wkbLinearRing)
    for x, y in [*corners, corners[0]]:
        ring.AddPoint_2D(EAST + x, NORTH + y)
    shape = ogr.Geometry(ogr.wkbPolygon)
    shape.AddGeometry(ring)
    return shape


def write_shapes(path, layer_name, columns, records, kind=ogr.wkbPolygon):
    path.unlink(missing_ok=True)
    data = ogr.GetDriverByName("GPKG").CreateDataSource(str(path))
    layer = data.CreateLayer(layer_name, reference(CRS), kind)
    for name, kind in columns:
        layer.CreateField(ogr.FieldDefn(name, kind))
    for values, shape in records:
        feature = ogr.Feature(layer.GetLayerDefn())
        for (name, _), value in zip(columns, values):
            feature[name] = value
        feature.SetGeometry(shape)
        layer.CreateFeature(feature)


def line(corners):
    shape = ogr.Geometry(ogr.wkbLineString)
    for x, y in corners:
        shape.AddPoint_2D(EAST + x, NORTH + y)
    return shape


def point(x, y):
    shape = ogr.Geometry(ogr.wkbPoint)
    shape.AddPoint_2D(EAST + x, NORTH + y)
    return shape


def obstacle_records(columns):
    return [([thing.get(name) for name, _ in columns], shape)
            for thing, shape in ((HEDGE, line(HEDGE["line"])), (GATE, point(*GATE["at"])))]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", type=pathlib.Path,
                        default=pathlib.Path(__file__).resolve().parent.parent / "demo-dem")
    folder = parser.parse_args().folder
    folder.mkdir(parents=True, exist_ok=True)
    gdal.UseExceptions()
    ogr.UseExceptions()
    osr.UseExceptions()
    gdal.SetConfigOption("OGR_CURRENT_DATE", "2026-01-01T00:00:00.000Z")  # else every run gives another file
    near = weathered_near()
    write_dem(folder / "dem.tif", make_ground(near), CELL, 0.0, "ground elevation of an invented farm")
    write_dem(folder / "wide.tif", make_wide_ground(near), WIDE_CELL, WIDE_MARGIN, "ground around an invented farm")
    names = [("name", ogr.OFTString)]
    write_shapes(folder / "fields.gpkg", "fields", names, [((n,), polygon(c)) for n, c in FIELDS.items()])
    columns = [*names, ("height", ogr.OFTString), ("openness", ogr.OFTReal)]
    write_shapes(folder / "belts.gpkg", "belts", columns,
                 [([BELT[n] for n, _ in columns], line(BELT["middle"]).Buffer(BELT["width_m"] / 2, 4))])
    columns = [("kind", ogr.OFTString), *columns, ("width", ogr.OFTString)]
    write_shapes(folder / "obstacles.gpkg", "obstacles", columns, obstacle_records(columns), ogr.wkbUnknown)
    columns = [(n, ogr.OFTString if n in demo_soil.TEXTS else ogr.OFTReal) for n in demo_soil.COLUMNS]
    write_shapes(folder / "soil.gpkg", "soils", columns, [(v, polygon(c)) for c, v in demo_soil.outlines()])
    demo_soil.write_tests(folder / "tests.csv")
    demo_station.write_station(folder / "station.csv")


if __name__ == "__main__":
    main()
