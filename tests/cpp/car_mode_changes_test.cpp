// The checklist of mode changes in the whole car.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <vector>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using enum CouplingMode;
using PedalRows = std::vector<std::array<double, 3>>;

// A located root is good to a few roundings of the guard over its slope; two runs that share their
// steps up to an instant agree on it to that.
constexpr double kInstant = 1e-10;  // [s]

CouplingMode mode_of(const ModesOf<Drivetrain>& modes, int which) {
  return modes.couplings[static_cast<std::size_t>(which)];
}

std::vector<Change> changes_of(const LaunchResult& run, Change::Part part, int index) {
  std::vector<Change> found;
  std::copy_if(run.changes.begin(), run.changes.end(), std::back_inserter(found),
               [&](const Change& c) { return c.part == part && c.index == index; });
  return found;
}
std::vector<Change> coupling_changes(const LaunchResult& run, int which) {
  return changes_of(run, Change::Part::coupling, which);
}
std::vector<Change> switch_changes(const LaunchResult& run, int which) {
  return changes_of(run, Change::Part::plant_switch, which);
}

LaunchOptions with_pedals(const PedalRows& rows) {
  LaunchOptions options;
  options.pedals = make_pedals(rows);
  return options;
}

// Every entry starts where the last one of its part ended, and time never runs back.
void expect_chained(const LaunchResult& run) {
  double time = 0.0;
  for (const Change& change : run.changes) {
    EXPECT_GE(change.time, time);
    time = change.time;
  }
  for (int which = 0; which < coupling::count; ++which) {
    int mode = static_cast<int>(mode_of(run.first_modes, static_cast<int>(which)));
    for (const Change& change : coupling_changes(run, static_cast<int>(which))) {
      EXPECT_EQ(change.from, mode);
      EXPECT_NE(change.to, mode);
      mode = change.to;
    }
  }
}

TEST(CarModeChanges, EqualShoesTouchAtOneInstant) {
  const LaunchResult run = launch(trial_car(), {});
  const auto first = switch_changes(run, plant_switch::shoes);
  const auto second = switch_changes(run, plant_switch::shoes + 1);
  ASSERT_EQ(first.size(), 1U);
  ASSERT_EQ(second.size(), 1U);
  EXPECT_NEAR(first[0].time, second[0].time, kInstant);
  // The drum closes once, at that instant, and locks once.
  const auto drum = coupling_changes(run, coupling::second);
  ASSERT_EQ(drum.size(), 2U);
  EXPECT_EQ(drum[0].time, first[0].time);
  EXPECT_EQ(drum[0].to, static_cast<int>(slip_positive));
  EXPECT_EQ(drum[1].to, static_cast<int>(stuck));
  expect_chained(run);
}

TEST(CarModeChanges, UnequalShoesTouchOneAfterTheOther) {
  const Car car = with_field(trial_car(), "two_speed.shoe_2.gap", 4.7e-3);
  const LaunchResult run = launch(car, {});
  const auto first = switch_changes(run, plant_switch::shoes);
  const auto second = switch_changes(run, plant_switch::shoes + 1);
  ASSERT_EQ(first.size(), 1U);
  ASSERT_EQ(second.size(), 1U);
  EXPECT_GT(second[0].time, first[0].time + 1e-3);
  EXPECT_EQ(run.shift.contact.time, first[0].time);
  EXPECT_EQ(coupling_changes(run, coupling::second).size(), 2U);
}

TEST(CarModeChanges, EngineClutchMayLockAtACornerOfTheThrottle) {
  LaunchOptions options = with_pedals({{0.0, 0.0, 0.0}, {0.15, 1.0, 0.0}});
  options.longest_time = 1.0;
  const double locks = launch(trial_car(), options).clutch_lock_time;
  ASSERT_TRUE(std::isfinite(locks));
  options.pedals = make_pedals(
      PedalRows{{0.0, 0.0, 0.0}, {0.15, 1.0, 0.0}, {locks, 1.0, 0.0}, {locks + 0.3, 0.6, 0.0}});
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.ending.status, Status::finished);
  const auto clutch = coupling_changes(run, coupling::clutch);
  ASSERT_EQ(clutch.size(), 2U);  // Begins to slip, locks.
  EXPECT_NEAR(clutch[1].time, locks, kInstant);
  expect_chained(run);
}

