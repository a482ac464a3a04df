/// A 1 kHz loop with moving pedals: how long its steps take, and what memory it holds at the start
/// and at the end. It prints and judges nothing.
///
///     real_time [simulated minutes] [restless|smooth]
///
/// Restless pedals go to a new place each millisecond, off as often as on; smooth ones swing at
/// 0.4 Hz. A step is the setting of the inputs, the step itself and the reading of two outputs. Its
/// time is that of the processor for this thread, and beside it that of the clock on the wall,
/// which other programs lengthen.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <numbers>
#include <string_view>
#include <vector>

#include "layshaft/run/simulation.hpp"
#include "stepped_car.hpp"

namespace {

double seconds(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double resident_kilobytes() {
  long total = 0;
  long resident = 0;
  std::ifstream("/proc/self/statm") >> total >> resident;
  return static_cast<double>(resident) * 4.096;
}

layshaft::Inputs smooth_pedals(double time) {
  const double swing = std::sin(2.0 * std::numbers::pi * 0.4 * time);
  return {std::max(0.0, swing), std::max(0.0, -swing - 0.3), 0.0};
}

void print_times(const char* name, std::vector<double>& times) {
  const auto worst = std::max_element(times.begin(), times.end());
  const long at = worst - times.begin();
  const double longest = *worst;
  std::sort(times.begin(), times.end());
  const auto share = [&](double part) {
    return 1e6 * times[static_cast<std::size_t>(part * static_cast<double>(times.size() - 1))];
  };
  std::printf("%s: median %.1f us, 99.9 %% %.1f us, 99.999 %% %.1f us, worst %.1f us (step %ld)\n",
              name, share(0.5), share(0.999), share(0.99999), 1e6 * longest, at);
}

}  // namespace

int main(int argc, char** argv) {
  const double minutes = argc > 1 ? std::atof(argv[1]) : 10.0;
  const bool smooth = argc > 2 && std::string_view(argv[2]) == "smooth";
  const auto steps = static_cast<std::size_t>(minutes * 60'000.0);
  std::vector<double> processor(steps, 1.0);
  std::vector<double> wall(steps, 1.0);  // Filled, so that the pages are there.

  layshaft::Simulation car(layshaft::full_throttle());
  layshaft::RestlessPedals pedals;
  double sum = 0.0;
  long changes = 0;
  double memory_at_start = 0.0;
  for (std::size_t k = 0; k < steps; ++k) {
    const double time = 1e-3 * static_cast<double>(k + 1);
    const layshaft::Inputs inputs = smooth ? smooth_pedals(time) : pedals.next();
    const double wall_before = seconds(CLOCK_MONOTONIC);
    const double before = seconds(CLOCK_THREAD_CPUTIME_ID);
    car.set_inputs(inputs);
    car.step_to(time);
    sum += car.output(0) + car.output(1);
    processor[k] = seconds(CLOCK_THREAD_CPUTIME_ID) - before;
    wall[k] = seconds(CLOCK_MONOTONIC) - wall_before;
    changes += static_cast<long>(car.changes().size());
    if (k == 1000) memory_at_start = resident_kilobytes();
  }
  std::printf("%g simulated minutes, %s pedals, %ld changes, stopped: '%s', checksum %.17g\n",
              minutes, smooth ? "smooth" : "restless", changes, car.failure().c_str(), sum);
  print_times("processor", processor);
  print_times("wall", wall);
  std::printf("resident: %.0f kB after a second, %.0f kB at the end\n", memory_at_start,
              resident_kilobytes());
}
