# SPDX-License-Identifier: Apache-2.0
"""The catalogue's item of a run, and where results lie; run by test_gis.py, which shares its run."""
import datetime
import hashlib
import json
import pathlib

import jsonschema
import numpy
import rasterio
from osgeo import gdal, ogr, osr

from cli_case import Cli, rolling_ground
from gis_case import Gis


class Catalogue(Gis):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.item = json.loads((cls.out / "rasters/stac-item.json").read_text())

    def test_the_item_follows_the_standard(self):
        schema = json.loads((pathlib.Path(__file__).parent / "stac_item.schema.json").read_text())
        jsonschema.Draft7Validator.check_schema(schema)
        jsonschema.Draft7Validator(schema).validate(self.item)

    def test_a_broken_item_is_refused(self):
        schema = json.loads((pathlib.Path(__file__).parent / "stac_item.schema.json").read_text())
        validator = jsonschema.Draft7Validator(schema)
        for path, value in ((("bbox",), [1, 2, 3]), (("properties", "datetime"), None), (("id",), ""),
                            (("assets", "siting", "bands", 0, "classification:classes", 0, "name"), "not here"),
                            (("properties", "datetime"), "2026-04-18"), (("geometry",), None)):
            broken = json.loads(json.dumps(self.item))
            at = broken
            for key in path[:-1]:
                at = at[key]
            at[path[-1]] = value
            if value is None and path[-1] == "datetime":
                del at["start_datetime"]
            self.assertFalse(validator.is_valid(broken), path)

    def test_it_lies_where_the_rasters_lie(self):
        source = gdal.Open(str(self.rasters[0]))
        system = source.GetSpatialRef()
        earth = osr.SpatialReference()
        earth.ImportFromEPSG(4326)
        earth.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
        to_earth = osr.CoordinateTransformation(system, earth)
        west, south, east, north = to_earth.TransformBounds(500000, 4399880, 500160, 4400000, 21)
        self.assertLess(west, -80)  # longitude first
        for told, wanted in zip(self.item["bbox"], (west, south, east, north)):
            self.assertAlmostEqual(told, wanted, delta=1.1e-7)
        [ring] = self.item["geometry"]["coordinates"]
        self.assertEqual(ring[0], ring[-1])
        corners = [to_earth.TransformPoint(x, y)[:2] for x, y in ((500000, 4399880), (500160, 4399880),
                                                                  (500160, 4400000), (500000, 4400000))]
        for corner in corners:
            self.assertTrue(any(numpy.allclose(corner, point, rtol=0, atol=1.1e-7) for point in ring[:4]), corner)
        turn = sum((x1 - x0) * (y1 + y0) for (x0, y0), (x1, y1) in zip(ring, ring[1:]))
        self.assertLess(turn, 0)  # counterclockwise
        properties = self.item["properties"]
        self.assertEqual(properties["proj:code"], "EPSG:26917")
        self.assertEqual(properties["proj:shape"], [60, 80])
        self.assertEqual(properties["proj:transform"], [2, 0, 500000, 0, -2, 4400000])
        other = osr.SpatialReference(properties["proj:wkt2"])
        self.assertTrue(other.IsSame(system))

    def test_its_time_is_the_nights(self):
        """Within minutes of the sunrise equation, the sun's declination and the equation of time from an almanac's
        rounded values of mid April (from memory)."""
        properties = self.item["properties"]
        latitude, declination = numpy.radians([39.75, 10.9])
        half_day = numpy.degrees(numpy.arccos((numpy.sin(numpy.radians(-0.833)) - numpy.sin(latitude)
                                               * numpy.sin(declination)) / numpy.cos(latitude)
                                              / numpy.cos(declination))) / 15
        noon = 12 + 81 / 15 - 0.6 / 60
        self.assertEqual(properties["datetime"], properties["start_datetime"])
        day = datetime.datetime(2026, 4, 18, tzinfo=datetime.timezone.utc)
        for key, hours in (("start_datetime", noon + half_day), ("end_datetime", 24 + noon - half_day)):
            told = datetime.datetime.strptime(properties[key], "%Y-%m-%dT%H:%M:%S%z")
            self.assertAlmostEqual((told - day).total_seconds() / 3600, hours, delta=0.08)

    def test_each_raster_is_told_of_as_it_is(self):
        assets = self.item["assets"]
        self.assertEqual({a for a in assets if assets[a]["href"].endswith(".tif")}, {p.stem for p in self.rasters})
        for path in self.rasters:
            asset = assets[path.stem]
            self.assertEqual((self.out / "rasters" / asset["href"]).resolve(), path.resolve())
            self.assertEqual(asset["file:checksum"], "1220" + hashlib.sha256(path.read_bytes()).hexdigest())
            [told] = asset["bands"]
            with rasterio.open(path) as source:
                self.assertEqual((told["nodata"], told["data_type"]), (source.nodata, source.dtypes[0]))
                self.assertEqual(told.get("unit"), source.units[0])
                values = source.read(1, masked=True).astype("float64").compressed()
            if values.size:
                self.assertAlmostEqual(told["statistics"]["minimum"], values.min(), places=4)
                self.assertAlmostEqual(told["statistics"]["maximum"], values.max(), delta=1e-6 * abs(values.max()))
            self.assertEqual("classification:classes" in told, path in self.classes)
        self.assertEqual([c["color_hint"] for c in assets["siting"]["bands"][0]["classification:classes"]][:1],
                         ["2678A8"])

    def test_its_files_are_there(self):
        for asset in self.item["assets"].values():
            self.assertFalse(pathlib.PurePath(asset["href"]).is_absolute())
            self.assertTrue((self.out / "rasters" / asset["href"]).is_file(), asset["href"])


