#include "layshaft/run/variables.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <stdexcept>
#include <string>

#include "trial_car.hpp"

namespace layshaft {
namespace {

SimulationSetup demo() { return {.car = demo_car(), .options = {}, .inputs = {}}; }

std::size_t number_of(std::string_view name) { return find_variable(name).value(); }

std::string refusal(std::string_view name, double value) {
  SimulationSetup setup = demo();
  try {
    set_variable(setup, number_of(name), value);
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

TEST(Variables, HaveOneNameEach) {
  std::set<std::string_view> names;
  for (const Variable& variable : variables()) names.insert(variable.name);
  EXPECT_EQ(names.size(), variables().size());
  EXPECT_FALSE(find_variable("two_speed.gapp"));
}

TEST(Variables, SetAtEitherBoundAreReadBack) {
  for (std::size_t i = 0; i < variables().size(); ++i) {
    const Variable& variable = variables()[i];
    if (variable.role == Role::output) continue;
    for (const double value : {variable.minimum, variable.maximum}) {
      SimulationSetup setup = demo();
      set_variable(setup, i, value);
      EXPECT_EQ(get_variable(setup, i), value) << variable.name;
    }
  }
}

TEST(Variables, FallbacksAreThoseOfTheDemoCarAtRest) {
  for (std::size_t i = 0; i < variables().size(); ++i) {
    const Variable& variable = variables()[i];
    if (variable.role == Role::output) continue;
    EXPECT_EQ(get_variable(demo(), i), variable.fallback) << variable.name;
  }
}

TEST(Variables, OutsideTheirRangeAreRefusedByName) {
  EXPECT_EQ(refusal("brake", 1.1), "brake = 1.1 must be from 0 to 1");
  EXPECT_EQ(refusal("grade", NAN), "grade = nan must be from -1 to 1");
  EXPECT_EQ(refusal("run.own_driver", 0.5),
            "run.own_driver = 0.5 must be a whole number from 0 to 1");
  EXPECT_EQ(refusal("run.start_speed", -1.0), "run.start_speed = -1 m/s must be from 0 to 99 m/s");
  EXPECT_EQ(refusal("first.pinion", 16.5),
            "first.pinion = 16.5 must be a whole number from 8 to 200");
  EXPECT_EQ(refusal("car_speed", 1.0), "car_speed is an output, it cannot be set");
}

TEST(Variables, OutputsAreReadFromASimulation) {
  Simulation simulation({.car = trial_car(), .options = {}, .inputs = {.throttle = 1.0}});
  simulation.step_to(1.0);
  for (std::size_t i = 0; i < variables().size(); ++i) {
    const Variable& variable = variables()[i];
    if (variable.role != Role::output) continue;
    EXPECT_EQ(get_output(simulation, i), simulation.output(variable.name)) << variable.name;
  }
}

}  // namespace
}  // namespace layshaft
