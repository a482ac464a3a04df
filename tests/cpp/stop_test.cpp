// A car braked to a stand: how far its tyres may throw it back.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// What the two axles' patches can have wound up as the car stands.
struct Wound {
  double speed;  // If all of it went into the car [m/s].
  double way;    // Twice the deflection at the grip, the larger of both axles [m].
};

// A patch holds friction * load, so that a carcass of stiffness K load/length is deflected by
// friction/K of the length at most, and holds (friction load) (friction/K) length/2.
Wound most_wound(const Car& car) {
  const double weight = car.body.mass * kStandardGravity;
  double energy = 0.0;
  double way = 0.0;
  const auto add = [&](const Tyre& tyre, double load) {
    const double strain = tyre_friction(make_tyre_law(tyre), load) / tyre.stiffness_factor;
    energy += 0.5 * tyre.stiffness_factor * load * strain * strain * tyre.relaxation;
    way = std::max(way, 2.0 * strain * tyre.relaxation);
  };
  // Braking moves load from one axle to the other: with tyres as alike as these the sum stays the
  // same within a hundredth, and what slides and swings away before the car stands is more.
  add(car.rear_tyre, (1.0 - car.body.front_share) * weight);
  add(car.front_tyre, car.body.front_share * weight);
  return {std::sqrt(2.0 * energy / car.body.mass), way};
}

struct Rebound {
  bool stopped = false;
  double speed = 0.0;  // Largest backwards after the stop [m/s].
  double way = 0.0;    // Largest way back [m].
  double last_speed = 0.0;
};

Rebound rebound(const Car& car, double from, double brake) {
  LaunchOptions options;
  options.start_speed = from;
  options.distance = 1000.0;
  options.longest_time = 6.0;
  options.sample_interval = 5e-4;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 1>{{{0.0, 0.0, brake}}});
  const LaunchResult run = launch(car, options);
  EXPECT_EQ(run.ending.status, Status::finished);
  Rebound seen;
  double furthest = 0.0;
  for (const Sample& sample : run.samples) {
    const double speed = sample.state(node::car);
    furthest = std::max(furthest, sample.accounts[account::distance]);
    seen.stopped = seen.stopped || speed <= 0.0;
    seen.speed = std::max(seen.speed, -speed);
    seen.way = std::max(seen.way, furthest - sample.accounts[account::distance]);
    seen.last_speed = speed;
  }
  return seen;
}

TEST(Stop, BrakedCarIsThrownBackByNoMoreThanItsTyresGripHasWoundUp) {
  for (const double axle : {0.0, 1.0}) {
    for (const double damping : {0.0, 0.003}) {
      Car car = with_field(trial_car(), "front_axle", axle);
      car.rear_tyre.damping_time = car.front_tyre.damping_time = damping;
      const Wound most = most_wound(car);
      for (const double from : {0.5, 3.0, 10.0, 25.0}) {
        for (const double brake : {0.2, 0.3, 0.6, 1.0}) {
          SCOPED_TRACE(::testing::Message()
                       << axle << ' ' << damping << ' ' << from << ' ' << brake);
          const Rebound seen = rebound(car, from, brake);
          EXPECT_TRUE(seen.stopped);
          EXPECT_LE(seen.speed, most.speed);
          EXPECT_LE(seen.way, most.way);
          EXPECT_NEAR(seen.last_speed, 0.0, damping > 0.0 ? 1e-9 : most.speed);
        }
      }
    }
  }
}

TEST(Stop, FullThrottleThenTheBrakeLeavesTheCarWhereItStops) {
  const Wound most = most_wound(trial_car());
  for (const double brake : {0.3, 0.6, 1.0}) {
    LaunchOptions options;
    options.distance = 1000.0;
    options.longest_time = 8.0;
    options.sample_interval = 5e-4;
    options.pedals = make_pedals(std::array<std::array<double, 3>, 3>{
        {{0.0, 1.0, 0.0}, {1.5, 1.0, 0.0}, {1.51, 0.0, brake}}});
    const LaunchResult run = launch(trial_car(), options);
    double least = 0.0;
    double furthest = 0.0;
    for (const Sample& sample : run.samples) {
      least = std::min(least, sample.state(node::car));
      furthest = std::max(furthest, sample.accounts[account::distance]);
    }
    EXPECT_GE(least, -most.speed);
    EXPECT_GE(run.accounts[account::distance], furthest - most.way);
    EXPECT_NEAR(run.state(node::car), 0.0, 1e-9);
  }
}

TEST(Stop, AfterAStopWithLockedWheelsTheDriverSeesNoSlipAndDrivesOff) {
  LaunchOptions options;
  options.start_speed = 10.0;
  options.distance = 1000.0;
  options.longest_time = 5.0;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 4>{
      {{0.0, 0.0, 1.0}, {2.5, 0.0, 1.0}, {2.6, 0.0, 0.0}, {2.7, 1.0, 0.0}}});
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.ending.status, Status::finished);
  // From rest the demo car does 20 m/s in 2.3 s and more.
  EXPECT_GT(run.state(node::car), 15.0);
}

}  // namespace
}  // namespace layshaft
