#include <pybind11/functional.h>
#include <pybind11/stl.h>

#include "bindings.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/reading.hpp"
#include "layshaft/run/scalars.hpp"
#include "layshaft/run/sweep.hpp"
#include "run_tables.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

py::dict scalar_values(const LaunchResult& run) {
  py::dict values;
  for (const Scalar& scalar : scalars())
    values[py::str(std::string(scalar.name))] = scalar.get(run);
  return values;
}

LaunchOptions make_options(double distance, double longest_time, double start_speed, double grade,
                           double sample_interval, std::vector<double> distance_marks,
                           std::vector<double> speed_marks,
                           const std::vector<std::array<double, 3>>& pedals, double tolerance,
                           long most_steps) {
  LaunchOptions options;
  options.distance = distance;
  options.longest_time = longest_time;
  options.start_speed = start_speed;
  options.grade = grade;
  options.sample_interval = sample_interval;
  options.distance_marks = std::move(distance_marks);
  options.speed_marks = std::move(speed_marks);
  options.pedals = make_pedals(pedals);
  options.integration.tolerance = tolerance;
  options.integration.most_steps = most_steps;
  validate(options);
  return options;
}

py::tuple sweep_from_python(
    const Car& car, std::vector<std::string> paths,
    const py::array_t<double, py::array::c_style | py::array::forcecast>& values,
    const LaunchOptions& options, unsigned threads, const py::object& progress) {
  SweepPlan plan{std::move(paths), {values.data(), values.data() + values.size()}};
  PythonProgress report(progress);
  SweepResult result;
  {
    const py::gil_scoped_release release;
    result = sweep(car, plan, {options, threads}, std::ref(report));
  }
  report.raise();
  return py::make_tuple(std::move(result), report.interrupted());
}

void bind_options(py::module_& module) {
  py::class_<LaunchOptions>(module, "LaunchOptions", "What a run is asked for; checked at once.")
      .def(py::init(&make_options), py::kw_only(), py::arg("distance"), py::arg("longest_time"),
           py::arg("start_speed"), py::arg("grade"), py::arg("sample_interval"),
           py::arg("distance_marks"), py::arg("speed_marks"), py::arg("pedals"),
           py::arg("tolerance"), py::arg("most_steps"));
}

void bind_launch(py::module_& module) {
  py::class_<LaunchResult>(module, "LaunchResult", "All that one run gave.")
      .def_property_readonly(
          "status",
          [](const LaunchResult& run) { return std::string(to_string(run.ending.status)); })
      .def_property_readonly(
          "end", [](const LaunchResult& run) { return std::string(to_string(run.end)); })
      .def_property_readonly("message", [](const LaunchResult& run) { return explain(run.ending); })
      .def_property_readonly(
          "changes", [](const LaunchResult& run) { return change_list(run.changes, kSwitchNames); },
          "Tuples (time, kind, part, from, to, cause) in order of time.")
      .def_property_readonly("scalars", &scalar_values)
      .def_readonly("distance_times", &LaunchResult::distance_times)
      .def_readonly("distance_speeds", &LaunchResult::distance_speeds)
      .def_readonly("speed_times", &LaunchResult::speed_times)
      .def(
          "sample_outputs",
          [](const LaunchResult& run, double air_temperature) {
            return output_columns(run.samples, outputs().size(), [&](const Sample& sample) {
              return [reading = Reading{sample, air_temperature, sample.time}](std::size_t j) {
                return read_output(reading, j);
              };
            });
          },
          py::arg("air_temperature"), "A row for each of `outputs`, in it a number a sample.");
  module.def("launch", &launch, py::arg("car"), py::arg("options"),
             py::call_guard<py::gil_scoped_release>());
}

void bind_sweep(py::module_& module) {
  py::class_<SweepResult>(module, "SweepResult", "Scalars of many runs, one row a run.")
      .def_readonly("runs", &SweepResult::runs)
      .def_property_readonly("scalars",
                             [](const SweepResult& r) { return reshaped(r.scalars, r.runs); })
      .def_property_readonly(
          "distance_times", [](const SweepResult& r) { return reshaped(r.distance_times, r.runs); })
      .def_property_readonly(
          "distance_speeds",
          [](const SweepResult& r) { return reshaped(r.distance_speeds, r.runs); })
      .def_property_readonly("speed_times",
                             [](const SweepResult& r) { return reshaped(r.speed_times, r.runs); })
      .def_property_readonly("status",
                             [](const SweepResult& r) {
                               std::vector<std::string> names;
                               for (const RunStatus status : r.status)
                                 names.emplace_back(to_string(status));
                               return names;
                             })
      .def_readonly("messages", &SweepResult::messages);
  module.def("sweep", &sweep_from_python, py::arg("car"), py::arg("paths"), py::arg("values"),
             py::arg("options"), py::arg("threads"), py::arg("progress"),
             "Return (SweepResult, whether it was interrupted).");
}

// Names of states, couplings and modes in the order of the sample tables; scalars with unit and
// meaning.
void bind_names(py::module_& module) {
  const auto names = [](const auto& list) {
    py::list result;
    for (const std::string_view name : list) result.append(std::string(name));
    return py::tuple(result);
  };
  module.attr("coupling_names") = names(kCouplingNames);
  module.attr("switch_names") = names(kSwitchNames);
  module.attr("mode_names") = names(kModeNames);
  module.attr("outputs") = output_table(outputs());
  py::list table;
  for (const Scalar& scalar : scalars()) {
    table.append(py::make_tuple(std::string(scalar.name), std::string(scalar.unit),
                                std::string(scalar.meaning)));
  }
  module.attr("scalars") = py::tuple(table);
}

}  // namespace

void bind_run(py::module_& module) {
  bind_options(module);
  bind_launch(module);
  bind_sweep(module);
  bind_names(module);
}

}  // namespace layshaft
