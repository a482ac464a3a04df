#include "layshaft/car/car_integrator.hpp"

#include "layshaft/network/integrate.hpp"

namespace layshaft {

template class Integrator<Drivetrain, Rosenbrock>;
template class Integrator<TrackCar, Rosenbrock>;

}  // namespace layshaft
