#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include "bindings.hpp"
#include "layshaft/network/described.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

using State = DescribedPlant::State;

py::array_t<double> columns(const DescribedRun& run, int first, int count) {
  py::array_t<double> table({run.states.size(), static_cast<std::size_t>(count)});
  auto view = table.mutable_unchecked<2>();
  for (py::ssize_t i = 0; i < view.shape(0); ++i) {
    for (py::ssize_t j = 0; j < view.shape(1); ++j) {
      view(i, j) = run.states[static_cast<std::size_t>(i)](first + static_cast<int>(j));
    }
  }
  return table;
}

py::list change_rows(const DescribedRun& run) {
  py::list rows;
  for (const Change& change : run.changes) {
    if (change.part == Change::Part::plant_switch) continue;  // Seen in the coupling's mode.
    const auto mode = [](int value) {
      return std::string(to_string(static_cast<CouplingMode>(value)));
    };
    py::dict fields;
    fields["time"] = change.time;
    fields["coupling"] = change.index;
    fields["was"] = mode(change.from);
    fields["now"] = mode(change.to);
    rows.append(fields);
  }
  return rows;
}

DescribedRun run_from_python(const DescribedNetwork& network, const std::vector<double>& times,
                             double tolerance) {
  const py::gil_scoped_release release;
  return run_described(network, times, {.tolerance = tolerance});
}

void bind_description(py::module_& module) {
  py::class_<TimeLaw>(module, "TimeLaw", "A quantity over time.")
      .def(py::init(
               [](double constant, double slope, double amplitude, double frequency, double phase) {
                 return TimeLaw{constant, slope, amplitude, frequency, phase};
               }),
           py::kw_only(), py::arg("constant") = 0.0, py::arg("slope") = 0.0,
           py::arg("amplitude") = 0.0, py::arg("frequency") = 0.0, py::arg("phase") = 0.0);
  py::class_<DescribedBody>(module, "DescribedBody", "One body of a described network.")
      .def(py::init([](double inertia, double speed, double angle, const TimeLaw& torque,
                       double drag, double stiffness, double base_speed) {
             return DescribedBody{inertia, speed, angle, torque, drag, stiffness, base_speed};
           }),
           py::kw_only(), py::arg("inertia"), py::arg("speed"), py::arg("angle"), py::arg("torque"),
           py::arg("drag"), py::arg("stiffness"), py::arg("base_speed"));
  py::class_<DescribedCoupling>(module, "DescribedCoupling", "One coupling of a described network.")
      .def(py::init([](const std::vector<double>& slip, int driver, double efficiency,
                       const TimeLaw& pressure, double speed_gain, int speed_body,
                       double hold_ratio, double closed_from, bool rigid, bool one_way) {
             DescribedCoupling coupling{.slip = {},
                                        .driver = driver,
                                        .efficiency = efficiency,
                                        .pressure = pressure,
                                        .speed_gain = speed_gain,
                                        .speed_body = speed_body,
                                        .hold_ratio = hold_ratio,
                                        .closed_from = closed_from,
                                        .rigid = rigid,
                                        .one_way = one_way};
             for (std::size_t i = 0; i < slip.size(); ++i) coupling.slip.at(i) = slip[i];
             return coupling;
           }),
           py::kw_only(), py::arg("slip"), py::arg("driver"), py::arg("efficiency"),
           py::arg("pressure"), py::arg("speed_gain"), py::arg("speed_body"), py::arg("hold_ratio"),
           py::arg("closed_from"), py::arg("rigid"), py::arg("one_way"));
  py::class_<DescribedNetwork>(module, "DescribedNetwork", "Bodies and couplings as data.")
      .def(
          py::init([](std::vector<DescribedBody> bodies, std::vector<DescribedCoupling> couplings) {
            DescribedNetwork network{std::move(bodies), std::move(couplings)};
            validate(network);
            return network;
          }),
          py::kw_only(), py::arg("bodies"), py::arg("couplings"));
}

}  // namespace

void bind_network(py::module_& module) {
  bind_description(module);
  py::class_<DescribedRun>(module, "DescribedRun", "What a described network did.")
      .def_property_readonly(
          "status",
          [](const DescribedRun& run) { return std::string(to_string(run.ending.status)); })
      .def_property_readonly("changes", &change_rows, "Tuples (time, coupling, from, to).")
      .def_property_readonly("speeds",
                             [](const DescribedRun& run) { return columns(run, 0, kMostBodies); })
      .def_property_readonly(
          "angles", [](const DescribedRun& run) { return columns(run, kMostBodies, kMostBodies); })
      .def_property_readonly("losses", [](const DescribedRun& run) {
        py::array_t<double> table({run.losses.size(), static_cast<std::size_t>(kMostBodies)});
        auto view = table.mutable_unchecked<2>();
        for (std::size_t i = 0; i < run.losses.size(); ++i) {
          for (std::size_t k = 0; k < run.losses[i].size(); ++k) {
            view(static_cast<py::ssize_t>(i), static_cast<py::ssize_t>(k)) = run.losses[i][k];
          }
        }
        return table;
      });
  module.def("run_described", &run_from_python, py::arg("network"), py::arg("times"),
             py::arg("tolerance"), "Run to the last of the times and take the state at each.");
}

}  // namespace layshaft
