#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""What a run writes, opened by programs that know nothing of it: GDAL, rasterio, terra, the validators of the formats.

Usage: test_gis.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal, python3-rasterio, python3-jsonschema
and python3-lxml; terra is asked where R has it (Debian's r-cran-terra).
"""
import re
import shutil
import subprocess
import sys

import numpy
import rasterio
from lxml import etree
from osgeo import gdal, ogr, osr

from cli_case import main
from gis_case import SAMPLES, Gis
from gis_catalogue import Catalogue, Places  # noqa: F401 - tests of this script, too

SLD = "{http://www.opengis.net/sld}"


class Rasters(Gis):
    def test_every_part_has_left_rasters(self):
        names = {p.stem for p in self.rasters}
        self.assertLessEqual({"night_low", "flow_from", "fill_stage", "storm_depth", "soil_drainage", "drain_days",
                              "siting", "siting_reason", "not_here_share", "loss_share", "drainage_way"}, names)
        self.assertEqual({p.stem for p in self.classes}, {"siting", "siting_reason", "soil_drainage"})

    def test_each_is_cloud_optimized(self):
        sys.path.insert(0, str(SAMPLES))
        import validate_cloud_optimized_geotiff as validator
        for path in self.rasters:
            warnings, errors, _ = validator.validate(str(path), full_check=True)
            self.assertEqual((warnings, errors), ([], []), path.name)

    def test_labels_and_statistics_are_those_of_the_cells(self):
        units = {"night_low": "degC", "night_offset": "K", "flow_speed": "m/s", "storm_depth": "m", "loss_share": "1",
                 "fill_stage": "m", "drain_days": "days", "flow_from": "degree", "siting": ""}
        for path in self.rasters:
            source = gdal.Open(str(path))
            band = source.GetRasterBand(1)
            self.assertEqual(source.RasterCount, 1)
            self.assertEqual(band.GetDescription(), path.stem)
            self.assertGreater(len(band.GetMetadataItem("long_name")), 15, path.name)
            if path.stem in units:
                self.assertEqual(band.GetUnitType(), units[path.stem])
            values = band.ReadAsArray().astype("float64")
            known = values[values != band.GetNoDataValue()]
            if known.size == 0:
                self.assertIsNone(band.GetMetadataItem("STATISTICS_MEAN"))
                continue
            for item, wanted in (("MINIMUM", known.min()), ("MAXIMUM", known.max()), ("MEAN", known.mean()),
                                 ("STDDEV", known.std())):
                self.assertAlmostEqual(float(band.GetMetadataItem("STATISTICS_" + item)), wanted, msg=path.name,
                                       delta=1e-6 * max(1, abs(wanted)))
            self.assertAlmostEqual(float(band.GetMetadataItem("STATISTICS_VALID_PERCENT")),
                                   100 * known.size / values.size, delta=0.006)

    def test_statistics_lie_in_the_file_itself(self):
        for path in self.classes:
            alone = self.folder / ("alone_" + path.name)
            shutil.copy(path, alone)
            source = gdal.Open(str(alone))
            self.assertIsNotNone(source.GetRasterBand(1).GetMetadataItem("STATISTICS_MAXIMUM"))

    def test_classes_have_a_table_and_colours(self):
        self.assertEqual(len(self.classes), 3)
        for path in self.classes:
            source = gdal.Open(str(path))
            band = source.GetRasterBand(1)
            values = band.ReadAsArray()
            table, names, colours = band.GetDefaultRAT(), band.GetCategoryNames(), band.GetColorTable()
            column = {table.GetNameOfCol(c): c for c in range(table.GetColumnCount())}
            self.assertEqual(list(column), ["Value", "Class", "Red", "Green", "Blue", "Count"])
            listed = [table.GetValueAsInt(r, 0) for r in range(table.GetRowCount())]
            self.assertLessEqual(set(numpy.unique(values)) - {255}, set(listed))
            for row, value in enumerate(listed):
                self.assertEqual(table.GetValueAsString(row, column["Class"]), names[value])
                self.assertEqual(table.GetValueAsInt(row, column["Count"]), (values == value).sum(), path.name)
                rgb = tuple(table.GetValueAsInt(row, column[c]) for c in ("Red", "Green", "Blue"))
                self.assertEqual(rgb, colours.GetColorEntry(value)[:3])
            for unused in set(range(255)) - set(listed):
                self.assertEqual(colours.GetColorEntry(unused)[:3], (255, 255, 255))
            self.assertEqual(colours.GetColorEntry(255)[3], 0)  # see-through where there is no class

    def test_rasterio_reads_the_same(self):
        system = osr.SpatialReference()
        system.ImportFromEPSG(26917)
        for path in self.rasters:
            source = gdal.Open(str(path))
            with rasterio.open(path) as other:
                self.assertTrue((other.read(1) == source.ReadAsArray()).all(), path.name)
                self.assertEqual(other.nodata, 255 if path in self.classes else -9999)
                self.assertEqual(other.crs.to_epsg(), 26917)
                self.assertEqual(other.transform.to_gdal(), (500000, 2, 0, 4400000, 0, -2))
                self.assertEqual(other.units[0] or "", source.GetRasterBand(1).GetUnitType())
                self.assertEqual(other.descriptions[0], path.stem)
                self.assertFalse(other.read_masks(1)[:4, :6].any(), path.name)  # where the DEM knows nothing

    def test_terra_reads_the_same(self):
        if shutil.which("Rscript") is None or subprocess.run(
                ["Rscript", "-e", "q(status = !requireNamespace('terra', quietly = TRUE))"],
                capture_output=True, check=False).returncode != 0:
            self.skipTest("R's package terra isn't there (Debian's r-cran-terra)")
        script = """library(terra); for (f in commandArgs(TRUE)) { r <- rast(f); v <- values(r)
            cat(names(r), nrow(r), ncol(r), sum(is.na(v)), sprintf("%.9g", mean(v, na.rm = TRUE)),
                crs(r, describe = TRUE)$code, is.factor(r), "\\n") }"""
        told = subprocess.run(["Rscript", "-e", script, *map(str, self.rasters)], capture_output=True, text=True,
                              timeout=60, check=True).stdout.splitlines()
        self.assertEqual(len(told), len(self.rasters))
        for path, line in zip(self.rasters, told):
            source = gdal.Open(str(path))
            band = source.GetRasterBand(1)
            values = band.ReadAsArray().astype("float64")
            known = values[values != band.GetNoDataValue()]
            if known.size == 0:
                continue
            name, rows, cols, missing, mean, code, is_factor = line.split()
            self.assertEqual(int(missing), values.size - known.size, path.name)
            self.assertAlmostEqual(float(mean), known.mean(), delta=1e-6 * max(1, abs(known.mean())))
            self.assertEqual((rows, cols, code), ("60", "80", "26917"))
            self.assertEqual(is_factor == "TRUE", path in self.classes)
            self.assertTrue(path in self.classes or name == path.stem)


class Styles(Gis):
    def values(self, path):
        source = gdal.Open(str(path))
        band = source.GetRasterBand(1)
        values = numpy.unique(band.ReadAsArray())
        return values[values != band.GetNoDataValue()].astype("float64")

    def entries(self, path):
        """The colour map of the style beside a raster, as (quantity, colour or None, label)."""
        tree = etree.parse(str(path.with_suffix(".sld"))).getroot()
        self.assertEqual((tree.tag, tree.get("version")), (SLD + "StyledLayerDescriptor", "1.0.0"))
        self.assertEqual(tree.findtext(f"{SLD}NamedLayer/{SLD}Name"), path.stem)
        self.assertGreater(len(tree.findtext(f".//{SLD}UserStyle/{SLD}Title")), 5)
        [colours] = tree.iter(SLD + "ColorMap")
        entries = [(float(e.get("quantity")), e.get("color") if float(e.get("opacity")) > 0 else None, e.get("label"))
                   for e in colours]
        self.assertEqual(colours.get("type"), "values" if path in self.classes else "intervals")
        self.assertEqual([e[0] for e in entries], sorted({e[0] for e in entries}), path.name)
        return entries

    def test_every_raster_has_both_files(self):
        for path in self.rasters:
            self.assertTrue(path.with_suffix(".sld").is_file() and path.with_suffix(".qml").is_file(), path.name)

    def test_classes_cover_the_values(self):
        blank_at_nought = {"storm_depth", "storm_hours", "storm_speed", "hollow_depth", "frost_hours", "drain_days",
                           "hours_below_32_degf", "fill_depth", "field_fill_depth"}
        for path in self.rasters:
            entries = self.entries(path)
            for value in self.values(path):
                if path in self.classes:
                    found = [e for e in entries if e[0] == value]
                else:
                    found = [e for e in entries if value < e[0]][:1]
                colour = found[0][1] if found else None
                if path.stem in blank_at_nought and value < 0.03:
                    continue
                self.assertIsNotNone(colour, f"{path.name}: {value}")

    def test_class_styles_are_those_of_the_table(self):
        for path in self.classes:
            source = gdal.Open(str(path))
            table = source.GetRasterBand(1).GetDefaultRAT()
            wanted = [(table.GetValueAsInt(r, 0), "#%02x%02x%02x" % tuple(table.GetValueAsInt(r, c) for c in (2, 3, 4)),
                       table.GetValueAsString(r, 1)) for r in range(table.GetRowCount())]
            self.assertEqual(self.entries(path), wanted)
            qml = etree.parse(str(path.with_suffix(".qml")))
            self.assertEqual([(int(e.get("value")), e.get("color"), e.get("label"))
                              for e in qml.iter("paletteEntry")], wanted)

    def test_both_styles_tell_the_same(self):
        for path in set(self.rasters) - set(self.classes):
            drawn = [(e[1], e[2]) for e in self.entries(path) if e[1]]
            qml = etree.parse(str(path.with_suffix(".qml"))).getroot()
            self.assertEqual(qml.tag, "qgis")
            items = [(e.get("color"), e.get("label")) for e in qml.iter("item")]
            self.assertEqual(items, drawn, path.name)
            self.assertGreaterEqual(len(items), 1)
            self.assertTrue(all(label for _, label in items))

    def test_labels_are_in_the_readers_units(self):
        by_label = {e[2]: e[0] for e in self.entries(self.out / "rasters/fill_stage.tif") if e[1]}
        for label, quantity in by_label.items():
            self.assertRegex(label, r" ft$")
            if found := re.match(r".*to ([0-9.]+) ft$", label):
                self.assertAlmostEqual(quantity, float(found[1]) * 0.3048, places=5)
        self.assertTrue(any("to" in label for label in by_label))


class Vectors(Gis):
    def styles(self):
        source = ogr.Open(str(self.out / "sites.gpkg"))
        rows = {}
        for row in source.GetLayerByName("layer_styles"):
            self.assertNotIn(row["f_table_name"], rows)
            rows[row["f_table_name"]] = {row.GetFieldDefnRef(n).GetName(): row[n] for n in range(row.GetFieldCount())}
        return rows

    def test_the_package_is_valid(self):
        self.validate("validate_gpkg.py", self.out / "sites.gpkg")

    def test_each_layer_has_one_style_whose_attributes_exist(self):
        source = ogr.Open(str(self.out / "sites.gpkg"))
        layers = {source.GetLayer(n).GetName() for n in range(source.GetLayerCount())} - {"layer_styles"}
        self.assertLessEqual({"fields", "reference_spot", "flow_arrows", "spots", "hollows", "hollow_spills",
                              "drainage_ways", "field_sources", "soil_tests", "test_spots"}, layers)
        styles = self.styles()
        self.assertEqual(set(styles), layers)
        for name, style in styles.items():
            layer = source.GetLayerByName(name)
            columns = layer.GetLayerDefn()
            known = {columns.GetFieldDefn(n).GetName() for n in range(columns.GetFieldCount())}
            self.assertEqual(style["useAsDefault"], 1)
            self.assertEqual(style["f_geometry_column"], layer.GetGeometryColumn())
            self.assertTrue(str(style["update_time"]).startswith("1970"))
            qml = etree.fromstring(style["styleQML"].encode())
            sld = etree.fromstring(style["styleSLD"].encode())
            used = set(qml.xpath("//renderer-v2/@attr") + qml.xpath("//text-style/@fieldName")
                       + qml.xpath("//Option[@name='field']/@value"))
            self.assertLessEqual(used, known, name)
            asked = {e.text for e in sld.iter("{http://www.opengis.net/ogc}PropertyName")}
            self.assertEqual(asked, used, name)
            self.assertEqual(sld.findtext(f"{SLD}NamedLayer/{SLD}Name"), name)
            symbols = qml.xpath("//renderer-v2/symbols/symbol/@name")
            self.assertEqual(len(sld.findall(f".//{SLD}Rule/{SLD}Title")), len(symbols))
            self.assertLessEqual(set(qml.xpath("//renderer-v2//@symbol")), set(symbols))

    def test_fields_are_filled_by_what_most_of_them_is(self):
        source = ogr.Open(str(self.out / "sites.gpkg"))
        field = source.GetLayerByName("fields").GetNextFeature()
        areas = {name: field[f"siting_{key}_m2"] for name, key in (
            ("plant", "plant"), ("plant with work", "work"), ("not here", "not_here"), ("unknown", "unknown"))}
        self.assertEqual(field["siting_most"], max(areas, key=areas.get))
        siting = gdal.Open(str(self.out / "rasters/siting.tif"))
        siting.GetMetadata()  # loads the names beside it
        band = siting.GetRasterBand(1)
        colours = {name: band.GetColorTable().GetColorEntry(n)[:3] for n, name in enumerate(band.GetCategoryNames())}
        qml = etree.fromstring(self.styles()["fields"]["styleQML"].encode())
        for category in qml.findall(".//category"):
            [colour] = qml.xpath(f"//symbol[@name='{category.get('symbol')}']//Option[@name='color']/@value")
            self.assertEqual(tuple(map(int, colour.split(",")[:3])), colours[category.get("value")])
        self.assertEqual({c.get("value") for c in qml.findall(".//category")}, set(areas))


if __name__ == "__main__":
    main(__doc__)
