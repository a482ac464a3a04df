// What cars would have shown, one launch after the other: the library's own (`fit/prediction.cpp`)
// goes through threads, of which a page has none. What lanes show is what launches alone show,
// which `tests/cpp/prediction_test.cpp` holds them to.

#include <array>
#include <limits>
#include <stdexcept>

#include "layshaft/fit/prediction.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

double shown_in(const LaunchResult& run, const std::string& measure) {
  const auto scalar = scalar_of(measure);
  return scalar ? scalars()[*scalar].get(run) : run.distance_times.back();
}

}  // namespace

std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                            std::span<const Point> points, unsigned /*threads*/,
                            const Progress& /*progress*/) {
  for (const Observation& each : observations) validate(each);
  std::vector<double> shown;
  for (const Point& point : points) {
    for (const Observation& each : observations) {
      try {
        const Changes changes(std::array{&point, &each.changes});
        shown.push_back(shown_in(launch(changes.of(car), with_mark(each.options)), each.measure));
      } catch (const std::invalid_argument&) {  // A car that cannot be.
        shown.push_back(std::numeric_limits<double>::quiet_NaN());
      }
    }
  }
  return shown;
}

}  // namespace layshaft
