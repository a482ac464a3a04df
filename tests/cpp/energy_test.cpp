// Where the energy of a run goes: work in = stored + each loss.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

constexpr std::array kGaps{4.0e-3, 4.4e-3, 4.8e-3, 5.2e-3, 5.6e-3};  // [m]

LaunchOptions options_at(double tolerance) {
  LaunchOptions options;
  options.integration.tolerance = tolerance;
  return options;
}

LaunchResult launch_at(double gap, double tolerance) {
  return launch(with_field(trial_car(), "two_speed.gap", gap), options_at(tolerance));
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
    const LaunchResult run = launch(trial_car(), options);
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
    expect_no_loss_falls(with_field(trial_car(), "two_speed.gap", gap), options_at(1e-8));
  }
}

TEST(Energy, NoLossGivesEnergyBackFromRollingToBraking) {
  LaunchOptions options = braking(18.0);
  options.longest_time = 1.0;  // The car still rolls forwards.
  expect_no_loss_falls(trial_car(), options);
}

TEST(Energy, NoLossGivesEnergyBackWithOneWayFrontAxleAndJumpingBelt) {
  Car car = with_field(trial_car(), "front_axle", 1.0);
  car = with_field(car, "front_tyre.radius", 0.033);
  expect_no_loss_falls(car, options_at(1e-8));
  expect_no_loss_falls(with_field(trial_car(), "belts.rear.tension", 8.0), options_at(1e-8));
}

