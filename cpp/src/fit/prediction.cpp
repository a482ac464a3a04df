#include "layshaft/fit/prediction.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>

#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

// Observations of one kind of launch, and the settings at which they were made.
struct Kind {
  const Observation* first;
  std::vector<std::size_t> members;
  std::vector<std::size_t> setting;  // Of each member.
  std::vector<const Point*> settings;
};

void add(std::vector<Kind>& kinds, const Observation& observation, std::size_t number) {
  const auto asks_alike = [&](const Kind& each) {
    return each.first->options == observation.options;
  };
  auto kind = std::ranges::find_if(kinds, asks_alike);
  if (kind == kinds.end()) {
    kinds.push_back({&observation, {}, {}, {}});
    kind = kinds.end() - 1;
  }
  const auto same = [&](const Point* each) { return *each == observation.changes; };
  auto setting = std::ranges::find_if(kind->settings, same);
  if (setting == kind->settings.end()) {
    kind->settings.push_back(&observation.changes);
    setting = kind->settings.end() - 1;
  }
  kind->members.push_back(number);
  kind->setting.push_back(static_cast<std::size_t>(setting - kind->settings.begin()));
}

// Launches of all settings of a kind at all points, setting after setting.
SweepResult launches_of(const Car& car, const Kind& kind, std::span<const Point> points,
                        unsigned threads, const Progress& progress) {
  std::vector<Changes> changes;
  for (const Point* setting : kind.settings) {
    for (const Point& point : points) changes.emplace_back(std::array{&point, setting});
  }
  return sweep(
      changes.size(), [&](std::size_t run) { return changes[run].of(car); },
      {with_mark(kind.first->options), threads}, progress);
}

}  // namespace

std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                            std::span<const Point> points, unsigned threads,
                            const Progress& progress) {
  std::vector<Kind> kinds;
  for (std::size_t i = 0; i < observations.size(); ++i) {
    validate(observations[i]);
    add(kinds, observations[i], i);
  }
  std::vector<double> shown(points.size() * observations.size(),
                            std::numeric_limits<double>::quiet_NaN());
  if (points.empty()) return shown;
  for (const Kind& kind : kinds) {
    const SweepResult runs = launches_of(car, kind, points, threads, progress);
    const std::size_t marks = runs.distance_times.size() / runs.runs;
    for (std::size_t k = 0; k < kind.members.size(); ++k) {
      const std::size_t number = kind.members[k];
      const auto scalar = scalar_of(observations[number].measure);
      for (std::size_t i = 0; i < points.size(); ++i) {
        const std::size_t run = kind.setting[k] * points.size() + i;
        shown[i * observations.size() + number] =
            scalar ? runs.scalars[run * scalars().size() + *scalar]
                   : runs.distance_times[(run + 1) * marks - 1];
      }
    }
  }
  return shown;
}

}  // namespace layshaft
