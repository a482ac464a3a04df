#include "layshaft/run/ensemble.hpp"

#include <gtest/gtest.h>

#include <bit>
#include <cstring>
#include <map>

#include "layshaft/run/scalars.hpp"
#include "layshaft/run/sweep.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// Settings spread widely enough that modes, shifts and step counts differ from one to the next.
Car varied_car(std::size_t number) {
  const auto share = [number](std::size_t step) {
    return static_cast<double>((number * step) % 997) / 997.0;
  };
  Car car = trial_car();
  car.body.mass += 0.3 * (share(389) - 0.5);
  car.rear_tyre.friction_peak *= 0.8 + 0.4 * share(577);
  car.engine.power_scale *= 0.8 + 0.4 * share(211);
  car.two_speed.shoes[1].slug_mass *= 0.95 + 0.1 * share(739);
  car.front_axle = number % 3 == 0 ? AxleKind::one_way : AxleKind::solid;
  // A belt that may jump, and a finger so quick and steep that the tyres spin and grip again.
  if (number % 5 == 0) car.belts.rear.tension = 25.0;
  if (number % 7 == 0) car.driver = {1.0, 0.01, 0.005, 10.0, 0.0};
  // So high that the front axle lifts, for a moment or until the car goes over; or with so much
  // lift that it leaves the road.
  if (number % 11 == 0) car.body.centre_height = 0.06 + 0.2 * share(389);
  if (number % 13 == 0) car.body.downforce_area = -0.1;
  return car;
}

LaunchOptions some_launch() {
  LaunchOptions options;
  options.distance = 25.0;
  options.distance_marks = {1.0, 5.0, 20.0, 25.0};
  options.speed_marks = {2.0, 10.0, 15.0};
  return options;
}

std::vector<LaunchResult> run_in_lanes(const LaunchOptions& options, std::size_t launches,
                                       std::size_t width) {
  std::vector<LaunchResult> results(launches);
  std::size_t next = 0;
  const LaunchQueue queue{
      [&](std::size_t& number, Car& car) {
        if (next == launches) return false;
        number = next++;
        car = varied_car(number);
        return true;
      },
      [&](std::size_t number, const LaunchResult& result) { results[number] = result; },
      [](std::size_t, const std::string& why) { FAIL() << why; }};
  run_ensemble(options, lane_form(width), queue);
  return results;
}

// All doubles by their bits, so that not-a-numbers compare too.
void expect_same_bits(std::span<const double> a, std::span<const double> b, const char* what) {
  ASSERT_EQ(a.size(), b.size()) << what;
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_EQ(std::bit_cast<std::uint64_t>(a[i]), std::bit_cast<std::uint64_t>(b[i]))
        << what << ' ' << i << ": " << a[i] << " and " << b[i];
  }
}

void expect_same(const LaunchResult& a, const LaunchResult& b) {
  EXPECT_EQ(a.ending.status, b.ending.status);
  EXPECT_EQ(a.ending.steps, b.ending.steps);
  EXPECT_EQ(a.ending.part, b.ending.part);
  EXPECT_EQ(a.end, b.end);
  EXPECT_EQ(a.first_modes, b.first_modes);
  EXPECT_EQ(a.changes, b.changes);  // with their times
  for (const Scalar& scalar : scalars()) {
    expect_same_bits(std::array{scalar.get(a)}, std::array{scalar.get(b)}, scalar.name.data());
  }
  expect_same_bits(a.accounts, b.accounts, "account");
  expect_same_bits(a.state.entries, b.state.entries, "state");
  expect_same_bits(a.distance_times, b.distance_times, "distance time");
  expect_same_bits(a.distance_speeds, b.distance_speeds, "distance speed");
  expect_same_bits(a.speed_times, b.speed_times, "speed time");
}

class EnsembleOfWidth : public ::testing::TestWithParam<std::size_t> {
 protected:
  void SetUp() override {
    if (lane_form(GetParam()).width != GetParam()) GTEST_SKIP() << "not on this processor";
  }

  static void expect_as_alone(const LaunchOptions& options, std::size_t launches) {
    const std::vector<LaunchResult> results = run_in_lanes(options, launches, GetParam());
    for (std::size_t i = 0; i < launches; ++i) {
      SCOPED_TRACE(i);
      expect_same(results[i], launch(varied_car(i), options));
    }
  }
};

TEST_P(EnsembleOfWidth, GivesTheSameBitsAsALaunchAlone) { expect_as_alone(some_launch(), 203); }

TEST_P(EnsembleOfWidth, ACarOffTheGroundEndsItsOwnRunOnly) {
  std::map<Status, int> count;
  bool lifted = false;
  LaunchOptions down_a_slope = some_launch();
  down_a_slope.start_speed = 16.0;
  down_a_slope.grade = -0.75;
  LaunchOptions off_in_time = some_launch();
  off_in_time.longest_time = 1.5;
  off_in_time.pedals = make_pedals(
      std::array<std::array<double, 3>, 3>{{{0.0, 1.0, 0.0}, {0.25, 1.0, 0.0}, {0.3, 0.0, 0.0}}});
  for (const LaunchOptions& options : {some_launch(), down_a_slope, off_in_time}) {
    for (const LaunchResult& result : run_in_lanes(options, 120, GetParam())) {
      ++count[result.ending.status];
      lifted = lifted || (result.ending.status == Status::finished && result.peaks.pitch > 0.0);
    }
    expect_as_alone(options, 120);
  }
  EXPECT_GT(count[Status::finished], 0);
  EXPECT_GT(count[Status::goes_over], 0);
  EXPECT_GT(count[Status::leaves_ground], 0);
  EXPECT_TRUE(lifted);
}

