#include <pybind11/pybind11.h>

#include "bindings.hpp"
#include "layshaft/version.hpp"

namespace py = pybind11;

PYBIND11_MODULE(_core, module) {
  module.doc() = "The compiled core of layshaft; private: import layshaft instead.";
  module.def("version", &layshaft::version,
             "Return the version of the compiled core as `major.minor.patch`.");
  layshaft::bind_car(module);
  layshaft::bind_gears(module);
  layshaft::bind_network(module);
  layshaft::bind_run(module);
  layshaft::bind_lap(module);
  layshaft::bind_variables(module);
}
