// Runs the demo car to 60 m, step by step, and prints the time.
#include <cstdio>
#include <layshaft/run/simulation.hpp>

int main() {
  layshaft::SimulationOptions options;
  options.own_driver = true;
  layshaft::Simulation car({.car = layshaft::demo_car(), .options = options, .inputs = {}});
  while (car.output("car_distance") < 60.0) car.step_to(car.time() + 0.013);
  std::printf("%.17g\n", car.output("stopwatch"));
}
