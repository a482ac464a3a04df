// Each output of a simulation is the number that its name says: no two are exchanged.

#include "layshaft/run/outputs.hpp"

#include <gtest/gtest.h>

#include <string_view>

#include "layshaft/run/reading.hpp"

namespace layshaft {
namespace {

/// A reading in which no two numbers are alike.
Reading reading_of_distinct_numbers() {
  Reading reading{};
  Sample& sample = reading.sample;
  for (int i = 0; i < car_state::count; ++i) sample.state(i) = 10.0 + i;
  for (int i = 0; i < coupling::count; ++i) {
    sample.torques(i) = 100.0 + i;
    sample.slips(i) = 200.0 + i;
  }
  for (std::size_t i = 0; i < sample.accounts.size(); ++i) {
    sample.accounts[i] = 300.0 + static_cast<double>(i);
  }
  for (std::size_t i = 0; i < sample.signals.size(); ++i) {
    sample.signals[i] = 400.0 + static_cast<double>(i);
  }
  sample.modes.couplings[coupling::clutch] = CouplingMode::slip_positive;
  sample.modes.couplings[coupling::second] = CouplingMode::stuck;
  sample.modes.switches[plant_switch::shoes + 1] = 1;
  reading.air_temperature = 1000.0;
  reading.stopwatch = 600.0;
  return reading;
}

TEST(Outputs, AreWhatTheyAreCalled) {
  const Reading reading = reading_of_distinct_numbers();
  struct Named {
    std::string_view name;
    double value;
  };
  // In the order in which the parts bring them in: engine, clutch, gears, belts, pedals, brake,
  // loading, axles, slips, body, rolling, load transfer, driver, heat.
  for (const Named& each : {Named{"crank_speed", 10.0},
                            {"bell_speed", 11.0},
                            {"shaft_speed", 12.0},
                            {"rear_speed", 13.0},
                            {"front_speed", 14.0},
                            {"car_speed", 15.0},
                            {"rear_strain", 16.0},
                            {"front_strain", 17.0},
                            {"rear_slip", 18.0},
                            {"front_slip", 19.0},
                            {"load_transfer", 20.0},
                            {"throttle_opening", 21.0},
                            {"clutch_lining_temperature", 1022.0},
                            {"clutch_bell_temperature", 1023.0},
                            {"shoe_lining_temperature", 1024.0},
                            {"drum_temperature", 1025.0},
                            {"clutch_torque", 100.0},
                            {"first_torque", 101.0},
                            {"second_torque", 102.0},
                            {"rear_belt_torque", 103.0},
                            {"front_belt_torque", 104.0},
                            {"brake_torque", 105.0},
                            {"rolling_force", 106.0},
                            {"clutch_slip", 200.0},
                            {"first_slip", 201.0},
                            {"second_slip", 202.0},
                            {"rear_belt_slip", 203.0},
                            {"front_belt_slip", 204.0},
                            {"brake_slip", 205.0},
                            {"rolling_slip", 206.0},
                            {"car_distance", 310.0},
                            {"fuel", 300.0},
                            {"engine_work", 301.0},
                            {"clutch_loss", 302.0},
                            {"shoe_loss", 304.0},
                            {"mesh_loss", 303.0},
                            {"belt_loss", 305.0},
                            {"brake_loss", 306.0},
                            {"rolling_loss", 313.0},
                            {"rear_tyre_loss", 308.0},
                            {"front_tyre_loss", 309.0},
                            {"tyre_stored", 307.0},
                            {"air_loss", 311.0},
                            {"grade_work", 312.0},
                            {"rear_tyre_force", 404.0},
                            {"front_tyre_force", 405.0},
                            {"rear_axle_load", 402.0},
                            {"front_axle_load", 403.0},
                            {"clutch_mode", static_cast<double>(CouplingMode::slip_positive)},
                            {"second_mode", static_cast<double>(CouplingMode::stuck)},
                            {"first_mode", static_cast<double>(CouplingMode::open)},
                            {"shoe_1_out", 0.0},
                            {"shoe_2_out", 1.0},
                            {"throttle_asked", 400.0},
                            {"brake_pedal", 401.0},
                            {"stopwatch", 600.0}}) {
    const auto number = find_output(each.name);
    ASSERT_TRUE(number.has_value()) << each.name;
    EXPECT_EQ(read_output(reading, *number), each.value) << each.name;
  }
}

}  // namespace
}  // namespace layshaft
