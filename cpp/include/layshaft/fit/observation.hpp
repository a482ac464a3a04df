#pragma once

/// What a car was seen to do in a launch, and what cars of other numbers would have shown instead.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "layshaft/fit/setting.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {

/// One number seen.
struct Observation {
  std::string measure;    ///< `time`, or the name of a scalar of a launch.
  double value;           ///< In the SI unit of the measure.
  double error;           ///< One standard deviation, > 0.
  Point changes;          ///< Settings of that time, where they differ from the car's.
  LaunchOptions options;  ///< `time` is to the last distance mark; without one to the distance.
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const Observation& observation);

/// What the car would have shown at each point, points x observations, row after row; not a number
/// where it does no such thing, is refused, or its run fails. What an observation changed wins over
/// a point. Each point is launched once for each setting and kind of launch that was seen, in lanes
/// and on `threads` threads (0 for as many as the machine has cores; with 1 and no `progress` none
/// is started). Throws as `validate`, and where `progress` stops it returns what is there.
[[nodiscard]] std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                                          std::span<const Point> points, unsigned threads = 0,
                                          const Progress& progress = {});

}  // namespace layshaft