TEST(CarModeChanges, BeltJumpsWhileTheClutchHolds) {
  // Rolling in first gear with the clutch locked, then full throttle on a slack rear belt.
  const Car car = with_field(trial_car(), "belts.rear.tension", 20.0);
  LaunchOptions options = with_pedals({{0.0, 0.2, 0.0}, {0.3, 0.2, 0.0}, {0.35, 1.0, 0.0}});
  options.start_speed = 10.0;
  options.longest_time = 0.6;
  options.sample_interval = 1e-3;
  const LaunchResult run = launch(car, options);
  EXPECT_EQ(run.ending.status, Status::finished);
  const auto jumps = std::count_if(run.samples.begin(), run.samples.end(), [](const Sample& s) {
    return mode_of(s.modes, coupling::rear_belt) == slip_positive &&
           mode_of(s.modes, coupling::clutch) == stuck;
  });
  EXPECT_GT(jumps, 0);
  const double jump = Drivetrain(car).law().rear_jump;
  for (const Sample& sample : run.samples) {
    EXPECT_LE(sample.torques(coupling::rear_belt), jump * (1.0 + 1e-9));
  }
  expect_chained(run);
}

TEST(CarModeChanges, FullBrakeLocksTheWheelsOnceAndStopsTheCar) {
  LaunchOptions options = with_pedals({{0.0, 0.0, 0.0}, {0.05, 0.0, 1.0}});
  options.start_speed = 15.0;
  options.longest_time = 5.0;
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.ending.status, Status::finished);
  const auto brake = coupling_changes(run, coupling::brake);
  ASSERT_EQ(brake.size(), 1U);
  EXPECT_EQ(brake[0].to, static_cast<int>(stuck));
  EXPECT_LT(brake[0].time, 0.5);
  EXPECT_NEAR(run.state(node::shaft), 0.0, 1e-9);  // Round-off of a stuck row adds up.
  EXPECT_NEAR(run.state(node::car), 0.0, 1e-9);
  // The clutch opens as the engine falls below engagement, once.
  EXPECT_EQ(switch_changes(run, plant_switch::clutch).size(), 1U);
  expect_chained(run);
  // No harder than the tyres can: v^2/(2 mu g), with air, rolling and downforce on the car's side.
  const double tyres = square(15.0) / (2.0 * 1.7 * kStandardGravity);
  EXPECT_GT(run.accounts[account::distance], tyres);
  EXPECT_LT(run.accounts[account::distance], 2.0 * tyres);
}

TEST(CarModeChanges, OneWayFrontAxleOverrunsWithoutTorque) {
  // Front wheels so small that the belt cannot keep up with them at speed.
  Car car = with_field(trial_car(), "front_tyre.radius", 0.032);
  LaunchOptions options;
  options.sample_interval = 0.01;
  const LaunchResult solid = launch(car, options);
  car = with_field(car, "front_axle", 1.0);
  const LaunchResult run = launch(car, options);
  double held_back = 0.0;
  for (const Sample& sample : solid.samples) {
    held_back = std::min(held_back, sample.torques(coupling::front_belt));
  }
  EXPECT_LT(held_back, -0.05);
  int overruns = 0;
  for (const Sample& sample : run.samples) {
    EXPECT_GE(sample.torques(coupling::front_belt), 0.0);
    if (mode_of(sample.modes, coupling::front_belt) != slip_negative) continue;
    ++overruns;
    EXPECT_EQ(sample.torques(coupling::front_belt), 0.0);
    EXPECT_LT(sample.slips(coupling::front_belt), 1e-9);
  }
  EXPECT_GT(overruns, 10);
  EXPECT_LT(run.ending.time, solid.ending.time);
}

