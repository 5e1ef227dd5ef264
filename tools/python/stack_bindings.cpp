// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <pybind11/stl.h>

#include <array>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "sim/stack_solver.hpp"
#include "tools/python/bindings.hpp"
#include "tools/stop.hpp"

namespace py = pybind11;

namespace lielow {
namespace {

using Solver = StackSolver<double>;

template <class Choice>
Choice chosen(const std::map<std::string, Choice>& choices, const std::string& word, const char* what) {
    const auto found = choices.find(word);
    if (found != choices.end()) return found->second;
    std::vector<std::string> words;
    for (const auto& [name, choice] : choices) words.push_back(name);
    throw InputError(fmt::format("{} '{}' isn't known; there are: {}", what, word, fmt::join(words, ", ")));
}

const std::map<std::string, EdgeKind> edge_kinds{{"wall", EdgeKind::wall}, {"open", EdgeKind::open}};
const std::map<std::string, DragLaw> drag_laws{{"none", DragLaw::none},
                                               {"quadratic", DragLaw::quadratic},
                                               {"manning", DragLaw::manning},
                                               {"darcy_weisbach", DragLaw::darcy_weisbach}};

std::unique_ptr<Solver> make_stack(const NumberArray<double>& ground, double dx, double dy,
                                   std::vector<double> buoyancy, int order, double courant,
                                   const std::string& edges, const std::string& drag_law, double drag,
                                   double interface_drag) {
    if (ground.ndim() != 2) throw InputError("ground must be an array of rows and columns");
    StackParameters p;
    p.buoyancy = std::move(buoyancy);
    if (order != 1 && order != 2) throw InputError("order must be 1 or 2");
    p.order = order == 2 ? SchemeOrder::second : SchemeOrder::first;
    p.courant = courant;
    const EdgeKind edge = chosen(edge_kinds, edges, "edges");
    p.edges = {edge, edge, edge, edge};
    p.drag_law = chosen(drag_laws, drag_law, "drag_law");
    p.drag_coefficient = drag;
    p.interface_drag = interface_drag;
    const Grid grid{static_cast<std::int32_t>(ground.shape(0)), static_cast<std::int32_t>(ground.shape(1)),
                    dx, dy};
    return std::make_unique<Solver>(grid, field_from<double>(ground, grid.rows, grid.cols, "ground"), p);
}

void set_thickness(Solver& solver, int sheet, const NumberArray<double>& metres) {
    if (sheet < 0 || sheet >= solver.sheets())
        throw InputError(
            fmt::format("there is no sheet {}; they count from 0 on top to {}", sheet, solver.sheets() - 1));
    const Grid& grid = solver.grid();
    const Field<double> values = field_from<double>(metres, grid.rows, grid.cols, "thickness");
    for (const double h : values.all()) {
        if (!(h >= 0)) throw InputError("no thickness may be negative or unknown");
    }
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) solver.set_thickness(sheet, j, i, values(j, i));
    }
}

void run_until(Solver& solver, double time) {
    py::gil_scoped_release released;
    const StopSignalsCaught stopping;
    while (solver.time() < time) {
        throw_if_stopped();
        solver.step_towards(time);
    }
}

py::array thickness(const py::object& self) {
    return thickness_view(self.cast<const Solver&>(), self);
}

py::array velocity_x(const py::object& self) {
    return velocity_x_view(self.cast<const Solver&>(), self);
}

py::array velocity_y(const py::object& self) {
    return velocity_y_view(self.cast<const Solver&>(), self);
}

py::dict budget(const Solver& solver) {
    const StackBudget sums = solver.budget();
    py::dict named;
    named["volume_m3"] = sums.volume;
    named["volume_in_m3"] = sums.volume_in;
    named["buoyancy_m4_s2"] = sums.buoyancy_content;
    named["buoyancy_in_m4_s2"] = sums.buoyancy_in;
    return named;
}

constexpr const char* view_doc =
    "Read-only, rows x sheets (0 on top) x columns, over the solver's own memory: nothing is copied. It "
    "shows the\n"
    "state until the next step; ask for it anew afterwards, or copy it to keep it.";

}  // namespace

void bind_stack(py::module_& module) {
    py::class_<Solver>(
        module, "Stack",
        "A stack of shallow sheets over uneven ground, in double precision. Water is one sheet of\n"
        "buoyancy [9.81]; cold air is sheets of rising buoyancy g dT/T. Row 0 lies north; velocity_y\n"
        "counts down the rows.")
        .def(py::init(&make_stack), py::arg("ground"), py::arg("dx"), py::arg("dy"),
             py::arg("buoyancy") = std::vector<double>{9.81}, py::kw_only(), py::arg("order") = 2,
             py::arg("courant") = 0.7, py::arg("edges") = "wall", py::arg("drag_law") = "none",
             py::arg("drag") = 0.0, py::arg("interface_drag") = 0.0,
             "ground: elevation, m, rows x columns; dx, dy: cell size, m; buoyancy: of each sheet, m/s2, top "
             "first.\n"
             "edges: 'wall' or 'open'. drag_law: 'none', 'quadratic', 'manning' or 'darcy_weisbach', with "
             "its\n"
             "coefficient `drag`.")
        .def_property_readonly("time", &Solver::time, "s since the start")
        .def_property_readonly("steps", &Solver::steps)
        .def_property_readonly("sheets", &Solver::sheets)
        .def_property_readonly("stable_step", &Solver::stable_step, "s")
        .def_property_readonly("thickness", &thickness, view_doc)
        .def_property_readonly("velocity_x", &velocity_x, view_doc)
        .def_property_readonly("velocity_y", &velocity_y, view_doc)
        .def("set_thickness", &set_thickness, py::arg("sheet"), py::arg("metres"))
        .def("step", &Solver::step, py::arg("at_most"),
             "One step of at most so many seconds; returns its length.")
        .def("run_until", &run_until, py::arg("time"))
        .def("budget", &budget, "What the stack holds and what has come in over its edges since the start.");
}

}  // namespace lielow
