#pragma once

/// What a car was seen to do in a launch, one number at a time.

#include <cstddef>
#include <optional>
#include <string>

#include "layshaft/fit/setting.hpp"
#include "layshaft/run/launch.hpp"

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

/// The place of a measure among `scalars()`; none for a time. Throws std::invalid_argument for
/// anything else.
[[nodiscard]] std::optional<std::size_t> scalar_of(const std::string& measure);

/// The same launch with a mark for the time that it may be asked for.
[[nodiscard]] LaunchOptions with_mark(LaunchOptions options);

}  // namespace layshaft
