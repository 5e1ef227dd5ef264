// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include "sim/night.hpp"
#include "sim/night_map.hpp"
#include "sim/stack_solver.hpp"
#include "tools/python/bindings.hpp"
#include "tools/stop.hpp"

namespace py = pybind11;

namespace lielow {
namespace {

EdgeKind edge_of(const std::string& word) {
    if (word == "far_field") return EdgeKind::far_field;
    if (word == "open") return EdgeKind::open;
    if (word == "wall") return EdgeKind::wall;
    throw InputError(fmt::format("edges '{}' isn't known; there are: far_field, open, wall", word));
}

Ground ground_of(const NumberArray<float>& elevation, double dx, double dy) {
    if (elevation.ndim() != 2) throw InputError("ground must be an array of rows and columns");
    if (!(dx > 0) || !(dy > 0)) throw InputError("cells must be larger than nothing");
    Ground ground;
    ground.grid = {static_cast<std::int32_t>(elevation.shape(0)),
                   static_cast<std::int32_t>(elevation.shape(1)), dx, dy};
    ground.z = field_from<float>(elevation, ground.grid.rows, ground.grid.cols, "ground");
    ground.known = Field<std::uint8_t>(ground.grid.rows, ground.grid.cols, std::uint8_t{1});
    for (std::size_t c = 0; c < ground.z.size(); ++c) ground.known[c] = std::isnan(ground.z[c]) ? 0 : 1;
    return ground;
}

/// Highest known ground: there the evening's temperature holds.
double highest(const Ground& ground) {
    double most = -std::numeric_limits<double>::infinity();
    for (const float z : ground.z.all()) {
        if (!std::isnan(z)) most = std::max(most, static_cast<double>(z));
    }
    if (std::isinf(most)) throw InputError("ground holds no elevation");
    return most;
}

/// A night with all it is made from.
class Night {
  public:
    Night(const NumberArray<float>& elevation, double dx, double dy, NightSetup setup)
        : ground_(ground_of(elevation, dx, dy)), setup_(std::move(setup)) {
        if (std::isnan(setup_.reference_elevation_m)) setup_.reference_elevation_m = highest(ground_);
        plan_ = plan_night(ground_, setup_);
        steps_ = std::make_unique<NightSteps>(ground_, setup_, plan_);
    }

    [[nodiscard]] const StackSolver<float>& solver() const { return steps_->solver(); }
    [[nodiscard]] const Field<double>& ground() const { return steps_->ground(); }
    [[nodiscard]] const NightSetup& setup() const { return setup_; }
    [[nodiscard]] const NightPlan& plan() const { return plan_; }
    [[nodiscard]] bool is_over() const { return steps_->is_over(); }

    void run_until(double time) {
        py::gil_scoped_release released;
        const StopSignalsCaught stopping;
        while (!is_over() && solver().time() < time) {
            throw_if_stopped();
            steps_->step();
        }
    }
    /// Lowest temperature of the night at plant height on the ground's own cells, degrees Celsius.
    const Field<float>& lowest() {
        if (!lowest_.empty()) return lowest_;
        run_until(setup_.duration_s);
        const NightResult night = steps_->finish();
        const IsothermSurfaces surfaces(ground_, night.plan, night.scale, night.ground, night.coldest_height,
                                        &night.coldest_gradient);
        lowest_ = map_deficit(ground_, surfaces, night.scale, setup_.plant_height_m);
        deficit_to_celsius(ground_, setup_, lowest_);
        return lowest_;
    }

