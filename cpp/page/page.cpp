// What the page for the pit asks of the core: a set-up as text in, JSON out.
//
// A set-up is one setting a line, as `car/setup_text.hpp` reads it; of a path given twice the later
// line counts, so a page appends what it changes. All numbers are in SI units.

#include <string_view>
#include <vector>

#include "answer.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/car/warnings.hpp"
#include "layshaft/laws/screw.hpp"
#include "layshaft/run/explain.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/launch_warnings.hpp"
#include "layshaft/run/scalars.hpp"
#include "layshaft/version.hpp"

namespace {

using layshaft::Car;
using layshaft::page::answer;
using layshaft::page::Json;

template <class Rows, class Result>
void put_scalars(const Rows& rows, const Result& result, Json& json) {
  json.key("scalars").open('{');
  for (const auto& row : rows) json.pair(row.name, row.get(result));
  json.close('}');
}

void put_warnings(const std::vector<layshaft::CarWarning>& warnings, Json& json) {
  json.key("warnings").open('[');
  for (const layshaft::CarWarning& warning : warnings) {
    json.open('{').pair("part", warning.part).pair("code", warning.code);
    json.pair("text", warning.text).close('}');
  }
  json.close(']');
}

void put_range(const layshaft::Field& field, Json& json) {
  json.open('{').pair("path", field.path).pair("unit", field.unit);
  json.pair("whole", field.kind == layshaft::FieldKind::count).pair("meaning", field.meaning);
  json.pair("low", field.minimum).pair("high", field.maximum);
  json.list("choices", field.choices, [](std::string_view choice) { return choice; });
  json.close('}');
}

}  // namespace

// The field table, without values.
LAYSHAFT_PAGE(page_fields)() {
  return answer([](Json& json) {
    json.pair("version", layshaft::version()).key("fields").open('[');
    for (const layshaft::Field& field : layshaft::fields()) put_range(field, json);
    json.close(']').key("pairs").open('{');
    for (const layshaft::PairedField& pair : layshaft::paired_fields()) {
      json.list(pair.path, pair.singles, [](std::string_view single) { return single; });
    }
    json.close('}');
  });
}

// All values of a set-up, choices as their place, and what it should be warned of.
LAYSHAFT_PAGE(page_read)(const char* setup) {
  return answer([&](Json& json) {
    const Car car = layshaft::car_from_text(setup);
    json.key("values").open('{');
    for (const layshaft::Field& field : layshaft::fields()) json.pair(field.path, field.get(car));
    json.close('}');
    put_warnings(layshaft::car_warnings(car), json);
  });
}

// What else it should be warned of, which only a long launch shows.
LAYSHAFT_PAGE(page_launch_warnings)(const char* setup) {
  return answer([&](Json& json) {
    put_warnings(layshaft::launch_warnings(layshaft::car_from_text(setup)), json);
  });
}

// A launch from rest to `distance` [m], its time to `mark` [m] on the way, and a sample every
// `interval` [s], or none at 0.
LAYSHAFT_PAGE(page_launch)(const char* setup, double mark, double distance, double interval) {
  return answer([&](Json& json) {
    layshaft::LaunchOptions options;
    options.distance = distance;
    options.sample_interval = interval;
    options.distance_marks = {mark, distance};
    const layshaft::LaunchResult run = layshaft::launch(layshaft::car_from_text(setup), options);
    put_scalars(layshaft::scalars(), run, json);
    json.pair("mark_time", run.distance_times.front());
    json.pair("time", run.distance_times.back()).pair("doubtful", run.doubtful);
    json.pair("changes", static_cast<double>(run.changes.size()));
    json.pair("stopped", layshaft::explain(run.ending));
    put_warnings(layshaft::pitch_warnings(run.peaks.pitch), json);
    using layshaft::Sample;
    json.list("times", run.samples, [](const Sample& sample) { return sample.time; });
    json.list("distances", run.samples,
              [](const Sample& sample) { return sample.accounts[layshaft::account::distance]; });
    json.list("speeds", run.samples,
              [](const Sample& sample) { return sample.state(layshaft::node::car); });
    json.list("crank_speeds", run.samples,
              [](const Sample& sample) { return sample.state(layshaft::node::crank); });
  });
}

// A flying lap; the track as so many pieces of seven numbers: length, curvature's four
// coefficients, grip, grade.
LAYSHAFT_PAGE(page_lap)(const char* setup, const double* pieces, int count) {
  return answer([&](Json& json) {
    std::vector<layshaft::TrackPiece> track;
    for (const double* p = pieces; p != pieces + 7 * count; p += 7) {
      track.push_back({p[0], {p[1], p[2], p[3], p[4]}, p[5], p[6]});
    }
    const layshaft::LapResult run =
        layshaft::lap(layshaft::car_from_text(setup), layshaft::Track(std::move(track)), {});
    put_scalars(layshaft::lap_scalars(), run, json);
    json.pair("stopped", layshaft::explain_on_track(run.ending));
    json.pair("complete", run.complete && run.holds).pair("doubtful", run.doubtful);
  });
}

// Turns of a set screw between two caliper readings [m]; positive is in.
LAYSHAFT_PAGE(page_turns)(const char* setup, double was, double becomes) {
  return answer([&](Json& json) {
    const auto shift = layshaft::car_from_text(setup).two_speed;
    json.pair("turns",
              layshaft::turns_between(was, becomes, shift.screw_pitch, shift.reading_direction));
  });
}
