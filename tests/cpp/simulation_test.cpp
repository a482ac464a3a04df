#include "layshaft/run/simulation.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "stepped_car.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// Of a run whose pedals go down at once against one whose pedals go down within a microsecond:
// solver tolerance 1e-6, times the few hundred steps of a run, and a microsecond's worth of motion.
constexpr double kRampError = 2e-4;  // [m/s]

double time_to(double distance, const LaunchOptions& options) {
  LaunchOptions marked = options;
  marked.distance_marks = {distance};
  return launch(trial_car(), marked).distance_times.front();
}

TEST(Simulation, StopwatchStopsAtTheBitsOfALaunchAtOddSteps) {
  Simulation simulation(driven());
  step_oddly(simulation, 5.0);
  EXPECT_EQ(simulation.output("stopwatch"), time_to(60.0, {}));
  EXPECT_GT(simulation.output("car_distance"), 60.0);
}

TEST(Simulation, HeldThrottleIsALaunchWithThatPedal) {
  LaunchOptions options;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 1>{{{0.0, 1.0, 0.0}}});
  options.grade = 0.02;
  Simulation simulation(full_throttle(0.02));
  simulation.step_to(5.0);
  EXPECT_EQ(simulation.output("stopwatch"), time_to(60.0, options));
}

TEST(Simulation, ChangesAreThoseOfALaunch) {
  const LaunchResult run = launch(trial_car(), {});
  Simulation simulation(driven());
  step_oddly(simulation, run.ending.time);
  const std::span<const Change> seen = simulation.changes();
  ASSERT_EQ(seen.size(), run.changes.size());
  for (std::size_t i = 0; i < seen.size(); ++i) EXPECT_EQ(seen[i], run.changes[i]) << i;
}

TEST(Simulation, OutputsAreThoseOfALaunchSample) {
  LaunchOptions options;
  options.sample_interval = 0.25;
  const LaunchResult run = launch(trial_car(), options);
  Simulation simulation(driven());
  for (const Sample& sample : run.samples) {
    simulation.step_to(sample.time);
    EXPECT_EQ(simulation.output("crank_speed"), sample.state(node::crank)) << sample.time;
    EXPECT_EQ(simulation.output("second_torque"), sample.torques(coupling::second));
    EXPECT_EQ(simulation.output("clutch_slip"), sample.slips(coupling::clutch));
    EXPECT_EQ(simulation.output("car_distance"), sample.accounts[account::distance]);
    EXPECT_EQ(simulation.output("rear_axle_load"), sample.signals[car_signal::rear_load]);
    EXPECT_EQ(simulation.output("drum_temperature"),
              trial_car().air.temperature + sample.state(car_state::shoe_body));
  }
}

TEST(Simulation, StepSizesOfTheOutsiderChangeNoBit) {
  Simulation once(driven());
  Simulation oddly(driven());
  for (const double time : {0.05, 0.8, 1.3, 2.6, 3.4}) {
    once.step_to(time);
    step_oddly(oddly, time);
    EXPECT_EQ(all_outputs(once), all_outputs(oddly)) << time;
  }
}

TEST(Simulation, SettingTheSameInputsAgainChangesNoBit) {
  Simulation left(full_throttle());
  Simulation set(full_throttle());
  left.step_to(2.0);
  while (set.time() < 2.0) {
    set.step_to(std::min(2.0, set.time() + 0.0137));
    set.set_inputs({1.0, 0.0, 0.0});
  }
  EXPECT_EQ(all_outputs(left), all_outputs(set));
}

TEST(Simulation, BrakingOnTheWayIsALaunchWithASteepPedal) {
  LaunchOptions options;
  options.distance = 500.0;
  options.longest_time = 3.0;
  options.pedals =
      make_pedals(std::array<std::array<double, 3>, 2>{{{2.0, 1.0, 0.0}, {2.000001, 0.0, 1.0}}});
  const LaunchResult run = launch(trial_car(), options);
  Simulation simulation(full_throttle());
  simulation.step_to(2.0);
  const double before = simulation.output("car_speed");
  simulation.set_inputs({0.0, 1.0, 0.0});
  EXPECT_EQ(simulation.output("car_speed"), before);
  simulation.step_to(3.0);
  EXPECT_LT(simulation.output("car_speed"), before);
  EXPECT_NEAR(simulation.output("car_speed"), run.state(node::car), kRampError);
  EXPECT_NEAR(simulation.output("car_distance"), run.accounts[account::distance], kRampError);
}

