/// What a simulation holds, and what it is before a call, is bounded and is as it was.

#include <gtest/gtest.h>

#include <vector>

#include "layshaft/run/simulation.hpp"
#include "stepped_car.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

TEST(SimulationLimits, HoldsTheChangesOfTheLastStepAloneWhileThePedalsMove) {
  SimulationSetup keeping = full_throttle();
  keeping.options.keep_changes = true;
  Simulation short_of_memory(full_throttle());
  Simulation whole(keeping);
  const std::size_t state_size = short_of_memory.save().size();
  RestlessPedals pedals;
  std::vector<Change> heard;
  std::size_t most = 0;
  for (int k = 1; k <= 10'000; ++k) {
    const Inputs inputs = pedals.next();
    for (Simulation* simulation : {&short_of_memory, &whole}) {
      simulation->set_inputs(inputs);
      simulation->step_to(1e-3 * k);
    }
    most = std::max(most, short_of_memory.changes().size());
    heard.insert(heard.end(), short_of_memory.changes().begin(), short_of_memory.changes().end());
    ASSERT_EQ(short_of_memory.save().size(), state_size);
  }
  // Every change is in one of the lists and in one only.
  ASSERT_EQ(heard.size(), whole.changes().size());
  EXPECT_TRUE(std::equal(heard.begin(), heard.end(), whole.changes().begin()));
  EXPECT_GT(heard.size(), 5'000U);
  EXPECT_LT(most, 100U);
  EXPECT_EQ(all_outputs(short_of_memory), all_outputs(whole));
}

TEST(SimulationLimits, HoldsABoundedListOfChangesHoweverOftenInputsAreSet) {
  // Each change of the brake turns the torque of the front belt.
  Simulation simulation({.car = trial_car(), .options = {.start_speed = 5.0}, .inputs = {}});
  std::size_t most = 0;
  for (int k = 0; k < 5'000; ++k) {
    simulation.set_inputs({0.3, k % 2 == 0 ? 1.0 : 0.0, 0.0});
    most = std::max(most, simulation.changes().size());
  }
  EXPECT_GE(most, kMostChanges);
  EXPECT_LT(most, 2 * kMostChanges);
}

TEST(SimulationLimits, TakesBackTheLastCall) {
  for (const bool keep : {false, true}) {
    SimulationSetup setup = full_throttle();
    setup.options.keep_changes = keep;
    Simulation simulation(setup);
    RestlessPedals pedals;
    for (int k = 1; k <= 300; ++k) {
      const std::vector<double> values = all_outputs(simulation);
      const std::vector<double> saved = simulation.save();
      const std::vector<Change> changes(simulation.changes().begin(), simulation.changes().end());
      const double time = simulation.time();
      const bool changed = simulation.changed();
      switch (k % 3) {
        case 0: simulation.set_inputs(pedals.next()); break;
        case 1: simulation.step_to(time + 0.0137); break;
        default: simulation.step_to_change(time + 0.0137);
      }
      simulation.take_back();
      EXPECT_EQ(all_outputs(simulation), values) << k;
      EXPECT_EQ(simulation.save(), saved) << k;
      EXPECT_TRUE(std::equal(changes.begin(), changes.end(), simulation.changes().begin(),
                             simulation.changes().end()));
      EXPECT_EQ(simulation.changed(), changed);
      simulation.set_inputs(pedals.next());
      simulation.step_to(time + 0.005);
    }
  }
}

TEST(SimulationLimits, RunsForHoursOnABudgetOfStepsForEachSecond) {
  // No step is longer than 0.1 s: more than the 200 000 steps of a launch.
  Simulation simulation({.car = trial_car(), .options = {.start_speed = 5.0}, .inputs = {}});
  EXPECT_EQ(simulation.step_to(20'500.0), 20'500.0) << simulation.failure();
}

TEST(SimulationLimits, StopsLaterAtEachChangeWhateverTheTimesAskedFor) {
  for (int start = 0; start < 40; ++start) {
    Simulation simulation(driven());
    double before = 0.0;
    for (double end = 0.001 * start; end < 3.0; end += 0.037) {
      while (simulation.time() < end) {
        const double reached = simulation.step_to_change(end);
        EXPECT_GT(reached, before);
        before = reached;
      }
    }
  }
}

}  // namespace
}  // namespace layshaft
