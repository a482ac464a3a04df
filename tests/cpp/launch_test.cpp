#include "layshaft/run/launch.hpp"

#if defined(EIGEN_WORLD_VERSION) || defined(BOOST_VERSION)
#error "whoever includes a launch needs no other library's headers"
#endif

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <functional>
#include <limits>
#include <stdexcept>
#include <string>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/scalars.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// Of the demo launch at the default tolerance: the times differ by less from those at 1e-12.
constexpr double kSolverError = 2e-5;  // [s]

LaunchOptions marked() {
  LaunchOptions options;
  options.distance_marks = {5.0, 10.0, 20.0, 30.0, 60.0};
  options.speed_marks = {5.0, 10.0, 20.0, 30.0};
  return options;
}

LaunchResult launch_with(std::string_view path, double value) {
  return launch(with_field(trial_car(), path, value), marked());
}

double scalar(const LaunchResult& run, std::string_view name) {
  for (const Scalar& scalar : scalars()) {
    if (scalar.name == name) return scalar.get(run);
  }
  ADD_FAILURE() << "no scalar " << name;
  return 0.0;
}

// Bits, so that two not-a-numbers are the same.
bool same_bits(double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; }

TEST(Launch, DemoCarShiftsOnceAndReachesTheDistance) {
  const LaunchResult run = launch(trial_car(), marked());
  EXPECT_EQ(run.end, LaunchEnd::distance);
  EXPECT_EQ(run.upshifts, 1);
  EXPECT_EQ(run.downshifts, 0);
  EXPECT_NEAR(run.accounts[account::distance], 60.0, 1e-9);
  EXPECT_LT(run.clutch_lock_time, run.shift.contact.time);
  EXPECT_LT(run.shift.contact.time, run.shift.let_go.time);
  EXPECT_LT(run.shift.let_go.time, run.shift.lock.time);
}

TEST(Launch, LockedEngineSpeedsFitTheGears) {
  const LaunchResult run = launch(trial_car(), marked());
  const Drivetrain plant(trial_car());
  EXPECT_NEAR(run.shift.contact.crank_speed, run.shift.shaft_speed * plant.law().first_ratio, 1e-6);
  EXPECT_NEAR(run.state(node::crank), run.state(node::shaft) * plant.law().second_ratio, 1e-6);
}

TEST(Launch, ContactSpeedIsThatOfTheShoes) {
  const LaunchResult run = launch(trial_car(), marked());
  const Drivetrain plant(trial_car());
  const auto& shoe = plant.law().shoes[0];
  EXPECT_NEAR(run.shift.shaft_speed, std::sqrt(shoe.contact_speed_squared), 1e-6);
}

TEST(Launch, TimesAtDistancesRiseAndSpeedsFit) {
  const LaunchResult run = launch(trial_car(), marked());
  for (std::size_t k = 1; k < run.distance_times.size(); ++k) {
    EXPECT_GT(run.distance_times[k], run.distance_times[k - 1]);
    EXPECT_GT(run.distance_speeds[k], run.distance_speeds[k - 1]);
  }
  EXPECT_EQ(run.distance_times.back(), run.ending.time);
  for (std::size_t k = 1; k < run.speed_times.size(); ++k) {
    EXPECT_GT(run.speed_times[k], run.speed_times[k - 1]);
  }
}

TEST(Launch, TimesAgreeWithThoseAtATightTolerance) {
  LaunchOptions tight = marked();
  tight.integration.tolerance = 1e-12;
  const LaunchResult exact = launch(trial_car(), tight);
  const LaunchResult run = launch(trial_car(), marked());
  for (std::size_t k = 0; k < run.distance_times.size(); ++k) {
    EXPECT_NEAR(run.distance_times[k], exact.distance_times[k], kSolverError);
  }
  EXPECT_NEAR(run.shift.lock.time, exact.shift.lock.time, kSolverError);
}

