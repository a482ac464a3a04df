#include <pybind11/pybind11.h>

#include "bindings.hpp"
#include "layshaft/version.hpp"

namespace py = pybind11;

PYBIND11_MODULE(_core, module) {
  module.doc() = "The compiled core of layshaft; private: import layshaft instead.";
  module.def("version", &layshaft::version,
             "Return the version of the compiled core as `major.minor.patch`.");
  layshaft::bind_run(module);
}