  private:
    Ground ground_;
    NightSetup setup_;
    NightPlan plan_;
    std::unique_ptr<NightSteps> steps_;
    Field<float> lowest_;
};

std::unique_ptr<Night> make_night(const NumberArray<float>& ground, double dx, double dy, double duration_s,
                                  double evening_air_k, double reference_elevation_m, double heat_loss_w_m2,
                                  double cloud, double mixing_m2_s, double ground_drag, double interface_drag,
                                  double plant_height_m, double sheet_step_k, int sheets, double cell_m,
                                  const std::string& edges) {
    NightSetup s;
    s.duration_s = duration_s;
    s.evening_air_k = evening_air_k;
    s.reference_elevation_m = reference_elevation_m;
    s.heat_loss_w_m2 = heat_loss_w_m2;
    s.cloud = cloud;
    s.mixing_m2_s = mixing_m2_s;
    s.ground_drag = ground_drag;
    s.interface_drag = interface_drag;
    s.plant_height_m = plant_height_m;
    s.sheet_step_k = sheet_step_k;
    s.sheets = sheets;
    s.cell_m = cell_m;
    s.edges = edge_of(edges);
    return std::make_unique<Night>(ground, dx, dy, std::move(s));
}

py::array thickness(const py::object& self) {
    return thickness_view(self.cast<const Night&>().solver(), self);
}

py::array velocity_x(const py::object& self) {
    return velocity_x_view(self.cast<const Night&>().solver(), self);
}

py::array velocity_y(const py::object& self) {
    return velocity_y_view(self.cast<const Night&>().solver(), self);
}

template <class T>
py::array field_view(const Field<T>& field, const py::object& owner) {
    py::array_t<T> view({field.rows(), field.cols()}, field.data(), owner);
    view.attr("flags").attr("writeable") = false;
    return view;
}

py::array ground(const py::object& self) {
    return field_view(self.cast<const Night&>().ground(), self);
}

py::array lowest(const py::object& self) {
    return field_view(self.cast<Night&>().lowest(), self);
}

constexpr const char* view_doc =
    "Read-only, rows x sheets (0 on top) x columns of the night's own cells, over the solver's memory: "
    "nothing is\n"
    "copied. It shows the state until the next step; ask for it anew afterwards, or copy it to keep it.";

}  // namespace

void bind_night(py::module_& module) {
    const NightSetup usual;
    py::class_<Night>(
        module, "Night",
        "A clear calm night over open land under a constant loss, in single precision, as the command\n"
        "line's: cold air forms on the ground, drains and pools. Defaults are those of NightSetup.")
        .def(py::init(&make_night), py::arg("ground"), py::arg("dx"), py::arg("dy"), py::kw_only(),
             py::arg("duration_s") = usual.duration_s, py::arg("evening_air_k") = usual.evening_air_k,
             py::arg("reference_elevation_m") = std::numeric_limits<double>::quiet_NaN(),
             py::arg("heat_loss_w_m2") = usual.heat_loss_w_m2, py::arg("cloud") = usual.cloud,
             py::arg("mixing_m2_s") = usual.mixing_m2_s, py::arg("ground_drag") = usual.ground_drag,
             py::arg("interface_drag") = usual.interface_drag,
             py::arg("plant_height_m") = usual.plant_height_m, py::arg("sheet_step_k") = usual.sheet_step_k,
             py::arg("sheets") = usual.sheets, py::arg("cell_m") = usual.cell_m,
             py::arg("edges") = "far_field",
             "ground: elevation, m, rows x columns, NaN where not known; dx, dy: cell size, m. The evening's "
             "temperature\n"
             "holds at reference_elevation_m, by default the highest ground. 0 sheets, sheet step or cell: "
             "chosen.")
        .def_property_readonly(
            "time", [](const Night& n) { return n.solver().time(); }, "s after sunset")
        .def_property_readonly(
            "duration", [](const Night& n) { return n.setup().duration_s; }, "s")
        .def_property_readonly("is_over", &Night::is_over)
        .def_property_readonly("steps", [](const Night& n) { return n.solver().steps(); })
        .def_property_readonly("sheets", [](const Night& n) { return n.plan().sheets; })
        .def_property_readonly("sheet_step_k", [](const Night& n) { return n.plan().sheet_step_k; })
        .def_property_readonly(
            "cell", [](const Night& n) { return py::make_tuple(n.plan().grid.dx, n.plan().grid.dy); }, "m")
        .def_property_readonly("ground", &ground, "Elevation of the night's own cells, m; nothing is copied.")
        .def_property_readonly("thickness", &thickness, view_doc)
        .def_property_readonly("velocity_x", &velocity_x, view_doc)
        .def_property_readonly("velocity_y", &velocity_y, view_doc)
        .def("run_until", &Night::run_until, py::arg("time"),
             "Steps until `time` (s after sunset) is reached or passed.")
        .def("lowest", &lowest,
             "Runs to sunrise and gives the lowest air temperature at plant height on the ground's own "
             "cells, degrees\n"
             "Celsius; nothing is copied.");
}

}  // namespace lielow
