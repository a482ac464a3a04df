#include <pybind11/functional.h>
#include <pybind11/stl.h>

#include "bindings.hpp"
#include "layshaft/run/lap_sweep.hpp"
#include "layshaft/run/scalars.hpp"
#include "run_tables.hpp"
#include "warning_rows.hpp"

namespace py = pybind11;
using namespace py::literals;  // NOLINT: they are for that

namespace layshaft {
namespace {

// A lap is asked for with its track.
struct TrackLap {
  Track track;
  LapOptions options;
};

constexpr std::size_t kPieceColumns = 7;

Track make_track(const py::array_t<double, py::array::c_style | py::array::forcecast>& table) {
  if (table.ndim() != 2 || table.shape(1) != kPieceColumns) {
    throw std::invalid_argument("pieces must have the columns length, c0, c1, c2, c3, grip, grade");
  }
  const auto view = table.unchecked<2>();
  std::vector<TrackPiece> pieces;
  for (py::ssize_t i = 0; i < view.shape(0); ++i) {
    pieces.push_back(
        {view(i, 0), {view(i, 1), view(i, 2), view(i, 3), view(i, 4)}, view(i, 5), view(i, 6)});
  }
  return Track(std::move(pieces));
}

TrackLap make_lap_options(const Track& track, bool standing, bool settled, double sample_spacing,
                          std::vector<double> sectors, double corner_share, double brake_share,
                          double release_time, double correction_time, double before_corner,
                          double least_power, double longest_time, int most_laps, double tolerance,
                          long most_steps) {
  LapOptions options;
  options.driver = {corner_share, brake_share, release_time, correction_time};
  options.standing = standing;
  options.settled = settled;
  options.sample_spacing = sample_spacing;
  options.sectors = std::move(sectors);
  options.before_corner = before_corner;
  options.least_power = least_power;
  options.longest_time = longest_time;
  options.most_laps = most_laps;
  options.integration.tolerance = tolerance;
  options.integration.most_steps = most_steps;
  validate(options, track);
  return {track, std::move(options)};
}

// The fields of a Moment, as those of the others below, by the names that Python gives them.
py::dict moment_fields(const Moment& moment) {
  return py::dict("time"_a = moment.time, "distance"_a = moment.distance,
                  "car_speed"_a = moment.car_speed, "engine_speed"_a = moment.crank_speed);
}

// Contact of shoes and drum, first gear's hold, lock of shoes and drum: where each begins or ends.
std::array<Moment, 3> switchings(const LapEvent& event) {
  if (event.kind == LapEvent::Kind::downshift) {
    return {event.down.open, event.down.hold, event.down.slip};
  }
  return {event.up.contact, event.up.let_go, event.up.lock};
}

py::list event_list(const LapResult& run) {
  py::list list;
  for (const LapEvent& event : run.events) {
    const auto [contact, let_go, lock] = switchings(event);
    list.append(py::dict("kind"_a = std::string(to_string(event.kind)),
                         "place"_a = std::string(to_string(event.place)), "corner"_a = event.corner,
                         "contact"_a = moment_fields(contact), "let_go"_a = moment_fields(let_go),
                         "lock"_a = moment_fields(lock), "low"_a = moment_fields(event.up.low),
                         **moment_fields(event.at)));
  }
  return list;
}

py::list corner_list(const LapResult& run) {
  py::list list;
  for (const CornerPass& pass : run.corners) {
    list.append(py::dict("begin"_a = pass.begin, "end"_a = pass.end,
                         "brake_distance"_a = pass.brake_distance,
                         "entry_speed"_a = pass.entry_speed, "least_speed"_a = pass.least_speed,
                         "least_distance"_a = pass.least_distance, "most_grip"_a = pass.most_grip,
                         "exit_distance"_a = pass.exit_distance,
                         "exit_engine_speed"_a = pass.exit_crank, "exit_power"_a = pass.exit_power,
                         "bogs"_a = pass.bogs, "tyres_limit"_a = pass.tyres_limit));
  }
  return list;
}

py::tuple lap_sweep_from_python(
    const Car& car, std::vector<std::string> paths,
    const py::array_t<double, py::array::c_style | py::array::forcecast>& values,
    const TrackLap& lap, unsigned threads, const py::object& progress) {
  SweepPlan plan{std::move(paths), {values.data(), values.data() + values.size()}};
  PythonProgress report(progress);
  SweepResult result;
  {
    const py::gil_scoped_release release;
    result = lap_sweep(car, lap.track, plan, {lap.options, threads}, std::ref(report));
  }
  report.raise();
  return py::make_tuple(std::move(result), report.interrupted());
}

void bind_track(py::module_& module) {
  py::class_<Track>(module, "Track", "Curvature, grip and grade over the distance.")
      .def(py::init(&make_track), py::arg("pieces"))
      .def_property_readonly("length", &Track::length)
      .def("curvature_at", py::vectorize([](const Track* track, double distance) {
             return track->curvature_at(distance);
           }),
           py::arg("distance"))
      .def("corners", [](const Track& track) {
        std::vector<std::pair<double, double>> corners;
        for (const Corner& corner : track.corners()) corners.emplace_back(corner.begin, corner.end);
        return corners;
      });
  py::class_<TrackLap>(module, "LapOptions", "What a lap is asked for; checked at once.")
      .def(py::init(&make_lap_options), py::kw_only(), py::arg("track"), py::arg("standing"),
           py::arg("settled"), py::arg("sample_spacing"), py::arg("sectors"),
           py::arg("corner_share"), py::arg("brake_share"), py::arg("release_time"),
           py::arg("correction_time"), py::arg("before_corner"), py::arg("least_power"),
           py::arg("longest_time"), py::arg("most_laps"), py::arg("tolerance"),
           py::arg("most_steps"));
}

void bind_result(py::module_& module) {
  py::class_<LapResult>(module, "LapResult", "All that one lap gave.")
      .def_property_readonly("message", &explain_lap)
      .def_readonly("complete", &LapResult::complete)
      .def_readonly("repeats", &LapResult::repeats)
      .def_readonly("laps", &LapResult::laps)
      .def_readonly("holds", &LapResult::holds)
      .def_readonly("rolls_back", &LapResult::rolls_back)
      .def_readonly("stands", &LapResult::stands)
      .def_readonly("margin_rounds", &LapResult::margin_rounds)
      .def_readonly("period_error", &LapResult::period_error)
      .def_readonly("sector_times", &LapResult::sector_times)
      .def_readonly("sector_speeds", &LapResult::sector_speeds)
      .def_readonly("crank_times", &LapResult::crank_times)
      .def_property_readonly(
          "changes",
          [](const LapResult& run) { return change_list(run.changes, kTrackSwitchNames); })
      .def_property_readonly("events", &event_list, "The fields of each LapEvent by their names.")
      .def_property_readonly("corners", &corner_list)
      .def_property_readonly("scalars",
                             [](const LapResult& run) {
                               py::dict values;
                               for (const LapScalar& scalar : lap_scalars()) {
                                 values[py::str(std::string(scalar.name))] = scalar.get(run);
                               }
                               return values;
                             })
      .def(
          "sample_outputs",
          [](const LapResult& run, double air_temperature) {
            return output_columns(run.samples, lap_outputs().size(), [&](const LapSample& sample) {
              return [&sample, air_temperature](std::size_t j) {
                return read_lap_output(sample, air_temperature, j);
              };
            });
          },
          py::arg("air_temperature"), "A row for each of `lap_outputs`, in it a number a sample.");
}

}  // namespace

void bind_lap(py::module_& module) {
  bind_track(module);
  bind_result(module);
  module.def(
      "lap",
      [](const Car& car, const TrackLap& lap) {
        return layshaft::lap(car, lap.track, lap.options);
      },
      py::arg("car"), py::arg("options"), py::call_guard<py::gil_scoped_release>());
  module.def("sweep", &lap_sweep_from_python, py::arg("car"), py::arg("paths"), py::arg("values"),
             py::arg("options"), py::arg("threads"), py::arg("progress"),
             "Return (SweepResult, whether it was interrupted).");
  module.def(
      "lap_warnings",
      [](double peak_pitch, double grip_left) {
        return warning_rows(lap_warnings(peak_pitch, grip_left));
      },
      py::arg("peak_pitch"), py::arg("grip_left"), "Triples of what a lap is warned of.");
  py::list table;
  for (const LapScalar& scalar : lap_scalars()) {
    table.append(py::make_tuple(std::string(scalar.name), std::string(scalar.unit),
                                std::string(scalar.meaning)));
  }
  module.attr("lap_scalars") = py::tuple(table);
  module.attr("lap_outputs") = output_table(lap_outputs());
}

}  // namespace layshaft
