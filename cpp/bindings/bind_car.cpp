#include <pybind11/operators.h>
#include <pybind11/stl.h>

#include <array>

#include "bindings.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/laws/curve_points.hpp"
#include "layshaft/run/launch_warnings.hpp"
#include "warning_rows.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

constexpr std::array<const char*, 3> kKindNames{"number", "count", "choice"};

using NamedValue = std::pair<std::string, double>;

// All numbers of a car: one a field in the order of the table, then the torque curve.
struct CarValues {
  std::vector<double> fields;
  std::vector<double> speeds;
  std::vector<double> torques;
};

std::vector<double> curve_part(const Car& car, const std::array<double, kMaxKnots>& part) {
  return {part.begin(), part.begin() + static_cast<std::ptrdiff_t>(car.engine.torque.count)};
}

std::vector<double> curve_speeds(const Car& car) { return curve_part(car, car.engine.torque.x); }
std::vector<double> curve_torques(const Car& car) { return curve_part(car, car.engine.torque.y); }

std::vector<double> field_values(const Car& car) {
  std::vector<double> values;
  for (const Field& field : fields()) values.push_back(field.get(car));
  return values;
}

Car with_fields(Car car, const std::vector<NamedValue>& changes) {
  for (const auto& [path, value] : changes) car = with_field(car, path, value);
  return car;
}

Car with_torque_curve(Car car, const std::vector<double>& speeds,
                      const std::vector<double>& torques) {
  car.engine.torque = make_curve(speeds, torques);
  return car;
}

Car car_from_values(const CarValues& values) {
  Car car = demo_car();
  std::size_t next = 0;
  for (const Field& field : fields()) field.set(car, values.fields.at(next++));
  return with_torque_curve(car, values.speeds, values.torques);
}

template <class Rows>
py::tuple tuple_of(const Rows& rows) {
  py::list list;
  for (const auto& row : rows) list.append(py::cast(row, py::return_value_policy::copy));
  return py::tuple(list);
}

void bind_fields(py::module_& module) {
  py::class_<Field>(module, "Field", "One parameter of the car: a row of the field table.")
      .def_readonly("path", &Field::path, "Name with its sections, `two_speed.screw_arm`.")
      .def_readonly("unit", &Field::unit, "SI unit of the stored value; `1` for a ratio.")
      .def_property_readonly(
          "kind",
          [](const Field& field) { return kKindNames[static_cast<std::size_t>(field.kind)]; },
          "`number`, `count` (a whole number) or `choice` (stored as its position).")
      .def_readonly("fallback", &Field::fallback, "Value of the demo car (invented).")
      .def_readonly("minimum", &Field::minimum, "Least plausible value, inclusive.")
      .def_readonly("maximum", &Field::maximum, "Greatest plausible value, inclusive.")
      .def_readonly("meaning", &Field::meaning)
      .def_property_readonly(
          "choices", [](const Field& field) { return tuple_of(field.choices); },
          "Names of a choice, else empty.")
      .def("__repr__",
           [](const Field& field) { return "<Field " + std::string(field.path) + ">"; });

  py::class_<PairedField>(module, "PairedField", "A path that sets a field of every shoe.")
      .def_readonly("path", &PairedField::path)
      .def_property_readonly(
          "singles", [](const PairedField& pair) { return tuple_of(pair.singles); },
          "Paths of the fields, shoe by shoe.");

  py::class_<CurveField>(module, "CurveField", "A field that is a list of points.")
      .def_readonly("path", &CurveField::path)
      .def_readonly("x_unit", &CurveField::x_unit)
      .def_readonly("y_unit", &CurveField::y_unit)
      .def_readonly("x_maximum", &CurveField::x_maximum, "The least x is 0.")
      .def_readonly("y_minimum", &CurveField::y_minimum)
      .def_readonly("y_maximum", &CurveField::y_maximum)
      .def_readonly("meaning", &CurveField::meaning);

  module.def(
      "fields", [] { return tuple_of(fields()); },
      "Return all fields in the order of the set-up file.");
  module.def(
      "paired_fields", [] { return tuple_of(paired_fields()); },
      "Return the paths that set a field of every shoe.");
  module.def("torque_curve_field", &torque_curve_field, py::return_value_policy::reference,
             "Return the field of the engine's torque curve.");
  module.def("nearest_path", &nearest_path, py::arg("path"),
             "Return the known path nearest to a mistyped one.");
  module.attr("max_curve_points") = kMaxKnots;
  module.def(
      "keep_points",
      [](const std::vector<double>& x, const std::vector<double>& y) {
        PointsKept kept = keep_points(x, y);
        return std::pair(std::move(kept.positions), kept.off);
      },
      py::arg("x"), py::arg("y"),
      "Return the positions of the points that a curve is put through, and the largest error at "
      "one left out.");
}

py::tuple pickled(const Car& car) {
  return py::make_tuple(field_values(car), curve_speeds(car), curve_torques(car));
}

Car unpickled(const py::tuple& state) {
  return car_from_values({.fields = state[0].cast<std::vector<double>>(),
                          .speeds = state[1].cast<std::vector<double>>(),
                          .torques = state[2].cast<std::vector<double>>()});
}

}  // namespace

void bind_car(py::module_& module) {
  bind_fields(module);
  py::class_<Car>(module, "Car", "The whole car as one immutable value; SI units.")
      .def_static("demo", &demo_car, "Return the built-in car; its numbers are invented.")
      .def("get", &get_field, py::arg("path"), "Return a field, or a pair whose two values agree.")
      .def("replace", &with_fields, py::arg("changes"),
           "Return a copy with each (path, value) set in turn; ranges are checked.")
      .def("values", &field_values, "Return all fields in the order of the table.")
      .def_property_readonly("torque_speeds", &curve_speeds, "Knots of the torque curve [rad/s].")
      .def_property_readonly("torque_values", &curve_torques, "Full-throttle torque there [N*m].")
      .def("with_torque_curve", &with_torque_curve, py::arg("speeds"), py::arg("torques"),
           "Return a copy with another torque curve, speeds [rad/s] ascending, torques [N*m].")
      .def(
          "validate", [](const Car& car) { validate(car); },
          "Raise ValueError naming the field, its value and the broken bound.")
      .def(
          "warnings",
          [](const Car& car) {
            std::vector<CarWarning> found = launch_warnings(car);
            const std::vector<CarWarning> of_parts = car_warnings(car);
            found.insert(found.end(), of_parts.begin(), of_parts.end());
            return warning_rows(found);
          },
          "Triples (section, code, sentence) of what the parts of a valid car do together.")
      .def(py::self == py::self)
      .def(py::pickle(&pickled, &unpickled));
  module.def(
      "pitch_warnings", [](double peak_pitch) { return warning_rows(pitch_warnings(peak_pitch)); },
      py::arg("peak_pitch"), "Triples of what a run is warned of whose body pitched so far [rad].");
}

}  // namespace layshaft
