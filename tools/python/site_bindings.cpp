// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>

#include <toml++/toml.h>
#include <cstdio>
#include <filesystem>
#include <sstream>
#include <variant>

#include "tools/python/bindings.hpp"
#include "tools/run_site.hpp"
#include "tools/stop.hpp"

namespace py = pybind11;

namespace lielow {
namespace {

using SiteSource = std::variant<py::dict, std::filesystem::path>;

toml::date date_of(const py::handle& value) {
    return {value.attr("year").cast<int>(), value.attr("month").cast<unsigned>(),
            value.attr("day").cast<unsigned>()};
}

toml::table table_of(const py::dict& site, const std::string& prefix) {
    const py::object date_type = py::module_::import("datetime").attr("date");
    toml::table table;
    for (const auto& [key, value] : site) {
        const std::string name = py::str(key);
        // A truth value is a whole number too, so it is asked for first.
        if (py::isinstance<py::bool_>(value)) {
            table.insert(name, value.cast<bool>());
        } else if (py::isinstance<py::int_>(value)) {
            table.insert(name, value.cast<std::int64_t>());
        } else if (py::isinstance<py::float_>(value)) {
            table.insert(name, value.cast<double>());
        } else if (py::isinstance(value, date_type)) {
            table.insert(name, date_of(value));
        } else if (py::isinstance<py::dict>(value)) {
            table.insert(name, table_of(value.cast<py::dict>(), prefix + name + "."));
        } else if (py::isinstance<py::str>(value) || py::hasattr(value, "__fspath__")) {
            table.insert(name, std::string(py::str(value)));
        } else {
            throw InputError(
                fmt::format("{}{}: a site holds texts, numbers, truth values, dates and dicts, not {}",
                            prefix, name, std::string(py::str(py::type::of(value).attr("__name__")))));
        }
    }
    return table;
}

/// A dict's paths start from `folder`.
Site read_source(const SiteSource& source, const std::filesystem::path& folder) {
    if (const auto* file = std::get_if<std::filesystem::path>(&source)) return read_site(*file);
    return read_site_text(site_text(std::get<py::dict>(source)), folder / "site.toml");
}

py::object run(const SiteSource& source, const std::filesystem::path& out,
               const std::vector<std::string>& only, const std::filesystem::path& folder, bool quiet) {
    Site site = read_source(source, folder);
    std::string found;
    {
        py::gil_scoped_release released;
        const StopSignalsCaught stopping;
        Progress progress(stderr, progress_style_for(stderr, quiet));
        RunRequest request;
        request.out = out;
        request.only = only;
        found = summary_json(run_site(std::move(site), request, progress));
    }
    return py::module_::import("json").attr("loads")(found);
}

py::dict check(const SiteSource& source, const std::filesystem::path& folder) {
    const Site site = read_source(source, folder);
    py::dict settings;
    for (const SiteSetting& setting : site.settings)
        settings[py::str(std::string(setting.key))] = py::make_tuple(setting.text, setting.origin);
    return settings;
}

}  // namespace

std::string site_text(const py::dict& site) {
    std::ostringstream text;
    text << table_of(site, "") << '\n';
    return text.str();
}

void bind_site(py::module_& module) {
    module.def("run", &run, py::arg("site"), py::arg("out"), py::arg("only") = std::vector<std::string>{},
               py::arg("folder") = ".", py::arg("quiet") = true,
               "Everything for one site, as `lielow run` does it.\n\n"
               "site: path of a site file, or a dict like its tables: {'ground': {'dem': 'dem.tif'}, "
               "'night': {...}},\n"
               "      whose paths start from `folder`.\n"
               "out: folder for the results; it gets all of them or none.\n"
               "only: names of parts to run; empty = all.\n"
               "Returns what summary.json says, as dicts and lists.");
    module.def("check", &check, py::arg("site"), py::arg("folder") = ".",
               "Every setting in force: {'water.stage': ('20 ft', 'site file' or 'default' or 'not set')}.");
}

}  // namespace lielow