TEST(Launch, ScrewTurnedInShiftsLaterAndFaster) {
  double time = 0.0;
  double speed = 0.0;
  for (const double gap : {5.6e-3, 5.2e-3, 4.8e-3, 4.4e-3, 4.0e-3}) {
    const LaunchResult run = launch_with("two_speed.gap", gap);
    EXPECT_GT(run.shift.peak.time, time);
    EXPECT_GT(run.shift.peak.car_speed, speed);
    time = run.shift.peak.time;
    speed = run.shift.peak.car_speed;
  }
}

TEST(Launch, LighterSlugShiftsLater) {
  double time = 0.0;
  for (const double slug : {2e-3, 1.5e-3, 1e-3, 0.5e-3, 0.0}) {
    const LaunchResult run = launch_with("two_speed.slug_mass", slug);
    EXPECT_GT(run.shift.contact.time, time);
    time = run.shift.contact.time;
  }
}

TEST(Launch, TallerFirstGearTurnsTheEngineSlowerAtTheShift) {
  // The shaft decides when the shoes go out; the engine's speed there is the ratio's matter.
  double speed = std::numeric_limits<double>::infinity();
  for (const double pinion : {16.0, 17.0, 18.0, 19.0}) {
    const LaunchResult run = launch_with("first.pinion", pinion);
    EXPECT_LT(run.shift.contact.crank_speed, speed);
    speed = run.shift.contact.crank_speed;
  }
}

TEST(Launch, ShoesThatTrailTakeLongerToLockThanThoseThatLead) {
  // They touch at the same speed, but do not press themselves on.
  const LaunchResult leading = launch_with("two_speed.orientation", 0.0);
  const LaunchResult trailing = launch_with("two_speed.orientation", 1.0);
  EXPECT_NEAR(trailing.shift.shaft_speed, leading.shift.shaft_speed, 1e-6);
  const double quick = leading.shift.lock.time - leading.shift.contact.time;
  // Not a number where they never lock.
  EXPECT_FALSE(trailing.shift.lock.time - trailing.shift.contact.time <= quick);
}

TEST(Launch, MoreDragMassOrHillTakesLongerAndMorePowerLess) {
  const double time = launch(trial_car(), marked()).distance_times.back();
  EXPECT_GT(launch_with("body.mass", 2.8).distance_times.back(), time);
  EXPECT_GT(launch_with("body.drag_area", 0.03).distance_times.back(), time);
  EXPECT_GT(launch_with("rear_tyre.rolling_resistance", 0.06).distance_times.back(), time);
  EXPECT_LT(launch_with("engine.power_scale", 1.15).distance_times.back(), time);
  EXPECT_GT(launch_with("air.temperature", 308.15).distance_times.back(), time);
  LaunchOptions hill = marked();
  hill.grade = 0.1;
  EXPECT_GT(launch(trial_car(), hill).distance_times.back(), time);
  hill.grade = -0.1;
  EXPECT_LT(launch(trial_car(), hill).distance_times.back(), time);
}

TEST(Launch, RollingStartInFirstShiftsAndInSecondDoesNot) {
  LaunchOptions options = marked();
  options.start_speed = 8.0;
  const LaunchResult first = launch(trial_car(), options);
  EXPECT_EQ(first.upshifts, 1);
  EXPECT_GT(first.shift.contact.time, 0.0);
  options.start_speed = 22.0;
  const LaunchResult second = launch(trial_car(), options);
  EXPECT_EQ(second.end, LaunchEnd::distance);
  EXPECT_EQ(second.first_modes.switches[plant_switch::shoes], 1);
  EXPECT_EQ(second.upshifts, 0);
  EXPECT_TRUE(std::isnan(second.shift.contact.time));
  EXPECT_TRUE(std::isnan(second.shift.lock.time));
  EXPECT_LT(second.distance_times.back(), first.distance_times.back());
}

