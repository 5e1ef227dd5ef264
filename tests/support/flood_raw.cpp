// SPDX-License-Identifier: Apache-2.0
// Bridge between the C++ tests and Python: makes ground, and fills ground, as raw little-endian float32
// files.
//   flood_raw make KIND ROWS COLS SEED OUT     KIND: fractal, noise, quantised, flat, bowl, holed
//   flood_raw fill IN ROWS COLS OUT            OUT: elevation with the hollows filled
#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

#include "sim/hollows.hpp"
#include "tests/support/terrain.hpp"

namespace {

using lielow::Field;

Field<float> make(const std::string& kind, std::int32_t rows, std::int32_t cols, std::uint32_t seed) {
    if (kind == "noise") return lielow::test::noise(rows, cols, seed);
    if (kind == "flat") return Field<float>(rows, cols, 3.0F);
    if (kind == "bowl") return lielow::test::bowl(rows, cols, 100.0, 12.0);
    Field<float> z = lielow::test::fractal(rows, cols, seed);
    if (kind == "quantised") lielow::test::quantise(z, 1.0F);
    if (kind == "holed") lielow::test::punch(z, 0.01, seed);
    return z;
}

Field<float> fill(const Field<float>& z) {
    const lielow::Grid grid{z.rows(), z.cols()};
    const lielow::Catchments catchments = lielow::find_catchments(grid, z);
    const lielow::Hollows hollows = lielow::find_hollows(grid, z, catchments);
    Field<float> filled = z.clone();
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        if (c >= 0) filled[cell] = std::max(z[cell], hollows.level_of_catchment[static_cast<std::size_t>(c)]);
    }
    return filled;
}

bool write(const Field<float>& z, const std::string& path) {
    std::ofstream file(path, std::ios::binary);
    file.write(reinterpret_cast<const char*>(z.data()),
               static_cast<std::streamsize>(z.size() * sizeof(float)));
    return file.good();
}

bool read(Field<float>& z, const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    file.read(reinterpret_cast<char*>(z.data()), static_cast<std::streamsize>(z.size() * sizeof(float)));
    return file.good();
}

}  // namespace

int main(int argc, char** argv) {
    const std::vector<std::string> args(argv + 1, argv + argc);
    if (args.size() == 6 && args[0] == "make") {
        const auto seed = static_cast<std::uint32_t>(std::stoul(args[4]));
        return write(make(args[1], std::stoi(args[2]), std::stoi(args[3]), seed), args[5]) ? 0 : 1;
    }
    if (args.size() == 5 && args[0] == "fill") {
        Field<float> z(std::stoi(args[2]), std::stoi(args[3]));
        return read(z, args[1]) && write(fill(z), args[4]) ? 0 : 1;
    }
    return 2;
}
