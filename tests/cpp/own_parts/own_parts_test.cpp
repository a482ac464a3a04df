// A part is its law and its file: the library's sources, built anew with a second brake, a viscous
// lock and a heave spring in the list, run launches, laps, lanes, samples, the C interface and
// co-simulation with them. Nothing else of the library is touched.

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include "../src/fmi/unit.hpp"
#include "invented_track.hpp"
#include "layshaft/c/layshaft.h"
#include "layshaft/car/fields.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/network/freeze.hpp"
#include "layshaft/run/ensemble.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/reading.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

constexpr int kHeave = CarParts::state("heave");
constexpr int kLockLoss = CarParts::account("lock_loss");
constexpr int kFrontBrake = CarParts::coupling("front_brake");
constexpr int kFrontBrakeLoss = CarParts::account("front_brake_loss");

// What the integrator loses of the energy moved, ten times over.
constexpr double kEnergyError = 1e-5;

LaunchOptions sampled_launch() {
  LaunchOptions options;
  options.distance = 40.0;
  options.sample_interval = 0.002;
  return options;
}

// The integral of a sampled quantity by Simpson's rule.
template <class Quantity>
double integral(const std::vector<Sample>& samples, const Quantity& of) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 2 < samples.size(); i += 2) {
    const double step = samples[i + 1].time - samples[i].time;
    sum += step / 3.0 * (of(samples[i]) + 4.0 * of(samples[i + 1]) + of(samples[i + 2]));
  }
  return sum;
}

TEST(OwnParts, StandInTheListsOfTheCarOnAnyRoad) {
  EXPECT_EQ(TrackParts::state("heave"), kHeave);
  EXPECT_EQ(TrackParts::account("lock_loss"), kLockLoss);
  EXPECT_EQ(kHeave, CarParts::kStates - 2);
}

TEST(OwnParts, RunInALaunchWhoseAccountsClose) {
  const LaunchResult run = launch(demo_car(), sampled_launch());
  ASSERT_EQ(run.ending.status, Status::finished);
  EXPECT_EQ(run.end, LaunchEnd::distance);
  EXPECT_LT(std::abs(run.energy_residual), kEnergyError * run.accounts[account::engine_work]);
  // Ahead of the spring the car's speed hardly changes: it stands as the downforce presses it,
  // less the damper's share of its slow way, c z', at 20 m/s^2 and more.
  const double downforce = 0.5 * moist_density(demo_car().air) * demo_car().body.downforce_area;
  const double pressed = -downforce * square(run.state(node::car)) / 4000.0;
  EXPECT_NEAR(run.state(kHeave), pressed, 0.05 * std::abs(pressed));
}

TEST(OwnParts, LoseWhatTheirLawsSay) {
  const LaunchResult run = launch(demo_car(), sampled_launch());
  const auto difference = [](const Sample& sample) {
    return sample.state(node::front) - sample.state(node::rear);
  };
  // The lock's damping is 2e-3 N*m*s. Simpson's error where the clutch bites: some 1e-3.
  const std::size_t odd = run.samples.size() - 1 + run.samples.size() % 2;
  const Sample& last = run.samples[odd - 1];
  const double expected =
      integral(run.samples, [&](const Sample& at) { return 2e-3 * square(difference(at)); });
  EXPECT_NEAR(last.accounts[kLockLoss], expected, 1e-3 * expected);
  EXPECT_GT(expected, 0.1);
}

TEST(OwnParts, FrontBrakeHoldsTheFrontAxleByThePedal) {
  LaunchOptions options = sampled_launch();
  options.start_speed = 15.0;
  options.longest_time = 0.5;
  const std::array<std::array<double, 3>, 1> half{{{0.0, 0.0, 0.5}}};
  options.pedals = make_pedals(half);
  const LaunchResult run = launch(demo_car(), options);
  ASSERT_EQ(run.ending.status, Status::finished);
  const double heat = integral(run.samples, [](const Sample& at) {
    return at.torques(kFrontBrake) * at.state(node::front);
  });
  for (const Sample& sample : run.samples) {
    if (sample.modes.couplings[kFrontBrake] == CouplingMode::slip_positive) {
      EXPECT_DOUBLE_EQ(sample.torques(kFrontBrake), 0.3);  // half of 0.6 N*m
    }
  }
  EXPECT_GT(heat, 5.0);
  EXPECT_NEAR(run.accounts[kFrontBrakeLoss], heat, 1e-3 * heat);
  EXPECT_LT(std::abs(run.energy_residual), kEnergyError * 0.5 * 2.55 * square(15.0));
}

