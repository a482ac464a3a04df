// What cars would have shown, one launch after the other: the library's own (`fit/prediction.cpp`)
// goes through threads, of which a page has none. What lanes show is what launches alone show,
// which `tests/cpp/prediction_test.cpp` holds them to.

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <stdexcept>

#include "layshaft/fit/prediction.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

double shown_in(const LaunchResult& run, const std::string& measure) {
  const auto scalar = scalar_of(measure);
  return scalar ? scalars()[*scalar].get(run) : run.distance_times.back();
}

// The first of the observations that the same launch shows.
std::size_t first_like(std::span<const Observation> observations, std::size_t number) {
  const Observation& own = observations[number];
  const auto first = std::ranges::find_if(observations, [&](const Observation& each) {
    return each.changes == own.changes && each.options == own.options;
  });
  return static_cast<std::size_t>(first - observations.begin());
}

}  // namespace

std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                            std::span<const Point> points, unsigned /*threads*/,
                            const Progress& /*progress*/) {
  std::vector<std::size_t> launched;  // Of each, whose launch shows it.
  for (std::size_t i = 0; i < observations.size(); ++i) {
    validate(observations[i]);
    launched.push_back(first_like(observations, i));
  }
  std::vector<double> shown;
  for (const Point& point : points) {
    std::vector<std::optional<LaunchResult>> runs(observations.size());
    for (std::size_t i = 0; i < observations.size(); ++i) {
      std::optional<LaunchResult>& run = runs[launched[i]];
      try {
        const Changes changes(std::array{&point, &observations[i].changes});
        if (!run) run = launch(changes.of(car), with_mark(observations[i].options));
        shown.push_back(shown_in(*run, observations[i].measure));
      } catch (const std::invalid_argument&) {  // A car that cannot be.
        shown.push_back(std::numeric_limits<double>::quiet_NaN());
      }
    }
  }
  return shown;
}

}  // namespace layshaft
