#pragma once

/// What a car should be warned of that only a run shows: whether it shifts, locks, holds together.
///
/// The car is launched once, from rest on the level at full throttle, and driven on until nothing
/// new can happen; what did not happen then never does. A warning is what that run did, so it
/// cannot say otherwise than the run. Costs one launch.

#include <vector>

#include "layshaft/car/warnings.hpp"

namespace layshaft {

/// How long that launch lasts [s]: a car is at its top speed long before.
inline constexpr double kWarningLaunchTime = 20.0;

/// Warnings of a valid car; empty when there is nothing to say.
[[nodiscard]] std::vector<CarWarning> launch_warnings(const Car& car);

}  // namespace layshaft