TEST(Energy, LosslessCarLosesNothingInMeshesAndBelts) {
  Car car = trial_car();
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

/// The demo car without air drag of its shape, rolling on a level road at 10 m/s.
struct RollingPowers {
  Drivetrain plant;
  StateOf<Drivetrain> state;
  Vector<double, coupling::count> torques = Vector<double, coupling::count>::Zero();

  explicit RollingPowers(const Car& car, double grade = 0.0)
      : plant(car, RunInputs{.pedals = {}, .grade = grade}), state(plant.rolling_state(10.0)) {}

  [[nodiscard]] double of(int which) const {
    const auto active = plant.activate(plant.rolling_switches(state));
    const auto loads = plant.loads(active, 0.0, state);
    return sum_of(plant.account_rates(active, 0.0, state, loads, torques), which);
  }
};

// Powers near 1000 W: a few roundings.
constexpr double kPowerRoundOff = 1e-9;

TEST(Energy, SlipHeatIsTorqueTimesSlipAtItsOwnCoupling) {
  RollingPowers run(trial_car());
  run.state(node::crank) = 3000.0;
  run.state(node::bell) = 2800.0;
  run.torques(coupling::clutch) = 0.5;
  EXPECT_NEAR(run.of(account::clutch_loss), 100.0, kPowerRoundOff);
  EXPECT_EQ(run.of(account::shoe_loss), 0.0);
  // 45 to 22 teeth: the drum turns at 22/45 of 2800 rad/s, 1368.9; the shaft at 1000.
  run.torques.setZero();
  run.state(node::shaft) = 1000.0;
  run.torques(coupling::second) = 2.0;
  EXPECT_NEAR(run.of(account::shoe_loss), 2.0 * (2800.0 * 22.0 / 45.0 - 1000.0), kPowerRoundOff);
  EXPECT_EQ(run.of(account::clutch_loss), 0.0);
  EXPECT_EQ(run.of(account::belt_loss), 0.0);
}

TEST(Energy, MeshesAndBeltsLoseTheirShareOfWhatTheyPassOn) {
  Car car = with_field(trial_car(), "first.loss", 1.0);
  car = with_field(with_field(car, "first.efficiency", 0.9), "belts.rear.efficiency", 0.8);
  RollingPowers run(car);
  // First gear's 50 to 17 teeth give 1 N m at 17/50 of the bell's 2500 rad/s: 850 W out, and 1/.9
  // of that in.
  run.state(node::bell) = 2500.0;
  run.torques(coupling::first) = 1.0;
  EXPECT_NEAR(run.of(account::mesh_loss), 850.0 * (1.0 / 0.9 - 1.0), kPowerRoundOff);
  // Pushed by the car it keeps a tenth of what comes in.
  run.torques(coupling::first) = -1.0;
  EXPECT_NEAR(run.of(account::mesh_loss), 85.0, kPowerRoundOff);
  EXPECT_EQ(run.of(account::belt_loss), 0.0);
  // The rear belt, 45 to 18 teeth, gives 2 N m at 18/45 of the shaft's 1000 rad/s, 800 W, to an
  // axle at 390 rad/s: 20 W more for the teeth that slip.
  run.torques.setZero();
  run.state(node::shaft) = 1000.0;
  run.state(node::rear) = 390.0;
  run.torques(coupling::rear_belt) = 2.0;
  EXPECT_NEAR(run.of(account::belt_loss), 800.0 * (1.0 / 0.8 - 1.0) + 20.0, kPowerRoundOff);
  EXPECT_EQ(run.of(account::mesh_loss), 0.0);
}

TEST(Energy, BrakeAndRollingDragLoseWhatTheyHold) {
  RollingPowers run(trial_car());
  run.state(node::shaft) = 700.0;
  run.torques(coupling::brake) = 0.3;
  EXPECT_NEAR(run.of(account::brake_loss), 210.0, kPowerRoundOff);
  EXPECT_EQ(run.of(account::rolling_loss), 0.0);
  run.torques.setZero();
  run.torques(coupling::rolling) = 0.75;
  EXPECT_NEAR(run.of(account::rolling_loss), 7.5, kPowerRoundOff);
  EXPECT_EQ(run.of(account::brake_loss), 0.0);
}

TEST(Energy, AirAndGradeTakeTheirForceTimesTheSpeed) {
  const Car car = with_field(trial_car(), "body.drag_area", 0.02);
  const RollingPowers up(car, 0.75);
  // 3 in 4: three fifths of the weight along the road, 2.55 kg.
  EXPECT_NEAR(up.of(account::grade_work), 0.6 * 2.55 * 9.80665 * 10.0, kPowerRoundOff);
  EXPECT_NEAR(RollingPowers(car, -0.75).of(account::grade_work), -0.6 * 2.55 * 9.80665 * 10.0,
              kPowerRoundOff);
  const double density = moist_density(car.air);
  EXPECT_NEAR(up.of(account::air_loss), 0.5 * density * 0.02 * 1000.0, kPowerRoundOff);
}

// Speed at which the tread, which grows, runs at the speed of the car; converges by 1e-3 a round.
double rolling_axle_speed(const TyreLaw<double>& tyre, double speed) {
  double axle = 0.0;
  for (int k = 0; k < 20; ++k) axle = speed / tyre_radius(tyre, axle);
  return axle;
}

TEST(Energy, SlipHeatOfATyreIsItsForceTimesItsSlipSpeed) {
  // One axle a ten-thousandth faster than the road, in steady slip: 28 of force per slip and load;
  // 2.55 kg, .44 of it in front. The sharing is rounded over .02 of the weight: it shifts
  // .02^2 (1/.44 - 1/.56)/4 = 4.870e-5 of the weight to the front (the next term is 3e-9).
  const Car car = with_field(trial_car(), "body.downforce_area", 0.0);
  struct Row {
    int axle;
    int strain;
    int own, other;
    double share;
  };
  for (const Row& row : {Row{node::rear, car_state::rear_strain, account::rear_tyre_loss,
                             account::front_tyre_loss, 0.56 - 4.870e-5},
                         Row{node::front, car_state::front_strain, account::front_tyre_loss,
                             account::rear_tyre_loss, 0.44 + 4.870e-5}}) {
    RollingPowers run(car);
    const CarLaw& law = run.plant.law();
    run.state(node::rear) = rolling_axle_speed(law.rear_tyre, 10.0);
    run.state(node::front) = rolling_axle_speed(law.front_tyre, 10.0);
    run.state(row.axle) *= 1.0 + 1e-4;
    const TyreLaw<double>& tyre = row.axle == node::rear ? law.rear_tyre : law.front_tyre;
    const double tread = tyre_radius(tyre, run.state(row.axle)) * run.state(row.axle);
    const double slip = 2.0 * (tread - 10.0) / (tread + 10.0);
    run.state(row.strain) = slip;
    const double force = 28.0 * row.share * 2.55 * 9.80665 * slip;
    // The curve bends off the line by (B s)^2, B = 28/(1.5 * 1.6): some 2e-6.
    EXPECT_NEAR(run.of(row.own) / (force * (tread - 10.0)), 1.0, 1e-5);
    EXPECT_NEAR(run.of(row.other), 0.0, 1e-12);
  }
}

TEST(Energy, FuelCoversTheWorkAndTheFrictionOfTheEngine) {
  const Car car = trial_car();
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
