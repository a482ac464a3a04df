// What observations call for, on one thread and one launch after the other: the library's own
// (`fit/observation.cpp`) goes through threads, which a page has none of. The numbers are the same
// bits, for so are those of lanes.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "layshaft/fit/observation.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

constexpr std::string_view kTime = "time";

double shown_in(const LaunchResult& run, const std::string& measure) {
  if (measure == kTime) return run.distance_times.back();
  return std::ranges::find(scalars(), measure, &Scalar::name)->get(run);
}

}  // namespace

void validate(const Observation& observation) {
  const std::string& measure = observation.measure;
  if (measure != kTime && std::ranges::find(scalars(), measure, &Scalar::name) == scalars().end()) {
    throw std::invalid_argument("Observation.measure = " + measure +
                                " must be time or a scalar of a launch");
  }
  require(std::isfinite(observation.value), "Observation", "value", observation.value, "finite");
  require(observation.error > 0.0 && std::isfinite(observation.error), "Observation", "error",
          observation.error, "> 0");
  for (const Setting& setting : observation.changes) {
    for (const Field* field : fields_of(setting.path)) check_range(*field, setting.value);
  }
  validate(observation.options);
}

std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                            std::span<const Point> points, unsigned /*threads*/,
                            const Progress& /*progress*/) {
  std::vector<double> shown;
  for (const Point& point : points) {
    for (const Observation& each : observations) {
      try {
        const Changes changes(std::array{&point, &each.changes});
        LaunchOptions options = each.options;
        if (options.distance_marks.empty()) options.distance_marks.push_back(options.distance);
        shown.push_back(shown_in(launch(changes.of(car), options), each.measure));
      } catch (const std::invalid_argument&) {  // A car that cannot be.
        shown.push_back(std::numeric_limits<double>::quiet_NaN());
      }
    }
  }
  return shown;
}

}  // namespace layshaft
