#include <pybind11/stl.h>

#include <array>

#include "bindings.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/car/units.hpp"
#include "layshaft/run/variables.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

constexpr std::array<const char*, 3> kRoles{"parameter", "input", "output"};
constexpr std::array<const char*, 4> kKinds{"number", "count", "choice", "yes_no"};

py::tuple variable_choices(const Variable& variable) {
  py::list names;
  for (const std::string_view choice : variable.choices) names.append(choice);
  return py::tuple(names);
}

py::tuple all_variables() {
  py::list list;
  for (const Variable& variable : variables()) list.append(py::cast(variable));
  return py::tuple(list);
}

}  // namespace

void bind_variables(py::module_& module) {
  py::class_<Variable>(module, "Variable", "What another program may set or read, by name.")
      .def_readonly("name", &Variable::name)
      .def_readonly("unit", &Variable::unit, "SI unit; `1` for a ratio.")
      .def_property_readonly(
          "role", [](const Variable& row) { return kRoles[static_cast<std::size_t>(row.role)]; },
          "`parameter`, `input` or `output`.")
      .def_property_readonly(
          "kind", [](const Variable& row) { return kKinds[static_cast<std::size_t>(row.kind)]; },
          "`number`, `count`, `choice` (given by its position) or `yes_no`.")
      .def_readonly("fallback", &Variable::fallback, "Of the demo car; 0 for outputs.")
      .def_readonly("minimum", &Variable::minimum)
      .def_readonly("maximum", &Variable::maximum)
      .def_readonly("meaning", &Variable::meaning)
      .def_property_readonly("choices", &variable_choices, "Names of a choice, else empty.");
  module.def("variables", &all_variables,
             "Return all variables; the position in the tuple is the variable's number.");
  module.def("setup_text", &to_text, py::arg("car"),
             "Return all settings, one a line by their full paths, numbers in SI units.");
  module.def("car_from_text", &car_from_text, py::arg("text"),
             "Return the demo car with the settings of such a text.");
  module.def("to_si", &to_si, py::arg("text"), py::arg("si_unit"),
             "Read a number with one of the usual units.");
}

}  // namespace layshaft
