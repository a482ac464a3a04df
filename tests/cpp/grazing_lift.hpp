#pragma once

/// A launch of the demo car, its shoes held by a detent, in which the foot comes off the throttle
/// just as a shoe reaches its contact speed.

#include <algorithm>
#include <array>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft::testing {

/// The throttle opens, shuts at `time` [s] for a fifth of a second, and opens again where the run
/// ends.
[[nodiscard]] inline LaunchOptions lift_at(double time, double tolerance) {
  LaunchOptions options;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 6>{{{0.0, 0.0, 0.0},
                                                                     {0.05, 1.0, 0.0},
                                                                     {time, 1.0, 0.0},
                                                                     {time + 0.01, 0.0, 0.0},
                                                                     {time + 0.21, 0.0, 0.0},
                                                                     {time + 0.22, 1.0, 0.0}}});
  options.longest_time = time + 0.2;
  options.integration.tolerance = tolerance;
  return options;
}

[[nodiscard]] inline bool shoes_touch(const LaunchResult& run) {
  return std::ranges::any_of(run.changes, [](const Change& change) {
    return change.part == Change::Part::plant_switch && change.index != plant_switch::clutch;
  });
}

/// The latest lift of the foot [s] with which the shoes do not quite touch.
[[nodiscard]] inline double grazing_lift(double tolerance) {
  double before = 0.3;
  double after = 3.0;
  while (after - before > 1e-9) {
    const double middle = 0.5 * (before + after);
    (shoes_touch(launch(trial_car(), lift_at(middle, tolerance))) ? after : before) = middle;
  }
  return before;
}

}  // namespace layshaft::testing
