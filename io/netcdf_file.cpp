// SPDX-License-Identifier: Apache-2.0
#include "io/netcdf_file.hpp"

#include <fmt/format.h>
#include <hdf5.h>
#include <hdf5_hl.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <fstream>
#include <type_traits>

#include "sim/errors.hpp"

namespace lielow {
namespace {

static_assert(std::is_same_v<hid_t, std::int64_t>);

/// An HDF5 handle with its way of closing.
class Handle {
  public:
    using Close = herr_t (*)(hid_t);
    Handle(hid_t id, Close close) : id_(id), close_(close) {
        if (id < 0) throw RunError("archive.nc can't be built: HDF5 refused a step; is the memory full?");
    }
    ~Handle() { close_(id_); }
    Handle(const Handle&) = delete;
    Handle& operator=(const Handle&) = delete;
    operator hid_t() const { return id_; }  // NOLINT(google-explicit-constructor): it stands for the number

  private:
    hid_t id_;
    Close close_;
};

void check(herr_t result) {
    if (result < 0) throw RunError("archive.nc can't be built: HDF5 refused a step; is the memory full?");
}

void write_text(hid_t object, const std::string& name, const std::string& text) {
    const Handle type(H5Tcopy(H5T_C_S1), H5Tclose);
    check(H5Tset_size(type, std::max<std::size_t>(1, text.size())));
    check(H5Tset_strpad(type, H5T_STR_NULLTERM));
    check(H5Tset_cset(type, H5T_CSET_UTF8));
    const Handle space(H5Screate(H5S_SCALAR), H5Sclose);
    const Handle attribute(H5Acreate2(object, name.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose);
    check(H5Awrite(attribute, type, text.c_str()));
}

void write_numbers(hid_t object, const std::string& name, std::span<const double> numbers, hid_t type) {
    const hsize_t size = numbers.size();
    const Handle space(H5Screate_simple(1, &size, nullptr), H5Sclose);
    const Handle attribute(H5Acreate2(object, name.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose);
    check(H5Awrite(attribute, H5T_NATIVE_DOUBLE, numbers.data()));
}

void write_attributes(hid_t object, const NetcdfAttributes& attributes) {
    for (const auto& [name, value] : attributes) {
        if (const auto* text = std::get_if<std::string>(&value)) {
            write_text(object, name, *text);
        } else if (const auto* number = std::get_if<double>(&value)) {
            write_numbers(object, name, {number, 1}, H5T_IEEE_F64LE);
        } else {
            write_numbers(object, name, std::get<std::vector<double>>(value), H5T_IEEE_F64LE);
        }
    }
}

/// For a dataset without times of making.
class Creation {
  public:
    Creation() : list_(H5Pcreate(H5P_DATASET_CREATE), H5Pclose) {
        check(H5Pset_obj_track_times(list_, false));
        check(H5Pset_attr_creation_order(list_, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    }
    void compress(const std::vector<hsize_t>& chunk) {
        constexpr unsigned level = 4;
        check(H5Pset_chunk(list_, static_cast<int>(chunk.size()), chunk.data()));
        check(H5Pset_shuffle(list_));
        check(H5Pset_deflate(list_, level));
    }
    operator hid_t() const { return list_; }  // NOLINT(google-explicit-constructor)

  private:
    Handle list_;
};

hid_t open_dataset(hid_t file, const std::string& name) {
    return H5Dopen2(file, name.c_str(), H5P_DEFAULT);
}

std::vector<hsize_t> extent(hid_t dataset) {
    const Handle space(H5Dget_space(dataset), H5Sclose);
    std::vector<hsize_t> size(static_cast<std::size_t>(H5Sget_simple_extent_ndims(space)));
    check(H5Sget_simple_extent_dims(space, size.data(), nullptr));
    return size;
}

/// One moment, one sheet, and no more than some 256 × 256 cells: what a map of one time reads.
std::vector<hsize_t> chunk_of(const std::vector<hsize_t>& size) {
    constexpr hsize_t longest = 256;
    std::vector<hsize_t> chunk(size.size(), 1);
    for (std::size_t d = size.size() < 2 ? 0 : size.size() - 2; d < size.size(); ++d)
        chunk[d] = std::clamp<hsize_t>(size[d], 1, longest);
    return chunk;
}

std::vector<float> with_missing(std::span<const float> values) {
    std::vector<float> filled(values.begin(), values.end());
    std::replace_if(
        filled.begin(), filled.end(), [](float v) { return std::isnan(v); }, NetcdfFile::missing);
    return filled;
}

}  // namespace

NetcdfFile::NetcdfFile() {
    H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);  // errors are told by exceptions
    constexpr std::size_t growth = std::size_t{1} << 20;
    const Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
    check(H5Pset_fapl_core(access, growth, false));
    const Handle creation(H5Pcreate(H5P_FILE_CREATE), H5Pclose);
    check(H5Pset_obj_track_times(creation, false));
    check(H5Pset_link_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    check(H5Pset_attr_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    // HDF5 refuses a second open file of one name, in memory too.
    static std::atomic<unsigned> count{0};
    file_ = H5Fcreate(fmt::format("archive {}", ++count).c_str(), H5F_ACC_TRUNC, creation, access);
    if (file_ < 0) throw RunError("archive.nc can't be built: HDF5 makes no file; is the memory full?");
}

NetcdfFile::~NetcdfFile() {
    H5Fclose(file_);
}

void NetcdfFile::attributes(const NetcdfAttributes& attributes) {
    write_attributes(file_, attributes);
}

void NetcdfFile::group(const std::string& name, const NetcdfAttributes& attributes) {
    const Handle creation(H5Pcreate(H5P_GROUP_CREATE), H5Pclose);
    check(H5Pset_obj_track_times(creation, false));
    check(H5Pset_link_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    check(H5Pset_attr_creation_order(creation, H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED));
    const Handle made(H5Gcreate2(file_, name.c_str(), H5P_DEFAULT, creation, H5P_DEFAULT), H5Gclose);
    write_attributes(made, attributes);
}

void NetcdfFile::dimension(const std::string& name, std::span<const double> values,
                           const NetcdfAttributes& attributes) {
    const hsize_t size = values.size();
    const Handle space(H5Screate_simple(1, &size, nullptr), H5Sclose);
    const Creation creation;
    const Handle scale(
        H5Dcreate2(file_, name.c_str(), H5T_IEEE_F64LE, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose);
    check(H5Dwrite(scale, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()));
    check(H5DSset_scale(scale, name.c_str()));
    write_attributes(scale, attributes);
    sizes_[name] = size;
}

void NetcdfFile::growing_dimension(const std::string& name, const NetcdfAttributes& attributes) {
    const hsize_t none = 0;
    const hsize_t most = H5S_UNLIMITED;
    const Handle space(H5Screate_simple(1, &none, &most), H5Sclose);
    Creation creation;
    creation.compress({64});
    const Handle scale(
        H5Dcreate2(file_, name.c_str(), H5T_IEEE_F64LE, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose);
    check(H5DSset_scale(scale, name.c_str()));
    write_attributes(scale, attributes);
    sizes_[name] = 0;
}

void NetcdfFile::variable(const std::string& name, const std::vector<std::string>& dimensions,
                          const NetcdfAttributes& attributes) {
    std::vector<hsize_t> size;
    std::vector<hsize_t> most;
    for (const std::string& dimension : dimensions) {
        const Handle scale(open_dataset(file_, dimension), H5Dclose);
        const Handle space(H5Dget_space(scale), H5Sclose);
        hsize_t greatest = 0;
        hsize_t now = 0;
        check(H5Sget_simple_extent_dims(space, &now, &greatest));
        size.push_back(now);
        most.push_back(greatest);
    }
    const Handle space(H5Screate_simple(static_cast<int>(size.size()), size.data(), most.data()), H5Sclose);
    Creation creation;
    creation.compress(chunk_of(size));
    check(H5Pset_fill_value(creation, H5T_NATIVE_FLOAT, &missing));
    const Handle made(
        H5Dcreate2(file_, name.c_str(), H5T_IEEE_F32LE, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose);
    const double fill = missing;
    write_numbers(made, "_FillValue", {&fill, 1}, H5T_IEEE_F32LE);
    write_attributes(made, attributes);
    for (std::size_t d = 0; d < dimensions.size(); ++d) {
        const Handle scale(open_dataset(file_, dimensions[d]), H5Dclose);
        check(H5DSattach_scale(made, scale, static_cast<unsigned>(d)));
    }
}

void NetcdfFile::scalar(const std::string& name, const NetcdfAttributes& attributes) {
    const Handle space(H5Screate(H5S_SCALAR), H5Sclose);
    const Creation creation;
    const Handle made(
        H5Dcreate2(file_, name.c_str(), H5T_STD_I32LE, space, H5P_DEFAULT, creation, H5P_DEFAULT), H5Dclose);
    const int nothing = 0;
    check(H5Dwrite(made, H5T_NATIVE_INT, H5S_ALL, H5S_ALL, H5P_DEFAULT, &nothing));
    write_attributes(made, attributes);
}

void NetcdfFile::write(const std::string& name, std::span<const float> values) {
    const Handle dataset(open_dataset(file_, name), H5Dclose);
    hsize_t count = 1;
    for (const hsize_t n : extent(dataset)) count *= n;
    if (count != values.size())
        throw RunError("archive.nc: " + name + " has another size than its dimensions");
    check(H5Dwrite(dataset, H5T_NATIVE_FLOAT, H5S_ALL, H5S_ALL, H5P_DEFAULT, with_missing(values).data()));
}

void NetcdfFile::append(const std::string& dimension, double value) {
    const hsize_t at = sizes_.at(dimension)++;
    const hsize_t one = 1;
    const Handle scale(open_dataset(file_, dimension), H5Dclose);
    const hsize_t grown = at + 1;
    check(H5Dset_extent(scale, &grown));
    const Handle space(H5Dget_space(scale), H5Sclose);
    check(H5Sselect_hyperslab(space, H5S_SELECT_SET, &at, nullptr, &one, nullptr));
    const Handle memory(H5Screate_simple(1, &one, nullptr), H5Sclose);
    check(H5Dwrite(scale, H5T_NATIVE_DOUBLE, memory, space, H5P_DEFAULT, &value));
}

void NetcdfFile::write_last(const std::string& name, std::span<const float> values) {
    const Handle dataset(open_dataset(file_, name), H5Dclose);
    std::vector<hsize_t> size = extent(dataset);
    // The dimension's own length: its scale is the first one attached.
    hsize_t length = size.front();
    check(H5DSiterate_scales(
              dataset, 0, nullptr,
              [](hid_t, unsigned, hid_t scale, void* into) -> herr_t {
                  *static_cast<hsize_t*>(into) = extent(scale).front();
                  return 1;
              },
              &length) < 0
              ? -1
              : 0);
    size.front() = length;
    check(H5Dset_extent(dataset, size.data()));
    std::vector<hsize_t> start(size.size(), 0);
    start.front() = length - 1;
    std::vector<hsize_t> count = size;
    count.front() = 1;
    hsize_t cells = 1;
    for (const hsize_t n : count) cells *= n;
    if (cells != values.size())
        throw RunError("archive.nc: " + name + " has another size than its dimensions");
    const Handle space(H5Dget_space(dataset), H5Sclose);
    check(H5Sselect_hyperslab(space, H5S_SELECT_SET, start.data(), nullptr, count.data(), nullptr));
    const Handle memory(H5Screate_simple(static_cast<int>(count.size()), count.data(), nullptr), H5Sclose);
    check(H5Dwrite(dataset, H5T_NATIVE_FLOAT, memory, space, H5P_DEFAULT, with_missing(values).data()));
}

void NetcdfFile::save(const std::filesystem::path& path) {
    check(H5Fflush(file_, H5F_SCOPE_GLOBAL));
    const ssize_t size = H5Fget_file_image(file_, nullptr, 0);
    check(size > 0 ? 0 : -1);
    std::vector<char> image(static_cast<std::size_t>(size));
    check(H5Fget_file_image(file_, image.data(), image.size()) == size ? 0 : -1);
    std::ofstream stream(path, std::ios::binary);
    stream.write(image.data(), size);
    stream.close();
    if (!stream) throw RunError("archive.nc can't be written; is the disk full?");
}

}  // namespace lielow