TEST(OwnParts, RunInALap) {
  LapOptions options;
  options.sample_spacing = 0.5;
  const LapResult run = lap(demo_car(), testing::tight_track(), options);
  ASSERT_EQ(run.ending.status, Status::finished);
  EXPECT_TRUE(run.complete && run.repeats && run.holds);
  EXPECT_GT(run.accounts[static_cast<std::size_t>(kFrontBrakeLoss)], 1.0);
  EXPECT_LT(std::abs(run.energy_residual), 1e-4 * run.accounts[account::engine_work]);
  const auto named = [](std::string_view name) {
    const auto list = lap_outputs();
    const auto found = std::ranges::find(list, name, &Output::name);
    return static_cast<std::size_t>(found - list.begin());
  };
  ASSERT_LT(named("heave"), lap_outputs().size());
  const LapSample& sample = run.samples[run.samples.size() / 2];
  EXPECT_EQ(read_lap_output(sample, 300.0, named("heave")), sample.state(kHeave));
  EXPECT_EQ(read_lap_output(sample, 300.0, named("front_brake_torque")),
            sample.torques(kFrontBrake));
}

TEST(OwnParts, GiveTheSameBitsInLanesAsAlone) {
  LaunchOptions options;
  options.distance = 20.0;
  options.distance_marks = {5.0, 20.0};
  const std::size_t launches = 10;
  const auto run = [&](std::size_t width) {
    std::vector<std::vector<double>> rows(launches);
    std::size_t next = 0;
    const LaunchQueue queue{[&](std::size_t& number, Car& car) {
                              if (next == launches) return false;
                              number = next++;
                              car = demo_car();
                              car.body.mass += 0.02 * static_cast<double>(number);
                              return true;
                            },
                            [&](std::size_t number, const LaunchResult& result) {
                              EXPECT_EQ(result.ending.status, Status::finished);
                              rows[number] = result.distance_times;
                              rows[number].insert(rows[number].end(), result.accounts.begin(),
                                                  result.accounts.end());
                              for (const double value : result.state.entries)
                                rows[number].push_back(value);
                            },
                            [](std::size_t, const std::string& why) { FAIL() << why; }};
    run_ensemble(options, lane_form(width), queue);
    return rows;
  };
  const auto alone = run(1);
  for (const std::size_t width : {2U, 4U, 8U}) {
    if (lane_form(width).width == width) {
      EXPECT_EQ(run(width), alone) << width;
    }
  }
}

TEST(OwnParts, HaveTheirFieldsInTheTable) {
  const Field* damping = find_field("axle_lock.damping");
  ASSERT_NE(damping, nullptr);
  EXPECT_EQ(damping->unit, "N*m*s");
  EXPECT_EQ(damping->get(demo_car()), 2e-3);
  EXPECT_NE(find_field("front_brake.torque"), nullptr);
  EXPECT_NE(find_field("heave.damping"), nullptr);
  const Car stiff = with_field(demo_car(), "heave.stiffness", 8000.0);
  EXPECT_NE(stiff, demo_car());
  EXPECT_EQ(get_field(stiff, "heave.stiffness"), 8000.0);
  try {
    (void)with_field(demo_car(), "axle_lock.damping", -1.0);
    FAIL() << "a negative damping was taken";
  } catch (const std::invalid_argument& refused) {
    EXPECT_STREQ(refused.what(), "axle_lock.damping = -1 N*m*s must be from 0 to 0.1 N*m*s");
  }
}

TEST(OwnParts, FollowTheirFields) {
  const LaunchResult soft = launch(demo_car(), sampled_launch());
  const LaunchResult stiff =
      launch(with_field(demo_car(), "heave.stiffness", 8000.0), sampled_launch());
  // Half as deep on springs twice as stiff, but for the dampers' share.
  EXPECT_NEAR(stiff.state(kHeave) / soft.state(kHeave), 0.5, 0.02);
  const LaunchResult open =
      launch(with_field(demo_car(), "axle_lock.damping", 0.0), sampled_launch());
  EXPECT_EQ(open.accounts[kLockLoss], 0.0);
}

