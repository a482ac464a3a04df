// Launches of cars, roads and pedals drawn at random, with a fixed seed: every one must come to its
// end with its energy in balance. Starts from rest on a grade, stops and restarts are among them.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <stdexcept>
#include <vector>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/sweep.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using Random = std::mt19937_64;

constexpr int kRuns = 400;
constexpr double kLongest = 4.0;  // [s]
// Residuals of these runs at the default tolerance: a millionth of the energy that flows, which is
// up to 3 kJ.
constexpr double kBalance = 3e-3;  // [J]
// A car that rocks on its tyres to a stop switches some hundred times; chatter takes thousands.
constexpr std::size_t kMostChanges = 1500;

double between(Random& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

// Every number within a quarter of its default, static friction a tenth above sliding friction;
// axle, clutch, shoes and hold-in by chance.
Car random_car(Random& random) {
  Car car = trial_car();
  for (const Field& field : fields()) {
    if (field.kind == FieldKind::number) {
      const double value = field.fallback * between(random, 0.75, 1.25);
      field.set(car, std::clamp(value, field.minimum, field.maximum));
    }
  }
  for (const std::string_view part : {"two_speed", "clutch.axial", "clutch.thrown_shoes"}) {
    const std::string path(part);
    car = with_field(car, path + ".static_friction", 1.1 * get_field(car, path + ".friction"));
  }
  for (const std::string_view path :
       {"front_axle", "clutch.design", "two_speed.hold_in", "two_speed.orientation"}) {
    if (between(random, 0.0, 1.0) < 0.3) car = with_field(car, path, 1.0);
  }
  return car;
}

LaunchOptions random_options(Random& random) {
  LaunchOptions options;
  options.longest_time = kLongest;
  if (between(random, 0.0, 1.0) < 0.5) options.grade = between(random, -0.15, 0.15);
  if (between(random, 0.0, 1.0) < 0.5) options.start_speed = between(random, 0.0, 25.0);
  std::vector<std::array<double, 3>> rows;
  const int kinks = std::uniform_int_distribution<int>(0, 5)(random);
  double time = 0.0;
  for (int k = 0; k < kinks; ++k) {
    const double throttle = between(random, -0.7, 1.0);  // Often shut.
    const double brake = between(random, -1.5, 1.0);
    rows.push_back({time, std::max(throttle, 0.0), std::max(brake, 0.0)});
    time += between(random, 0.05, 0.8);
  }
  options.pedals = make_pedals(rows);
  return options;
}

TEST(VariedLaunches, EveryRunComesToItsEndInBalance) {
  Random random(7);
  int runs = 0;
  for (int k = 0; runs < kRuns && k < 20 * kRuns; ++k) {
    const Car car = random_car(random);
    const LaunchOptions options = random_options(random);
    try {
      validate(car);
    } catch (const std::invalid_argument&) {
      continue;  // Parts that do not fit each other.
    }
    ++runs;
    const LaunchResult run = launch(car, options);
    EXPECT_EQ(run.ending.status, Status::finished) << k << ": " << explain(run.ending);
    EXPECT_LT(std::abs(run.energy_residual), kBalance) << k;
    EXPECT_LT(run.changes.size(), kMostChanges) << k;
  }
  EXPECT_EQ(runs, kRuns);
}

}  // namespace
}  // namespace layshaft