class Places(Cli):
    """Grounds whose CRS has latitude or north first, and heights in feet."""
    def run_on(self, epsg, transform, vertical=None, unit="m"):
        z = rolling_ground(60, 80)
        raster = gdal.GetDriverByName("GTiff").Create(str(self.folder / "dem.tif"), 80, 60, 1, gdal.GDT_Float32)
        raster.SetGeoTransform(transform)
        system = osr.SpatialReference()
        system.SetFromUserInput(f"EPSG:{epsg}+{vertical}" if vertical else f"EPSG:{epsg}")
        raster.SetSpatialRef(system)
        raster.GetRasterBand(1).SetUnitType(unit)
        raster.GetRasterBand(1).WriteArray(z / 0.3048 if vertical else z)
        del raster
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\n[water]\nstage = "5 ft"\n')
        result = self.lielow("run", "farm.toml", "--only", "water", "--out", "out", "--quiet")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.item = json.loads((self.folder / "out/rasters/stac-item.json").read_text())
        return gdal.Open(str(self.folder / "out/rasters/fill_stage.tif"))

    def assert_layers_lie_inside(self, raster):
        west, step, _, north, _, down = raster.GetGeoTransform()
        source = ogr.Open(str(self.folder / "out/sites.gpkg"))
        least_x, most_x, least_y, most_y = source.GetLayerByName("fields").GetExtent()
        self.assertAlmostEqual(least_x, west, delta=2 * step)
        self.assertAlmostEqual(most_y, north, delta=2 * step)
        self.assertAlmostEqual(most_x, west + step * raster.RasterXSize, delta=2 * step)
        self.assertAlmostEqual(least_y, north + down * raster.RasterYSize, delta=2 * step)

    def test_latitude_and_longitude_and_feet(self):
        degree = 1 / 54000  # about 2 m
        raster = self.run_on(4326, (-81, degree, 0, 39.75, 0, -degree), vertical=6360, unit="US survey foot")
        system = raster.GetSpatialRef()
        self.assertTrue(system.IsProjected() and not system.IsCompound())
        band = raster.GetRasterBand(1)
        self.assertEqual(band.GetUnitType(), "m")
        # The highest cell goes under last; feet would make it 3.3 times as much. Bringing the ground to a
        # projected grid blunts it a little.
        self.assertAlmostEqual(band.GetStatistics(False, False)[1], numpy.ptp(rolling_ground(60, 80)), delta=0.1)
        self.assert_layers_lie_inside(raster)
        west, south, east, north = self.item["bbox"]
        for told, wanted in ((west, -81), (east, -81 + 80 * degree), (south, 39.75 - 60 * degree), (north, 39.75)):
            self.assertAlmostEqual(told, wanted, delta=3 * degree)
        properties = self.item["properties"]
        self.assertIsNone(properties["datetime"])
        self.assertEqual((properties["start_datetime"][:5], properties["end_datetime"][:5]), ("0001-", "9999-"))
        schema = json.loads((pathlib.Path(__file__).parent / "stac_item.schema.json").read_text())
        jsonschema.Draft7Validator(schema).validate(self.item)

    def test_north_first(self):
        raster = self.run_on(2193, (1570000, 2, 0, 5180000, 0, -2))
        self.assertEqual(raster.GetGeoTransform(), (1570000, 2, 0, 5180000, 0, -2))
        self.assertEqual(raster.GetSpatialRef().GetAuthorityCode(None), "2193")
        self.assert_layers_lie_inside(raster)
        self.assertEqual(self.item["properties"]["proj:code"], "EPSG:2193")
        self.assertEqual(self.item["properties"]["proj:transform"], [2, 0, 1570000, 0, -2, 5180000])
        west, south, east, north = self.item["bbox"]
        self.assertTrue(172 < west < east < 173 and -44 < south < north < -43)