TEST_P(EnsembleOfWidth, FewerLaunchesThanLanesAreEnough) {
  for (const std::size_t launches : {0U, 1U, 3U}) expect_as_alone(some_launch(), launches);
}

TEST_P(EnsembleOfWidth, PedalsAndGradeAreThoseOfEachRun) {
  LaunchOptions options = some_launch();
  options.start_speed = 8.0;
  options.grade = 0.03;
  options.longest_time = 1.2;
  // Off and on again, then the brake: kinks, a one-way bearing and a reversal.
  options.pedals = make_pedals(std::array<std::array<double, 3>, 5>{
      {{0.0, 1.0, 0.0}, {0.4, 1.0, 0.0}, {0.45, 0.0, 0.0}, {0.7, 0.0, 0.0}, {0.75, 0.0, 0.6}}});
  expect_as_alone(options, 40);
}

TEST_P(EnsembleOfWidth, ARunOutOfStepsLeavesTheOthersAlone) {
  LaunchOptions options = some_launch();
  // Some of the settings need more, some less.
  options.integration.most_steps = 200;
  const std::vector<LaunchResult> results = run_in_lanes(options, 60, GetParam());
  std::map<Status, int> count;
  for (const LaunchResult& result : results) ++count[result.ending.status];
  EXPECT_GT(count[Status::finished], 0);
  EXPECT_GT(count[Status::step_budget], 0);
  expect_as_alone(options, 60);
}

TEST_P(EnsembleOfWidth, AFinerToleranceTakesMoreSteps) {
  LaunchOptions options = some_launch();
  const long coarse = run_in_lanes(options, 1, GetParam())[0].ending.steps;
  options.integration.tolerance = 1e-9;
  EXPECT_GT(run_in_lanes(options, 1, GetParam())[0].ending.steps, 2 * coarse);
  expect_as_alone(options, 9);
}

INSTANTIATE_TEST_SUITE_P(Widths, EnsembleOfWidth, ::testing::Values(2U, 4U, 8U));

TEST(Ensemble, TheSettingsOfTheseTestsDifferInTheirModes) {
  std::map<std::size_t, int> changes;
  for (const LaunchResult& result : run_in_lanes(some_launch(), 60, 2)) {
    ++changes[result.changes.size()];
  }
  EXPECT_GT(changes.size(), 2U);
}

TEST(Ensemble, RefusesSamples) {
  LaunchOptions options = some_launch();
  options.sample_interval = 0.01;
  EXPECT_THROW(run_in_lanes(options, 1, 2), std::invalid_argument);
}

TEST(Ensemble, ARefusedCarIsReportedAndTheQueueGoesOn) {
  std::size_t next = 0;
  std::size_t finished = 0;
  std::string why;
  const LaunchQueue queue{[&](std::size_t& number, Car& car) {
                            number = next++;
                            car = trial_car();
                            if (number == 1) car.body.mass = -1.0;
                            return number < 4;
                          },
                          [&](std::size_t, const LaunchResult&) { ++finished; },
                          [&](std::size_t number, const std::string& reason) {
                            EXPECT_EQ(number, 1U);
                            why = reason;
                          }};
  run_ensemble(some_launch(), lane_form(2), queue);
  EXPECT_EQ(finished, 3U);
  EXPECT_NE(why.find("mass"), std::string::npos) << why;
}

TEST(Sweep, GivesTheSameBitsForAnyNumberOfThreadsAndLanes) {
  SweepPlan plan{{"body.mass"}, {}};
  for (int i = 0; i < 37; ++i) plan.values.push_back(2.3 + 0.01 * i);
  plan.values[5] = -1.0;  // refused
  SweepOptions options{some_launch()};
  options.threads = 1;
  options.lanes = 1;
  const SweepResult alone = sweep(trial_car(), plan, options);
  EXPECT_EQ(alone.status[5], RunStatus::refused);
  for (const unsigned threads : {1U, 2U, 5U}) {
    for (const std::size_t lanes : {1U, 2U, 4U, 8U}) {
      options.threads = threads;
      options.lanes = lanes;
      const SweepResult swept = sweep(trial_car(), plan, options);
      expect_same_bits(swept.scalars, alone.scalars, "scalar");
      expect_same_bits(swept.distance_times, alone.distance_times, "distance time");
      expect_same_bits(swept.speed_times, alone.speed_times, "speed time");
      EXPECT_EQ(swept.status, alone.status);
      EXPECT_EQ(swept.messages, alone.messages);
    }
  }
}

}  // namespace
}  // namespace layshaft
