#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks what tools/picture.py makes of numbers: units, light, the grey of bare ground, and a picture at the end."""
import pathlib
import sys
import tempfile
import unittest

import numpy as np
from matplotlib import figure, image
from osgeo import gdal, ogr, osr

PROJECT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT / "tools"))
import picture  # noqa: E402

SITE = 'title = "A slope"\nunits = "us"\n[ground]\ndem = "dem.tif"\n'


def write(path, values, cell=5.0):
    file = gdal.GetDriverByName("GTiff").Create(str(path), values.shape[1], values.shape[0], 1, gdal.GDT_Float32)
    file.SetGeoTransform((500000, cell, 0, 4400000, 0, -cell))
    crs = osr.SpatialReference()
    crs.ImportFromEPSG(26917)
    file.SetProjection(crs.ExportToWkt())
    file.GetRasterBand(1).SetNoDataValue(-9999)
    file.GetRasterBand(1).WriteArray(values)


class Picture(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = pathlib.Path(holder.name)
        rows, cols = np.mgrid[0:60, 0:80]
        self.roof = 100.0 - np.abs(rows - 30.0 + cols - 40.0)  # ridge from south-west to north-east
        write(self.folder / "dem.tif", self.roof)
        (self.folder / "site.toml").write_text(SITE, encoding="utf-8")

    def test_units(self):
        def shown(name, value):
            scale, offset, unit = picture.picture_looks.unit_of(picture.picture_looks.LOOKS[name], "us")
            return round(value * scale + offset, 9), unit

        self.assertEqual(shown("night_low", 100), (212, "°F"))  # water boils
        self.assertEqual(shown("night_offset", 5), (9, "°F"))
        self.assertEqual(shown("fill_stage", 0.3048), (1, "ft"))
        self.assertEqual(shown("storm_depth", 0.0254), (1, "in"))

    def test_light_falls_from_the_north_west(self):
        light = picture.hillshade(self.folder / "dem.tif", picture.read_map(self.folder / "dem.tif"))
        self.assertGreater(light[10, 10], light[50, 70])

    def test_holes_become_nan(self):
        self.roof[5:9, 5:9] = -9999
        write(self.folder / "holes.tif", self.roof)
        self.assertEqual(np.isnan(picture.read_map(self.folder / "holes.tif").values).sum(), 16)

    def test_dry_ground_is_grey_and_water_is_not(self):
        depth = np.where(self.roof < 70, 70 - self.roof, 0)
        write(self.folder / "fill_depth.tif", depth)
        shown = picture.read_map(self.folder / "fill_depth.tif")
        values = np.where(shown.values > 0, shown.values, np.nan)
        light = picture.hillshade(self.folder / "dem.tif", shown)
        painted = picture.paint(values, light, picture.picture_looks.bands(values, picture.picture_looks.LOOKS["fill_depth"], "us"))
        colourful = np.ptp(painted, axis=2) > 0.05
        np.testing.assert_array_equal(colourful, depth > 0)

    def test_years_have_classes_of_their_own_and_rarer_ones_are_grey(self):
        years = np.full(self.roof.shape, np.nan)
        years[:20], years[20:40] = 1.5, 60
        limits, ramp, norm = parts = picture.picture_looks.bands(years, picture.picture_looks.LOOKS["loss_years"], "us")
        self.assertEqual(tuple(limits), (1, 2, 3, 5, 10, 20, 50, 100))
        self.assertNotEqual(ramp(norm(1.5)), ramp(norm(60)))
        self.assertEqual(ramp(norm(60)), ramp(norm(99)))  # one class
        colourful = np.ptp(picture.paint(years, np.ones_like(years), parts), axis=2) > 0.05
        np.testing.assert_array_equal(colourful, ~np.isnan(years))

    def test_draws_a_page(self):
        write(self.folder / "night_offset.tif", self.roof / 50 - 2)
        png = self.folder / "new" / "night_offset.png"
        picture.draw(self.folder / "night_offset.tif", png, self.folder / "site.toml")
        page = image.imread(png)
        self.assertGreater(page.shape[1], 1000)
        self.assertGreater((np.ptp(page[..., :3], axis=2) > 0.05).mean(), 0.5)  # the map fills most of the page

    def test_a_change_is_drawn_either_way_with_its_remedy(self):
        change = np.zeros(self.roof.shape)
        change[:20], change[40:], change[20:40] = 1, -1, 0.01
        (self.folder / "a-gap" / "changes").mkdir(parents=True)
        write(self.folder / "a-gap" / "changes" / "night_low_change.tif", change)
        site = SITE + '[remedy."A gap!"]\nkind = "gap"\nat = "500200, 4399850"\nwidth = "20 ft"\n'
        (self.folder / "site.toml").write_text(site, encoding="utf-8")
        png = self.folder / "change.png"
        picture.draw(self.folder / "a-gap" / "changes" / "night_low_change.tif", png, self.folder / "site.toml")
        page = image.imread(png)[..., :3]
        warmer, colder = (page[..., 0] - page[..., 2] > 0.2).mean(), (page[..., 2] - page[..., 0] > 0.2).mean()
        self.assertGreater(warmer, 0.15)
        self.assertGreater(colder, 0.15)
        self.assertLess(warmer + colder, 0.7)  # a third of the map is grey
        self.assertEqual(picture.picture_remedies.folder_name("A gap!"), "a-gap")

    def test_legend_names_the_kinds_that_are_there(self):
        path = self.folder / "o.gpkg"
        data = ogr.GetDriverByName("GPKG").CreateDataSource(str(path))
        crs = osr.SpatialReference()
        crs.ImportFromEPSG(26917)
        layer = data.CreateLayer("obstacles", crs, ogr.wkbUnknown)
        layer.CreateField(ogr.FieldDefn("kind", ogr.OFTString))
        for kind, wkt in (("Hedge", "LINESTRING(500020 4399900,500120 4399900)"), ("gap", "POINT(500050 4399900)"),
                          ("tree_belt", "MULTIPOLYGON(((500020 4399800,500120 4399800,500120 4399820,500020 4399800)))"),
                          ("fan", "POINT(500200 4399800)")):
            feature = ogr.Feature(layer.GetLayerDefn())
            feature["kind"] = kind
            feature.SetGeometry(ogr.CreateGeometryFromWkt(wkt))
            layer.CreateFeature(feature)
        del layer, data
        axes = figure.Figure().add_axes((0, 0, 1, 1))
        entries = picture.picture_obstacles.draw_obstacles(axes, path, picture.reference(crs.ExportToWkt()))
        self.assertEqual([e.get_label() for e in entries], ["hedge", "tree belt", "gap", "fan"])
        self.assertEqual(len(axes.patches), 1)  # the belt's outline
        self.assertEqual(len(axes.lines), 4)    # the hedge and its halo, the gap, the fan

    def test_classes_are_named_and_coloured_as_the_raster_says(self):
        path = self.folder / "siting.tif"
        rows, cols = self.roof.shape
        file = gdal.GetDriverByName("GTiff").Create(str(path), cols, rows, 1, gdal.GDT_Byte)
        file.SetGeoTransform((500000, 5, 0, 4400000, 0, -5))
        crs = osr.SpatialReference()
        crs.ImportFromEPSG(26917)
        file.SetProjection(crs.ExportToWkt())
        band, table = file.GetRasterBand(1), gdal.ColorTable()
        for value, colour in enumerate(((10, 20, 30), (200, 100, 0), (0, 90, 200))):
            table.SetColorEntry(value, colour)
        band.SetColorTable(table)
        band.SetCategoryNames(["good", "middling", "bad"])
        band.SetNoDataValue(255)
        values = np.full(self.roof.shape, 255, np.uint8)
        values[:20], values[20:40] = 2, 0  # no middling ground
        band.WriteArray(values)
        del band, file
        shown = picture.read_map(path)
        places, (limits, ramp, norm), names = picture.picture_classes.bands(path, shown.values)
        self.assertEqual(names, ["good", "bad"])
        np.testing.assert_array_equal(np.isnan(places), values == 255)
        painted = ramp(norm(np.nan_to_num(places)))[..., :3]
        np.testing.assert_allclose(painted[values == 2][0], np.array((0, 90, 200)) / 255)
        np.testing.assert_allclose(painted[values == 0][0], np.array((10, 20, 30)) / 255)
        picture.draw(path, self.folder / "siting.png", self.folder / "site.toml")
        self.assertTrue((self.folder / "siting.png").is_file())

    def test_spots_to_look_at_are_marked_once_in_the_legend(self):
        path = self.folder / "sites.gpkg"
        data = ogr.GetDriverByName("GPKG").CreateDataSource(str(path))
        crs = osr.SpatialReference()
        crs.ImportFromEPSG(26917)
        layer = data.CreateLayer("test_spots", crs, ogr.wkbPoint)
        for name in ("name", "kind"):
            layer.CreateField(ogr.FieldDefn(name, ogr.OFTString))
        for name, kind, x in (("T1", "thermometer", 20), ("T2", "thermometer", 60), ("A1", "auger hole", 90)):
            feature = ogr.Feature(layer.GetLayerDefn())
            feature["name"], feature["kind"] = name, kind
            feature.SetGeometry(ogr.CreateGeometryFromWkt(f"POINT({500000 + x} 4399900)"))
            layer.CreateFeature(feature)
            del feature  # before its layer
        del layer, data
        write(self.folder / "not_here_share.tif", self.roof / 100)
        shown = picture.read_map(self.folder / "not_here_share.tif")
        axes = figure.Figure().add_axes((0, 0, 1, 1))
        picture.picture_sure.draw_test_spots(axes, path, shown)
        self.assertEqual(axes.get_legend_handles_labels()[1], ["spot for thermometers", "spot for auger holes"])
        self.assertEqual([t.get_text() for t in axes.texts], ["T1", "T2", "A1"])
        self.assertEqual([line.get_xdata()[0] for line in axes.lines], [500020, 500060, 500090])


if __name__ == "__main__":
    for module in (gdal, ogr, osr):
        module.UseExceptions()
    unittest.main(verbosity=2)
