// What a launch takes down is of the part that it is said to be of.

#include "layshaft/run/launch_recorder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

LaunchOptions sampled(double interval) {
  LaunchOptions options;
  options.sample_interval = interval;
  return options;
}

TEST(LaunchRecorder, SamplesTheLoadOfEachAxle) {
  const Car car = with_field(with_field(trial_car(), "body.downforce_area", 0.0), "body.mass", 2.5);
  const LaunchResult run = launch(with_field(car, "body.front_share", 0.4), sampled(0.1));
  const double weight = 2.5 * 9.80665;
  constexpr double kRoundOff = 1e-12;
  // The sharing is rounded over .02 of the weight: of 1, (1 + hypot(.4, .02) - hypot(.6, .02))/2.
  const double front = 0.5 * (1.0 + std::hypot(0.4, 0.02) - std::hypot(0.6, 0.02)) * weight;
  EXPECT_NEAR(run.samples[0].signals[car_signal::rear_load], weight - front, kRoundOff);
  EXPECT_NEAR(run.samples[0].signals[car_signal::front_load], front, kRoundOff);
  // Speeding up moves load to the rear.
  EXPECT_GT(run.samples[5].signals[car_signal::rear_load], 0.6 * weight + 1.0);
  EXPECT_LT(run.samples[5].signals[car_signal::front_load], 0.4 * weight - 1.0);
}

TEST(LaunchRecorder, SamplesTheForceOfEachAxle) {
  // The brake sits on the shaft: a one-way front axle turns on, and only the rear slows the car.
  LaunchOptions options = sampled(0.01);
  options.start_speed = 15.0;
  options.longest_time = 0.5;
  options.pedals =
      make_pedals(std::array<std::array<double, 3>, 2>{{{0.0, 0.0, 0.0}, {0.1, 0.0, 0.2}}});
  const LaunchResult run = launch(with_field(trial_car(), "front_axle", 1.0), options);
  const Sample& braked = run.samples[40];
  EXPECT_LT(braked.signals[car_signal::rear_force], -2.0);
  EXPECT_LT(std::abs(braked.signals[car_signal::front_force]), 0.5);
}

TEST(LaunchRecorder, PeaksAreThoseOfTheSamples) {
  const Car car = trial_car();
  const LaunchResult run = launch(car, sampled(1e-3));
  const auto most = [&](auto of) {
    double largest = 0.0;
    for (const Sample& sample : run.samples) largest = std::max(largest, of(sample.state));
    return largest;
  };
  const auto warmest = [&](int which) {
    return car.air.temperature + most([&](const auto& state) { return state(which); });
  };
  const auto slip = [&](int which) {
    return most([&](const auto& state) { return std::abs(state(which)); });
  };
  // Peaks are looked for at the ends of steps, samples lie between these: 2 % of a slip, which
  // rises within some milliseconds, and far less of what turns or warms up.
  constexpr double kBetween = 2e-3;
  constexpr double kOfSlip = 0.02;
  const Peaks& peaks = run.peaks;
  EXPECT_NEAR(peaks.car_speed / most([](const auto& s) { return s(node::car); }), 1.0, kBetween);
  EXPECT_NEAR(peaks.crank_speed / most([](const auto& s) { return s(node::crank); }), 1.0,
              kBetween);
  constexpr double kKelvin = 0.2;
  EXPECT_NEAR(peaks.clutch_temperature, warmest(car_state::clutch_surface), kKelvin);
  EXPECT_NEAR(peaks.shoe_temperature, warmest(car_state::shoe_surface), kKelvin);
  EXPECT_GT(std::abs(peaks.clutch_temperature - peaks.shoe_temperature), 2.0 * kKelvin);
  EXPECT_NEAR(peaks.rear_slip / slip(car_state::rear_slip), 1.0, kOfSlip);
  EXPECT_NEAR(peaks.front_slip / slip(car_state::front_slip), 1.0, kOfSlip);
  EXPECT_GT(std::abs(peaks.rear_slip / peaks.front_slip - 1.0), 2.0 * kOfSlip);
}

TEST(LaunchRecorder, HeatOfAShiftIsWhatTheShoesLoseFromTouchToLock) {
  // From second gear's speed down and up again, so that the shoes have lost work before.
  LaunchOptions options;
  options.start_speed = 18.0;
  options.distance = 200.0;
  options.longest_time = 6.0;
  options.pedals = make_pedals(
      std::array<std::array<double, 3>, 3>{{{0.0, 0.0, 0.0}, {0.3, 0.0, 0.1}, {0.9, 1.0, 0.0}}});
  const LaunchResult run = launch(trial_car(), options);
  ASSERT_GE(run.upshifts, 1);
  const auto lost_until = [&](double time) {
    LaunchOptions until = options;
    until.longest_time = time;
    return launch(trial_car(), until).accounts[account::shoe_loss];
  };
  const double before = lost_until(run.shift.contact.time);
  // The same steps up to there; what was lost before is ten times what is allowed.
  const double allowed = 1e-6 * run.shift.heat;
  EXPECT_GT(before, 10.0 * allowed);
  EXPECT_NEAR(run.shift.heat, lost_until(run.shift.lock.time) - before, allowed);
}

}  // namespace
}  // namespace layshaft
