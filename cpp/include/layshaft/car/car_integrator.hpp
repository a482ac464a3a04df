#pragma once

/// The integrators of the car and of the car on a track, each compiled once.

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/track_car.hpp"
#include "layshaft/network/integrator.hpp"

namespace layshaft {

using CarIntegrator = Integrator<Drivetrain, Rosenbrock>;
using TrackIntegrator = Integrator<TrackCar, Rosenbrock>;

extern template class Integrator<Drivetrain, Rosenbrock>;
extern template class Integrator<TrackCar, Rosenbrock>;

}  // namespace layshaft
