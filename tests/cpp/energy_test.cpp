// Where the energy of a run goes: work in = stored + each loss.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {
namespace {

constexpr std::array kGaps{4.0e-3, 4.4e-3, 4.8e-3, 5.2e-3, 5.6e-3};  // [m]

LaunchOptions options_at(double tolerance) {
  LaunchOptions options;
  options.integration.tolerance = tolerance;
  return options;
}

LaunchResult launch_at(double gap, double tolerance) {
  return launch(with_field(demo_car(), "two_speed.gap", gap), options_at(tolerance));
}

double sum_of(const AccountsOf<Drivetrain>& accounts, int which) {
  return accounts[static_cast<std::size_t>(which)];
}

// Each step may err in each account by tolerance * (its scale + its size); signs differ from step
// to step, so that the sum grows with the root of their number.
double allowed_residual(const LaunchResult& run, double tolerance) {
  double share = 0.0;
  for (int which = account::engine_work; which < account::count; ++which) {
    share += 100.0 + std::abs(sum_of(run.accounts, which));
  }
  share += std::abs(run.car_energy) + std::abs(run.rotating_energy);
  return tolerance * share * std::sqrt(static_cast<double>(run.ending.steps));
}

TEST(Energy, WorkOfTheEngineIsStoredOrLostInEveryLaunch) {
  for (const double gap : kGaps) {
    for (const double tolerance : {1e-5, 1e-7, 1e-9}) {
      const LaunchResult run = launch_at(gap, tolerance);
      ASSERT_EQ(run.end, LaunchEnd::distance);
      EXPECT_EQ(run.upshifts, 1);
      EXPECT_LE(std::abs(run.energy_residual), allowed_residual(run, tolerance));
    }
  }
}

TEST(Energy, ResidualFallsWithTheTolerance) {
  // Ten thousand times tighter: at least a hundred times less is left over.
  double previous = 0.0;
  for (const double tolerance : {1e-4, 1e-8, 1e-12}) {
    double largest = 0.0;
    for (const double gap : {4.0e-3, 4.8e-3, 5.6e-3}) {
      largest = std::max(largest, std::abs(launch_at(gap, tolerance).energy_residual));
    }
    if (previous > 0.0) {
      EXPECT_LT(largest, previous / 100.0) << "at " << tolerance;
    }
    previous = largest;
  }
}

LaunchOptions braking(double from_speed) {
  LaunchOptions options = options_at(1e-8);
  constexpr std::array<std::array<double, 3>, 3> kRows{
      {{0.0, 1.0, 0.0}, {0.3, 0.0, 0.0}, {0.4, 0.0, 1.0}}};
  options.pedals = make_pedals(kRows);
  options.start_speed = from_speed;
  options.longest_time = 4.0;
  return options;
}

TEST(Energy, BalanceHoldsWhileBrakingAndOnAGrade) {
  for (const double grade : {-0.1, 0.0, 0.1}) {
    LaunchOptions options = braking(18.0);
    options.grade = grade;
    const LaunchResult run = launch(demo_car(), options);
    EXPECT_EQ(run.ending.status, Status::finished);
    EXPECT_LT(run.car_energy, 0.0);
    EXPECT_LE(std::abs(run.energy_residual), allowed_residual(run, 1e-8));
  }
}

// The largest fall between two samples of an account that may only rise.
double largest_fall(std::span<const Sample> samples, int which) {
  double fall = 0.0;
  for (std::size_t k = 1; k < samples.size(); ++k) {
    fall =
        std::max(fall, sum_of(samples[k - 1].accounts, which) - sum_of(samples[k].accounts, which));
  }
  return fall;
}

void expect_no_loss_falls(const Car& car, LaunchOptions options) {
  options.sample_interval = 1e-3;
  const LaunchResult run = launch(car, options);
  ASSERT_GT(run.samples.size(), 100U);
  for (int which = account::clutch_loss; which < account::count; ++which) {
    // Carcass and grade give back what they took.
    if (which == account::tyre_stored || which == account::grade_work) continue;
    const double allowed =
        options.integration.tolerance * (100.0 + std::abs(sum_of(run.accounts, which)));
    EXPECT_LE(largest_fall(run.samples, which), allowed)
        << kAccountNames[static_cast<std::size_t>(which)];
  }
}

TEST(Energy, NoLossGivesEnergyBackInALaunch) {
  for (const double gap : kGaps) {
    expect_no_loss_falls(with_field(demo_car(), "two_speed.gap", gap), options_at(1e-8));
  }
}

TEST(Energy, NoLossGivesEnergyBackFromRollingToBraking) {
  LaunchOptions options = braking(18.0);
  options.longest_time = 1.0;  // The car still rolls forwards.
  expect_no_loss_falls(demo_car(), options);
}

TEST(Energy, NoLossGivesEnergyBackWithOneWayFrontAxleAndJumpingBelt) {
  Car car = with_field(demo_car(), "front_axle", 1.0);
  car = with_field(car, "front_tyre.radius", 0.033);
  expect_no_loss_falls(car, options_at(1e-8));
  expect_no_loss_falls(with_field(demo_car(), "belts.rear.tension", 8.0), options_at(1e-8));
}

TEST(Energy, LosslessCarLosesNothingInMeshesAndBelts) {
  Car car = demo_car();
  for (const std::string_view path :
       {"first.loss", "second.loss", "first.efficiency", "second.efficiency",
        "belts.rear.efficiency", "belts.middle.efficiency", "belts.front.efficiency"}) {
    car = with_field(car, path, 1.0);
  }
  const LaunchResult run = launch(car, options_at(1e-8));
  EXPECT_EQ(sum_of(run.accounts, account::mesh_loss), 0.0);
  // The belts do not slip; the round-off of zero slip is what is left.
  EXPECT_NEAR(sum_of(run.accounts, account::belt_loss), 0.0, 1e-9);
  EXPECT_LE(std::abs(run.energy_residual), allowed_residual(run, 1e-8));
}

TEST(Energy, FuelCoversTheWorkAndTheFrictionOfTheEngine) {
  const Car car = demo_car();
  LaunchOptions options = options_at(1e-8);
  options.sample_interval = 1e-3;
  const LaunchResult run = launch(car, options);
  double friction = 0.0;
  for (const Sample& sample : run.samples) {
    friction += car.engine.drag_slope * square(sample.state(node::crank)) * 1e-3;
  }
  const double heat = sum_of(run.accounts, account::fuel) *
                      fuel_properties(car.fuel).heating_value * car.engine.efficiency;
  const double work = sum_of(run.accounts, account::engine_work);
  EXPECT_NEAR(heat, work + friction, 1e-3 * heat);  // A sum over 3000 samples.
}

}  // namespace
}  // namespace layshaft