TEST(OwnParts, AreSetThroughTheCInterface) {
  layshaft_car* car = nullptr;
  ASSERT_EQ(layshaft_create("axle_lock.damping = 0.004\n", &car), LAYSHAFT_OK);
  double value = 0.0;
  ASSERT_EQ(layshaft_get(car, "axle_lock.damping", &value), LAYSHAFT_OK);
  EXPECT_EQ(value, 0.004);
  ASSERT_EQ(layshaft_set(car, "front_brake.torque", 0.4), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_set(car, "brake", 0.5), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_set(car, "run.start_speed", 15.0), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_reset(car), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_step_to(car, 0.3, &value), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_get(car, "front_brake_torque", &value), LAYSHAFT_OK);
  EXPECT_DOUBLE_EQ(value, 0.2);  // half of 0.4 N*m
  EXPECT_EQ(layshaft_set(car, "heave.stiffness", 1.0), LAYSHAFT_BAD_INPUT);
  layshaft_destroy(car);
}

TEST(OwnParts, AreReadThroughTheCInterface) {
  layshaft_car* car = nullptr;
  ASSERT_EQ(layshaft_create("", &car), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_set(car, "run.own_driver", 1.0), LAYSHAFT_OK);
  ASSERT_EQ(layshaft_reset(car), LAYSHAFT_OK);
  double reached = 0.0;
  ASSERT_EQ(layshaft_step_to(car, 1.0, &reached), LAYSHAFT_OK);
  LaunchOptions options;
  options.longest_time = 1.0;
  options.sample_interval = 0.5;
  const LaunchResult run = launch(demo_car(), options);
  const auto expect = [&](const char* name, double expected) {
    double value = 0.0;
    ASSERT_EQ(layshaft_get(car, name, &value), LAYSHAFT_OK) << name;
    EXPECT_EQ(value, expected) << name;
  };
  expect("heave", run.samples[2].state(kHeave));
  expect("lock_loss", run.samples[2].accounts[kLockLoss]);
  expect("front_brake_torque", run.samples[2].torques(kFrontBrake));
  layshaft_destroy(car);
}

TEST(OwnParts, AreVariablesOfACoSimulationUnit) {
  const std::filesystem::path folder =
      std::filesystem::temp_directory_path() / ("layshaft_own_parts_" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "token.txt") << "token";
  std::ofstream(folder / "car.txt") << "";
  fmi::Unit unit(folder.string(), "token");
  std::filesystem::remove_all(folder);
  const auto number = [](std::string_view name) {
    return static_cast<std::uint32_t>(find_variable(name).value());
  };
  unit.enter_initialisation(0.0, {}, {});
  const std::array references{number("throttle"), number("axle_lock.damping")};
  const std::array values{1.0, 0.004};
  unit.set(references, fmi::Access::real, values);
  unit.exit_initialisation(false);
  (void)unit.step(0.0, 1.0, false);
  EXPECT_LT(unit.get(number("heave"), fmi::Access::real), -1e-6);
  EXPECT_GT(unit.get(number("lock_loss"), fmi::Access::real), 0.0);
  EXPECT_EQ(unit.get(number("axle_lock.damping"), fmi::Access::real), 0.004);
}

TEST(OwnParts, AreInTheExactJacobian) {
  const std::array<std::array<double, 3>, 2> rows{{{0.0, 0.2, 0.1}, {1.0, 0.9, 0.3}}};
  const Drivetrain plant(demo_car(), {make_pedals(rows), 0.03});
  Drivetrain::Positions switches{1, 1, 1, 1};
  ModesOf<Drivetrain> modes;
  modes.couplings.fill(CouplingMode::slip_positive);
  modes.couplings[coupling::first] = CouplingMode::open;
  const auto frozen = freeze(plant.network(), modes.couplings);
  const auto active = plant.activate(switches);
  StateOf<Drivetrain> state = plant.rolling_state(15.0);
  state(node::front) *= 1.02;
  state(kHeave) = -1e-4;
  Drivetrain::Jacobian jacobian;
  StateOf<Drivetrain> slope;
  plant.linearise(active, frozen, 0.4, state, jacobian, slope);
  // d(heave)/dt is its speed, and the air presses by the square of the car's.
  EXPECT_EQ(jacobian(kHeave, kHeave + 1), 1.0);
  const double downforce = plant.law().loading.downforce;
  EXPECT_NEAR(jacobian(kHeave + 1, node::car), -2.0 * downforce * 15.0 / plant.law().mass, 1e-12);
  // The lock alone between the axles, both belts sliding: its damping over the inertia.
  EXPECT_NEAR(jacobian(node::rear, node::front), 2e-3 / plant.network().inertia(node::rear), 1e-9);
  // The front brake follows the pedal, 0.2 of it a second.
  EXPECT_NEAR(slope(node::front), -0.6 * 0.2 / plant.network().inertia(node::front), 1e-9);
}

}  // namespace
}  // namespace layshaft