TEST(CarModeChanges, LiftingTheThrottleLetsTheOneWayBearingOfFirstGearOverrun) {
  LaunchOptions options = with_pedals({{0.0, 0.6, 0.0}, {0.4, 0.6, 0.0}, {0.45, 0.0, 0.0}});
  options.start_speed = 9.0;
  options.longest_time = 0.8;
  options.sample_interval = 5e-3;
  const LaunchResult run = launch(trial_car(), options);
  ASSERT_FALSE(run.samples.empty());
  EXPECT_EQ(mode_of(run.samples.back().modes, coupling::first), slip_negative);
  for (const Sample& sample : run.samples) EXPECT_GE(sample.torques(coupling::first), 0.0);
  EXPECT_EQ(run.samples.back().torques(coupling::first), 0.0);
  expect_chained(run);
}

TEST(CarModeChanges, StartOnADownhillGradeLetsGoWithoutChatter) {
  // The shaft breaks away from its bearing drag and first gear begins to overrun at one instant.
  LaunchOptions options = with_pedals({{0.0, 0.0, 0.0}});
  options.grade = -0.2;
  options.longest_time = 1.0;
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.ending.status, Status::finished);
  const auto bearing = coupling_changes(run, coupling::brake);
  const auto gear = coupling_changes(run, coupling::first);
  ASSERT_EQ(bearing.size(), 1U);
  ASSERT_EQ(gear.size(), 1U);
  EXPECT_NEAR(bearing[0].time, gear[0].time, kInstant);
  EXPECT_EQ(gear[0].to, static_cast<int>(slip_negative));
}

TEST(CarModeChanges, StepBudgetIsAStatusAndTheRunKeepsWhatItHas) {
  LaunchOptions options;
  options.distance_marks = {1.0, 5.0, 30.0};
  const LaunchResult whole = launch(trial_car(), options);
  options.integration.most_steps = 100;
  const LaunchResult cut = launch(trial_car(), options);
  EXPECT_EQ(cut.ending.status, Status::step_budget);
  EXPECT_EQ(cut.end, LaunchEnd::early);
  EXPECT_EQ(cut.ending.steps, 100);
  EXPECT_EQ(cut.distance_times[0], whole.distance_times[0]);
  EXPECT_TRUE(std::isnan(cut.distance_times[2]));
  ASSERT_LE(cut.changes.size(), whole.changes.size());
  EXPECT_TRUE(std::equal(cut.changes.begin(), cut.changes.end(), whole.changes.begin()));
  EXPECT_GT(cut.changes.size(), 2U);
}

// A slip that has just begun is smaller than the error of a usual step: with the demo car and these
// settings the belt went back and forth twice in the instant in which its teeth let go.
TEST(CarModeChanges, BeltThatJumpsDoesSoOnceAtAnyTolerance) {
  const std::array<std::array<double, 3>, 3> settings{
      {{4.236842e-3, 6.667e-4, 19.0}, {4.715789e-3, 1.7778e-3, 18.0}, {4.2e-3, 2e-3, 19.0}}};
  for (const auto& [gap, slug_mass, pinion] : settings) {
    Car car = with_field(demo_car(), "two_speed.gap", gap);
    car = with_field(car, "two_speed.slug_mass", slug_mass);
    car = with_field(car, "first.pinion", pinion);
    LaunchOptions options;
    options.integration.tolerance = 1e-6;
    const std::vector<Change> usual = coupling_changes(launch(car, options), coupling::rear_belt);
    options.integration.tolerance = 1e-12;
    const std::vector<Change> exact = coupling_changes(launch(car, options), coupling::rear_belt);
    ASSERT_EQ(usual.size(), exact.size()) << gap;
    for (std::size_t i = 0; i < usual.size(); ++i) {
      EXPECT_EQ(usual[i].to, exact[i].to);
      EXPECT_NEAR(usual[i].time, exact[i].time, 1e-6);
    }
    EXPECT_GE(usual.size(), 2U) << "the belt is to jump";
  }
}

}  // namespace
}  // namespace layshaft