TEST(Launch, DoesNotStartAtASpeedThatNoEngineTurnsFor) {
  LaunchOptions options = marked();
  const Drivetrain plant(trial_car());
  const double ratio = plant.rolling_state(30.0)(node::crank) / 30.0;
  options.start_speed = 5900.0 / ratio;  // in second gear; 6000 rad/s is the most of a curve
  EXPECT_EQ(launch(trial_car(), options).end, LaunchEnd::distance);
  options.start_speed = 6100.0 / ratio;
  try {
    (void)launch(trial_car(), options);
    ADD_FAILURE() << "started at " << options.start_speed << " m/s";
  } catch (const std::invalid_argument& error) {
    const std::string text = error.what();
    EXPECT_NE(text.find("start_speed = "), std::string::npos);
    EXPECT_NE(text.find("beyond 57296"), std::string::npos) << text;
  }
}

TEST(Launch, SlowingDownInSecondShiftsBackAtTheReleaseSpeed) {
  constexpr std::array<std::array<double, 3>, 2> kRows{{{0.0, 0.0, 0.0}, {0.2, 0.0, 0.25}}};
  LaunchOptions options;
  options.pedals = make_pedals(kRows);
  options.start_speed = 20.0;
  options.longest_time = 3.0;
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.downshifts, 1);
  EXPECT_NEAR(run.state(node::car), 0.0, 1e-9);  // Round-off of a stuck row adds up.
  const auto back = std::ranges::find_if(run.changes, [](const Change& change) {
    return change.part == Change::Part::plant_switch && change.index == plant_switch::shoes &&
           change.to == 0;
  });
  ASSERT_NE(back, run.changes.end());
  options.longest_time = back->time;
  // By hand, shoes of 6 g and slugs of 1 g about a pivot at 12 mm, 4.8 of 6.1 mm at the caliper, .8
  // of the spring left on the drum. Arm of the pressure 12 mm J2/J1 = 12 * 1.2184109/1.3660254 =
  // 10.703264 mm; swing .3/10.703264 = .02802883; gain 12 mm [6 g (11.3 cos + 15 sin) mm + 1 g
  // (13.5 cos + 15 sin) mm] = 1.0105285e-6 kg m^2; hold 116 N/mm * 8 mm * .8 [1.3 mm + 8 mm *
  // .02802883] = 1.1315888 N m.
  constexpr double kReleased = 1058.2056;  // sqrt(1.1315888/1.0105285e-6) [rad/s]
  constexpr double kDigits = 5e-4;         // Of the numbers above; the solver's error is less.
  EXPECT_NEAR(launch(trial_car(), options).state(node::shaft), kReleased, kDigits);
}

TEST(Launch, SamplesDoNotChangeABitOfTheRun) {
  const LaunchResult bare = launch(trial_car(), marked());
  for (const double interval : {1e-3, 0.0137, 0.5}) {
    LaunchOptions options = marked();
    options.sample_interval = interval;
    const LaunchResult sampled = launch(trial_car(), options);
    EXPECT_EQ(sampled.state.entries, bare.state.entries);
    EXPECT_EQ(sampled.changes, bare.changes);
    EXPECT_EQ(sampled.distance_times, bare.distance_times);
    EXPECT_EQ(sampled.ending.steps, bare.ending.steps);
    for (const Scalar& each : scalars()) {
      EXPECT_TRUE(same_bits(each.get(sampled), each.get(bare))) << each.name;
    }
  }
}

TEST(Launch, EverySampleIsTakenOnceAlsoWhereAModeChanges) {
  LaunchOptions options = marked();
  // The first sample after the start falls exactly on the shift.
  options.sample_interval = launch(trial_car(), options).shift.contact.time;
  const LaunchResult run = launch(trial_car(), options);
  ASSERT_EQ(run.samples.size(), 3U);
  for (std::size_t k = 0; k < run.samples.size(); ++k) {
    EXPECT_EQ(run.samples[k].time, options.sample_interval * static_cast<double>(k));
  }
  // At the instant itself the values are those of the stretch that ends there.
  EXPECT_EQ(run.samples[1].modes.switches[plant_switch::shoes], 0);
  EXPECT_NEAR(run.samples[1].state(node::shaft), run.shift.shaft_speed, 1e-9);
}

