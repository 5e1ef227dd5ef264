// SPDX-License-Identifier: Apache-2.0
// Writes one result of each kind into an out directory, for the scripts that judge files and fill disks.
// usage: results_sample OUT SIDE      exit 0, 1 (RunError) or 2 (InputError), the error's line on stderr
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <string>

#include "io/raster.hpp"
#include "io/sites_gpkg.hpp"
#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "support/place.hpp"

namespace lielow {
namespace {

/// Values that hardly compress, the same on every machine (Marsaglia 2003, xorshift32).
Field<float> noise(std::int32_t side) {
    Field<float> field(side, side);
    std::uint32_t state = 2463534242U;
    for (float& v : field.all()) {
        state ^= state << 13U;
        state ^= state >> 17U;
        state ^= state << 5U;
        v = static_cast<float>(state >> 8U) * 1e-4F;
    }
    return field;
}

Field<std::uint8_t> classes_of(const Field<float>& field) {
    Field<std::uint8_t> classes(field.rows(), field.cols());
    for (std::size_t i = 0; i < field.size(); ++i) {
        classes[i] = field[i] < 100.0F ? kNoClass : (field[i] < 800.0F ? std::uint8_t{1} : std::uint8_t{2});
    }
    return classes;
}

std::vector<VectorLayer> layers(const GeoReference& geo, std::int32_t side) {
    const Grid grid{side, side, 2.0, 2.0};
    const FarmField ground = whole_ground(grid, Field<std::uint8_t>(side, side, std::uint8_t{1}), geo);
    Hollows hollows;
    hollows.list.resize(20);
    return {fields_layer(std::vector<FarmField>(20, ground), {}),
            hollow_spills_layer(geo, grid, hollows, 20)};
}

void write_all(const std::string& out, std::int32_t side) {
    const GeoReference geo = testing::utm_place(2.0);
    const std::array<RasterClass, 2> classes{{{1, "low", {10, 90, 200}}, {2, "high", {220, 200, 90}}}};
    Staging staging(out);
    Field<float> field = noise(side);
    Field<std::uint8_t> class_field = classes_of(field);
    write_raster(staging.path("rasters/noise.tif"), geo, std::move(field), {"noise", "Noise", "m"});
    write_class_raster(staging.path("rasters/classes.tif"), geo, std::move(class_field),
                       {"classes", "Classes", ""}, classes);
    write_sites_gpkg(staging.path("sites.gpkg"), geo, layers(geo, side));
    staging.commit();
}

}  // namespace
}  // namespace lielow

int main(int argc, char** argv) {
    if (argc != 3) return 3;
    try {
        lielow::write_all(argv[1], std::atoi(argv[2]));
    } catch (const lielow::InputError& error) {
        std::fprintf(stderr, "%s\n", error.what());
        return 2;
    } catch (const lielow::RunError& error) {
        std::fprintf(stderr, "%s\n", error.what());
        return 1;
    }
    return 0;
}
