#pragma once

/// The parts of the module, each in its own `bind_<part>.cpp`.

#include <pybind11/pybind11.h>

namespace layshaft {

void bind_car(pybind11::module_& module);
void bind_figures(pybind11::module_& module);
void bind_fit(pybind11::module_& module);
void bind_gears(pybind11::module_& module);
void bind_lap(pybind11::module_& module);
void bind_network(pybind11::module_& module);
void bind_run(pybind11::module_& module);
void bind_variables(pybind11::module_& module);

}  // namespace layshaft
