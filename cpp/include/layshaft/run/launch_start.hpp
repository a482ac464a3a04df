#pragma once

/// Beginning and end of a launch, for callers that do their own stepping: one by one or in lanes.

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {

/// The car on the line.
struct LaunchStart {
  Drivetrain plant;
  StateOf<Drivetrain> state;
  ModesOf<Drivetrain> modes;
};

/// State of the car as it rolls at `speed` [m/s] where a run begins. Throws std::invalid_argument
/// where its engine would turn faster than any torque curve reaches.
[[nodiscard]] StateOf<Drivetrain> rolling_start(const Drivetrain& plant, double speed);

/// Throws std::invalid_argument for bad input; the options must be validated already.
[[nodiscard]] LaunchStart make_launch_start(const Car& car, const LaunchOptions& options);

/// Adds what the integrator found to what the recorder wrote into `result`.
void finish_launch(const LaunchStart& start, const Integration<Drivetrain>& run,
                   LaunchResult& result);

}  // namespace layshaft
