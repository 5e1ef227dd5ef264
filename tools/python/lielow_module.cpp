// SPDX-License-Identifier: Apache-2.0
// The Python module: the same code as the command line's, for researchers who script their runs.
#include <omp.h>

#include "sim/errors.hpp"
#include "tools/python/bindings.hpp"
#include "tools/version.hpp"

namespace py = pybind11;

namespace {

void translate(std::exception_ptr thrown) {
    try {
        if (thrown) std::rethrow_exception(thrown);
    } catch (const lielow::InputError& error) {
        PyErr_SetString(PyExc_ValueError, error.what());
    } catch (const lielow::RunError& error) {
        PyErr_SetString(PyExc_RuntimeError, error.what());
    } catch (const lielow::Interrupted&) {
        PyErr_SetNone(PyExc_KeyboardInterrupt);
    }
}

}  // namespace

PYBIND11_MODULE(lielow, module) {
    module.doc() =
        "Where cold air and water lie low: frost nights and ponding over uneven ground.\n\n"
        "run() and check() do what the commands of the same name do; Night and Stack, the solver beneath, "
        "are to be "
        "stepped by\n"
        "hand. Numbers are SI. Wrong input is a ValueError, a run that failed a RuntimeError, each in one "
        "line.\n"
        "Results are a screening: no forecast of any night or flood, and no design.";
    py::register_exception_translator(&translate);
    module.attr("__version__") = lielow::version();
    module.def(
        "set_threads", [](int threads) { omp_set_num_threads(threads); }, py::arg("threads"),
        "Threads that work is shared among from now on; results don't depend on it.");
    lielow::bind_night(module);
    lielow::bind_site(module);
    lielow::bind_stack(module);
}
