#include <pybind11/functional.h>
#include <pybind11/stl.h>

#include <algorithm>

#include "bindings.hpp"
#include "layshaft/fit/learn.hpp"
#include "layshaft/fit/prediction.hpp"
#include "layshaft/fit/setting_search.hpp"
#include "run_tables.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

using PlainTable = py::array_t<double, py::array::c_style | py::array::forcecast>;

Point point_of(const py::dict& settings) {
  Point point;
  for (const auto& [path, value] : settings) {
    point.push_back({path.cast<std::string>(), value.cast<double>()});
  }
  return point;
}

py::dict dict_of(const Point& point) {
  py::dict settings;
  for (const Setting& setting : point) settings[py::str(setting.path)] = setting.value;
  return settings;
}

Unknown make_unknown(std::string path, double guess, double doubt, double low, double high,
                     const py::dict& followers) {
  Unknown unknown{std::move(path), guess, doubt, low, high, {}};
  for (auto& [name, ratio] : point_of(followers)) unknown.followers.push_back({name, ratio});
  validate(unknown);
  return unknown;
}

Observation make_observation(std::string measure, double value, double error,
                             const py::dict& changes, const LaunchOptions& options) {
  Observation observation{std::move(measure), value, error, point_of(changes), options};
  validate(observation);
  return observation;
}

Table predict_from_python(const Car& car, const std::vector<Observation>& observations,
                          const std::vector<py::dict>& settings) {
  std::vector<Point> points;
  std::ranges::transform(settings, std::back_inserter(points), &point_of);
  const py::object nobody = py::none();
  PythonProgress report(nobody);
  std::vector<double> shown;
  {
    const py::gil_scoped_release release;
    shown = predict(car, observations, points, 0, std::ref(report));
  }
  if (report.interrupted()) {
    PyErr_SetNone(PyExc_KeyboardInterrupt);
    throw py::error_already_set();
  }
  report.raise();
  return reshaped(shown, points.size());
}

// What Python predicts of cars given by their changes; it holds the interpreter's lock.
Evidence evidence_of(std::vector<double> values, std::vector<double> errors,
                     const py::function& predict) {
  return {std::move(values), std::move(errors), [&predict](std::span<const Point> points) {
            py::list settings;
            for (const Point& point : points) settings.append(dict_of(point));
            const auto shown = predict(settings).cast<PlainTable>();
            return std::vector<double>(shown.data(), shown.data() + shown.size());
          }};
}

void bind_values(py::module_& module) {
  py::class_<Unknown>(module, "Unknown", "A number to learn; checked at once.")
      .def(py::init(&make_unknown), py::kw_only(), py::arg("path"), py::arg("guess"),
           py::arg("doubt"), py::arg("low"), py::arg("high"), py::arg("followers"));
  py::class_<Observation>(module, "Observation", "A number seen in a launch; checked at once.")
      .def(py::init(&make_observation), py::kw_only(), py::arg("measure"), py::arg("value"),
           py::arg("error"), py::arg("changes"), py::arg("options"));
  py::class_<Learned>(module, "Learned", "What a fit found, in SI units.")
      .def_property_readonly("point", [](const Learned& found) { return dict_of(found.point); })
      .def_readonly("values", &Learned::values)
      .def_readonly("low", &Learned::low)
      .def_readonly("high", &Learned::high)
      .def_property_readonly(
          "covariance",
          [](const Learned& found) { return reshaped(found.covariance, found.values.size()); })
      .def_property_readonly(
          "information",
          [](const Learned& found) { return reshaped(found.information, found.values.size()); })
      .def_readonly("shown_before", &Learned::shown_before)
      .def_readonly("shown", &Learned::shown)
      .def_readonly("looks", &Learned::looks)
      .def_readonly("cars", &Learned::cars)
      .def_property_readonly(
          "end", [](const Learned& found) { return std::string(to_string(found.end)); });
}

void bind_learning(py::module_& module) {
  module.def("predict", &predict_from_python, py::arg("car"), py::arg("observations"),
             py::arg("points"), "Return what each car would have shown, points x observations.");
  module.def(
      "point_at",
      [](const std::vector<Unknown>& unknowns, const std::vector<double>& shares) {
        return dict_of(point_at(unknowns, shares));
      },
      py::arg("unknowns"), py::arg("shares"));
  module.def(
      "followers",
      [](const Car& car, const std::string& path) {
        py::dict ratios;
        for (const auto& [follower, ratio] : followers_of(car, path)) {
          ratios[py::str(follower)] = ratio;
        }
        return ratios;
      },
      py::arg("car"), py::arg("path"), "Return the ratio of each field that follows the path's.");
  module.def(
      "learnable_range",
      [](const Car& car, const std::string& path) {
        const auto [low, high] = learnable_range(car, path);
        return std::make_pair(low, high);
      },
      py::arg("car"), py::arg("path"), "Return (low, high), for what follows the path's as well.");
  module.def(
      "learn",
      [](const std::vector<Unknown>& unknowns, std::vector<double> values,
         std::vector<double> errors, const py::function& predict) {
        return learn(unknowns, evidence_of(std::move(values), std::move(errors), predict));
      },
      py::arg("unknowns"), py::arg("values"), py::arg("errors"), py::arg("predict"));
  module.def(
      "slopes_at",
      [](const std::vector<Unknown>& unknowns, std::vector<double> values,
         std::vector<double> errors, const py::function& predict,
         const std::vector<double>& shares) {
        const std::size_t rows = values.size();
        return reshaped(
            slopes_at(unknowns, evidence_of(std::move(values), std::move(errors), predict), shares),
            rows);
      },
      py::arg("unknowns"), py::arg("values"), py::arg("errors"), py::arg("predict"),
      py::arg("shares"), "Return errors by doubts, values x unknowns.");
}

// The judge returns (cost, excess), as `Judged`.
void bind_search(py::module_& module) {
  module.def(
      "refine",
      [](const std::function<std::pair<double, double>(double)>& judge, bool is_target,
         double within, const std::pair<double, double>& start, double low, double high) {
        const auto judged = [&](double setting) {
          const auto [cost, excess] = judge(setting);
          return Judged{cost, excess};
        };
        const SettingFound found =
            refine(judged, {is_target, within}, {start.first, start.second}, low, high);
        return std::make_pair(found.setting, found.cost);
      },
      py::arg("judge"), py::kw_only(), py::arg("is_target"), py::arg("within"), py::arg("start"),
      py::arg("low"), py::arg("high"), "Return (setting, cost), as `start`.");
}

}  // namespace

void bind_fit(py::module_& module) {
  bind_values(module);
  bind_learning(module);
  bind_search(module);
}

}  // namespace layshaft