TEST(Simulation, NewGradeCountsFromItsSettingOn) {
  Simulation simulation(full_throttle());
  simulation.step_to(1.0);
  simulation.set_inputs({1.0, 0.0, 0.1});
  EXPECT_EQ(simulation.output("grade_work"), 0.0);
  simulation.step_to(1.5);
  EXPECT_GT(simulation.output("grade_work"), 0.0);
}

TEST(Simulation, StopsAtEachChangeInTurn) {
  Simulation all(driven());
  all.step_to(3.0);
  Simulation stopping(driven());
  std::size_t stops = 0;
  while (stopping.step_to_change(3.0) < 3.0) {
    ++stops;
    ASSERT_FALSE(stopping.changes().empty());
    EXPECT_EQ(stopping.changes().back().time, stopping.time());
  }
  EXPECT_GT(stops, 3U);
  ASSERT_EQ(stopping.changes().size(), all.changes().size());
  EXPECT_EQ(all_outputs(stopping), all_outputs(all));
}

TEST(Simulation, ModeReadAtAChangeIsTheNewOne) {
  Simulation simulation(driven());
  while (simulation.step_to_change(5.0) < 5.0) {
    const Change& last = simulation.changes().back();
    if (last.part != Change::Part::coupling) continue;
    const auto index = static_cast<std::size_t>(last.index);
    const std::string name = std::string(kCouplingNames[index]) + "_mode";
    EXPECT_EQ(simulation.output(name), last.to) << name << " at " << last.time;
  }
}

TEST(Simulation, SavedInTheMiddleGoesOnWithTheSameBits) {
  Simulation whole(driven());
  SimulationSetup other = full_throttle();
  other.car = with_field(other.car, "first.pinion", 16);
  for (double time = 0.0; time < 4.0; time += 0.0573) {
    whole.step_to(time);
    Simulation again(other);
    again.step_to(0.3);
    again.load(whole.save());
    EXPECT_EQ(again.time(), time);
    EXPECT_EQ(all_outputs(again), all_outputs(whole)) << time;
    Simulation later(driven());
    later.load(whole.save());
    again.step_to(time + 0.4);
    later.step_to(time + 0.2);
    step_oddly(later, time + 0.4);
    EXPECT_EQ(all_outputs(again), all_outputs(later)) << time;
    EXPECT_EQ(again.changes().size(), later.changes().size());
  }
  whole.step_to(4.4);
  Simulation straight(driven());
  straight.step_to(4.4);
  EXPECT_EQ(all_outputs(whole), all_outputs(straight));
}

TEST(Simulation, SavedAtAChangeOrAfterAnInputGoesOnWithTheSameBits) {
  Simulation whole(full_throttle());
  whole.step_to_change(3.0);
  Simulation again(driven());
  again.load(whole.save());
  whole.set_inputs({0.5, 0.2, 0.0});
  again.set_inputs({0.5, 0.2, 0.0});
  Simulation pressed(driven());
  pressed.load(whole.save());
  for (Simulation* simulation : {&whole, &again, &pressed}) simulation->step_to(2.0);
  EXPECT_EQ(all_outputs(whole), all_outputs(again));
  EXPECT_EQ(all_outputs(whole), all_outputs(pressed));
  EXPECT_EQ(pressed.setup(), whole.setup());
}

TEST(Simulation, SavedWhileBrakingToRestGoesOnWithTheSameBits) {
  const SimulationSetup setup = full_throttle(0.05);
  Simulation whole(setup);
  whole.step_to(1.0);
  whole.set_inputs({0.0, 1.0, 0.05});
  for (double time = 1.0; time < 4.0; time += 0.0973) {
    whole.step_to(time);
    Simulation again(setup);
    again.load(whole.save());
    EXPECT_EQ(all_outputs(again), all_outputs(whole)) << time;
    Simulation oddly(setup);
    oddly.load(whole.save());
    again.step_to(time + 0.3);
    step_oddly(oddly, time + 0.3);
    EXPECT_EQ(all_outputs(again), all_outputs(oddly)) << time;
  }
}

