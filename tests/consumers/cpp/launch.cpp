// Launches the demo car as the library does, with the headers that need Eigen and Boost.
#include <cstdio>
#include <layshaft/run/launch.hpp>

int main() {
  layshaft::LaunchOptions options;
  options.distance_marks = {60.0};
  std::printf("%.17g\n", layshaft::launch(layshaft::demo_car(), options).distance_times.front());
}