TEST(Launch, KinksOfThePedalsBeforeTheStartArePassedThere) {
  constexpr std::array<std::array<double, 3>, 3> kRows{
      {{-2.0, 0.0, 0.0}, {-1.0, 0.5, 0.0}, {1.0, 0.5, 0.0}}};
  constexpr std::array<std::array<double, 3>, 1> kLevel{{{0.0, 0.5, 0.0}}};
  LaunchOptions early = marked();
  early.longest_time = 0.9;
  early.sample_interval = 0.1;
  early.pedals = make_pedals(kRows);
  LaunchOptions level = early;
  level.pedals = make_pedals(kLevel);
  const LaunchResult run = launch(trial_car(), early);
  ASSERT_FALSE(run.samples.empty());
  EXPECT_EQ(run.samples.front().time, 0.0);
  EXPECT_EQ(run.state.entries, launch(trial_car(), level).state.entries);
}

TEST(Launch, EndsAtTheLongestTimeWhereTheDistanceIsOutOfReach) {
  LaunchOptions options = marked();
  options.longest_time = 1.0;
  const LaunchResult run = launch(trial_car(), options);
  EXPECT_EQ(run.end, LaunchEnd::longest_time);
  EXPECT_EQ(run.ending.time, 1.0);
  EXPECT_TRUE(std::isnan(run.distance_times.back()));
}

TEST(Launch, DriverOpensTheThrottleSteadilyWithinTheRiseTime) {
  const Pedals pedals = driver_pedals({0.8, 0.2, 0.04, 0.15, 0.0});
  ASSERT_EQ(pedals.count, 2U);
  EXPECT_EQ(pedals.time[1], 0.2);
  EXPECT_EQ(pedals.throttle[0], 0.0);
  EXPECT_EQ(pedals.throttle[1], 0.8);
}

TEST(Launch, RefusesOptionsOutOfBounds) {
  const double nan = std::nan("");
  const auto refused = [](const std::function<void(LaunchOptions&)>& spoil) {
    LaunchOptions options;
    spoil(options);
    EXPECT_THROW(static_cast<void>(launch(trial_car(), options)), std::invalid_argument);
  };
  for (const double bad : {nan, -1.0, std::numeric_limits<double>::infinity()}) {
    refused([bad](LaunchOptions& o) { o.distance = bad; });
    refused([bad](LaunchOptions& o) { o.longest_time = bad; });
    refused([bad](LaunchOptions& o) { o.start_speed = bad; });
    refused([bad](LaunchOptions& o) { o.grade = 2.0 * bad; });
    refused([bad](LaunchOptions& o) { o.integration.tolerance = bad; });
    refused([bad](LaunchOptions& o) { o.integration.first_step = bad; });
    refused([bad](LaunchOptions& o) { o.distance_marks = {bad}; });
    refused([bad](LaunchOptions& o) { o.speed_marks = {1.0, bad}; });
  }
  refused([nan](LaunchOptions& o) { o.sample_interval = nan; });
  refused([](LaunchOptions& o) { o.sample_interval = 1e-9; });
  refused([](LaunchOptions& o) { o.distance_marks = {5.0, 5.0}; });
  refused([](LaunchOptions& o) { o.integration.most_steps = 0; });
}

TEST(Launch, ScalarsRepeatWhatTheRunHolds) {
  const LaunchResult run = launch(trial_car(), marked());
  EXPECT_EQ(scalar(run, "shift_speed"), run.shift.peak.car_speed);
  EXPECT_EQ(scalar(run, "contact_speed"), run.shift.contact.car_speed);
  EXPECT_EQ(scalar(run, "hand_over"), run.shift.lock.time - run.shift.contact.time);
  EXPECT_EQ(scalar(run, "end_speed"), run.state(node::car));
  EXPECT_EQ(scalar(run, "energy_residual"), run.energy_residual);
  EXPECT_EQ(scalar(run, "mode_changes"), static_cast<double>(run.changes.size()));
  EXPECT_GE(scalar(run, "peak_speed"), scalar(run, "end_speed"));
  EXPECT_GT(scalar(run, "peak_clutch_temperature"), trial_car().air.temperature);
}

}  // namespace
}  // namespace layshaft