TEST(Simulation, RefusesNumbersThatAreNoState) {
  Simulation simulation(driven());
  simulation.step_to(1.0);
  const std::vector<double> saved = simulation.save();
  const std::vector<double> outputs_before = all_outputs(simulation);
  const auto load = [&](std::vector<double> numbers) {
    return refusal([&] { simulation.load(numbers); });
  };
  EXPECT_NE(load({}), "");
  EXPECT_NE(load({saved.begin(), saved.end() - 1}), "");
  std::vector<double> longer = saved;
  longer.push_back(0.0);
  EXPECT_NE(load(longer), "");
  // Every number in turn is spoilt; what is let through must still be a car that runs or says why.
  for (std::size_t i = 0; i < saved.size(); ++i) {
    std::vector<double> spoilt = saved;
    spoilt[i] = std::numeric_limits<double>::quiet_NaN();
    Simulation other(driven());
    if (refusal([&] { other.load(spoilt); }).empty()) other.step_to(std::max(1.01, other.time()));
  }
  EXPECT_EQ(all_outputs(simulation), outputs_before);
}

TEST(Simulation, ThatCannotGoOnSaysWhyAndStaysReadable) {
  const std::vector<double> saved = Simulation(full_throttle()).save();
  int stopped = 0;
  for (std::size_t i = 0; i < saved.size(); ++i) {
    std::vector<double> spoilt = saved;
    spoilt[i] = 1e300;  // Finite, but its square is not.
    Simulation simulation(full_throttle());
    if (!refusal([&] { simulation.load(spoilt); }).empty()) continue;
    const double reached = simulation.step_to(0.5);
    EXPECT_EQ(simulation.time(), reached);
    EXPECT_EQ(simulation.failure().empty(), reached == 0.5) << i;
    if (reached == 0.5) continue;
    ++stopped;
    EXPECT_EQ(simulation.step_to(0.7), reached);
    EXPECT_NE(refusal([&] { static_cast<void>(simulation.save()); }), "");
    EXPECT_EQ(all_outputs(simulation).size(), outputs().size());
  }
  EXPECT_GE(stopped, car_state::count / 2);
}

TEST(Simulation, RefusesASavedStateWithANumberThatIsNone) {
  Simulation whole(full_throttle());
  whole.step_to(1.0);
  const std::vector<double> saved = whole.save();
  int let_through = 0;
  for (const double none :
       {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    for (std::size_t i = 0; i < saved.size(); ++i) {
      std::vector<double> spoilt = saved;
      spoilt[i] = none;
      let_through += refusal([&] { whole.load(spoilt); }).empty() && saved[i] != none ? 1 : 0;
    }
  }
  EXPECT_EQ(let_through, 0);
}

TEST(Simulation, RefusesBadInputByName) {
  Simulation simulation(full_throttle());
  simulation.step_to(0.5);
  EXPECT_EQ(refusal([&] { simulation.step_to(0.4); }),
            "Simulation.time = 0.4 must be not before the present");
  EXPECT_EQ(refusal([&] { simulation.step_to(NAN); }),
            "Simulation.time = nan must be not before the present");
  EXPECT_EQ(refusal([&] { simulation.step_to(INFINITY); }),
            "Simulation.time = inf must be at most 1e6");
  EXPECT_EQ(refusal([&] { simulation.step_to_change(1.1e6); }),
            "Simulation.time = 1100000 must be at most 1e6");
  EXPECT_EQ(refusal([&] { simulation.set_inputs({1.5, 0.0, 0.0}); }),
            "Inputs.throttle = 1.5 must be from 0 to 1");
  EXPECT_EQ(refusal([&] { simulation.set_inputs({0.0, 0.0, NAN}); }),
            "Inputs.grade = nan must be from -1 to 1");
  EXPECT_EQ(refusal([&] { static_cast<void>(simulation.output("crank")); }),
            "unknown output crank");
  SimulationSetup setup = driven();
  setup.options.stopwatch_distance = 0.0;
  EXPECT_EQ(refusal([&] { Simulation{setup}; }),
            "SimulationOptions.stopwatch_distance = 0 must be > 0 and < 1e5");
  EXPECT_EQ(simulation.time(), 0.5);
  simulation.step_to(1.0);
  Simulation left(full_throttle());
  left.step_to(1.0);
  EXPECT_EQ(all_outputs(simulation), all_outputs(left));
}

}  // namespace
}  // namespace layshaft
