#!/bin/bash
# SPDX-License-Identifier: Apache-2.0
# Judges written files with the validators that GDAL ships (Debian python3-gdal).
# usage: check_files.sh PATH/results_sample
set -eu
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
"$1" "$dir/out" 1500
for name in noise classes; do
    /usr/bin/python3 -m osgeo_utils.samples.validate_cloud_optimized_geotiff --full-check=yes "$dir/out/rasters/$name.tif"
done
/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg "$dir/out/sites.gpkg"
# Nothing but the results, and the same bytes again.
left=$(cd "$dir/out" && find . -type f | LC_ALL=C sort | tr '\n' ' ')
want="./rasters/classes.tif ./rasters/classes.tif.aux.xml ./rasters/noise.tif ./sites.gpkg "
[ "$left" = "$want" ] || { echo "files are: $left"; exit 1; }
"$1" "$dir/again" 1500
diff -r "$dir/out" "$dir/again"
