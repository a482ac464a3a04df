#include <pybind11/pybind11.h>

#include <algorithm>

#include "bindings.hpp"
#include "layshaft/version.hpp"

namespace py = pybind11;

namespace {

// Python takes objects apart for pickle protocols 0 and 1 by making an instance of their base. That
// of all bound types belongs to no C++ type, and making one ends the process.
void take_apart_as_in_protocol_2(const py::module_& module) {
  const py::object usual = py::module_::import("builtins").attr("object").attr("__reduce_ex__");
  for (const auto& [name, member] : module.attr("__dict__").cast<py::dict>()) {
    if (!PyType_Check(member.ptr())) continue;
    member.attr("__reduce_ex__") =
        py::cpp_function([usual](const py::object& self,
                                 int protocol) { return usual(self, std::max(protocol, 2)); },
                         py::name("__reduce_ex__"), py::is_method(member));
  }
}

}  // namespace

// Python looks for the entry point below; this is the one it leads to.
PYBIND11_MODULE(_core_of_main_interpreter, module) {
  module.doc() = "The compiled core of layshaft; private: import layshaft instead.";
  module.def("version", &layshaft::version,
             "Return the version of the compiled core as `major.minor.patch`.");
  layshaft::bind_car(module);
  layshaft::bind_figures(module);
  layshaft::bind_gears(module);
  layshaft::bind_network(module);
  layshaft::bind_run(module);
  layshaft::bind_lap(module);
  layshaft::bind_fit(module);
  layshaft::bind_variables(module);
  take_apart_as_in_protocol_2(module);
}

// Asked for before pybind11 is: up to Python 3.11 that waits in a subinterpreter for a lock which
// its own thread holds.
extern "C" PYBIND11_EXPORT PyObject* PyInit__core() {
  if (PyInterpreterState_Get() != PyInterpreterState_Main()) {
    PyErr_SetString(PyExc_ImportError,
                    "layshaft does not support subinterpreters: import it in the main interpreter, "
                    "or start a process of its own");
    return nullptr;
  }
  return PyInit__core_of_main_interpreter();
}
