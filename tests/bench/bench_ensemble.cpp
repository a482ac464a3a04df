// Launches one by one against launches in lanes, and one thread against two: processor time of each
// per launch, and whether all give the same bits. Usage: bench_ensemble [launches]

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <vector>

#include "layshaft/run/ensemble.hpp"
#include "layshaft/run/scalars.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {
namespace {

/// Settings spread over mass, screw gap and grip, the same each time.
Car varied_car(std::size_t number) {
  const auto share = [number](std::size_t step) {
    return static_cast<double>((number * step) % 9973) / 9973.0;
  };
  Car car = demo_car();
  car.body.mass += 0.3 * (share(7919) - 0.5);
  car.rear_tyre.friction_peak *= 0.9 + 0.2 * share(104729);
  car.engine.power_scale *= 0.9 + 0.2 * share(1299709);
  return car;
}

double processor_seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

struct Measured {
  double seconds;
  double steps;
  std::vector<double> scalars;
};

Measured run(std::size_t launches, const LaneForm& form) {
  const LaunchOptions options{.distance_marks = {5.0, 10.0, 20.0, 30.0, 60.0},
                              .speed_marks = {10.0, 15.0, 20.0}};
  const std::size_t columns = scalars().size();
  Measured measured{0.0, 0.0, std::vector<double>(launches * columns)};
  std::size_t next = 0;
  const LaunchQueue queue{[&](std::size_t& number, Car& car) {
                            if (next == launches) return false;
                            number = next++;
                            car = varied_car(number);
                            return true;
                          },
                          [&](std::size_t number, const LaunchResult& result) {
                            measured.steps += static_cast<double>(result.ending.steps);
                            for (std::size_t k = 0; k < columns; ++k) {
                              measured.scalars[number * columns + k] = scalars()[k].get(result);
                            }
                          },
                          [](std::size_t, const std::string& why) { std::puts(why.c_str()); }};
  const double begin = processor_seconds();
  run_ensemble(options, form, queue);
  measured.seconds = processor_seconds() - begin;
  return measured;
}

void compare(std::size_t launches) {
  const auto count = static_cast<double>(launches);
  const Measured alone = run(launches, lane_form(1));
  std::printf("one by one: %8.1f us a launch, %.0f steps\n", 1e6 * alone.seconds / count,
              alone.steps / count);
  for (const std::size_t width : {2U, 4U, 8U}) {
    const LaneForm form = lane_form(width);
    if (form.width != width) continue;
    const Measured lanes = run(launches, form);
    const bool same = std::memcmp(alone.scalars.data(), lanes.scalars.data(),
                                  alone.scalars.size() * sizeof(double)) == 0;
    std::printf("%zu lanes:    %8.1f us a launch, %.2f times as fast, %s\n", width,
                1e6 * lanes.seconds / count, alone.seconds / lanes.seconds,
                same ? "same bits" : "OTHER BITS");
  }
}

// By the clock on the wall: only an idle machine tells.
void compare_threads(std::size_t launches) {
  SweepPlan plan{{"body.mass"}, {}};
  for (std::size_t i = 0; i < launches; ++i) {
    plan.values.push_back(2.3 + 0.4 * static_cast<double>(i) / static_cast<double>(launches));
  }
  const auto seconds = [&](unsigned threads) {
    SweepOptions options;
    options.threads = threads;
    const auto begin = std::chrono::steady_clock::now();
    (void)sweep(demo_car(), plan, options);
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  };
  const double one = seconds(1);
  const double two = seconds(2);
  std::printf("two threads: %.2f times as fast as one (%.0f and %.0f us a launch)\n", one / two,
              1e6 * two / static_cast<double>(launches), 1e6 * one / static_cast<double>(launches));
}

}  // namespace
}  // namespace layshaft

int main(int count, char** arguments) {
  const std::size_t launches = count > 1 ? std::strtoul(arguments[1], nullptr, 10) : 1000;
  layshaft::compare(launches);
  layshaft::compare_threads(launches);
}
