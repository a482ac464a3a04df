// Runs that leave physics end with a status: alone, in lanes, on a lap and embedded.

#include "layshaft/car/plausible.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

#include "invented_track.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/simulation.hpp"
#include "layshaft/run/sweep.hpp"
#include "switching_plants.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

/// A body that a constant torque turns ever faster, and an account that loses at a given rate.
struct RunawayPlant : testing::BarePlant<1, 1, 0, 0, 1> {
  double most = std::numeric_limits<double>::infinity();
  double rate = 1.0;

  RunawayPlant() {
    network_data =
        testing::lossless<1, 1>(Vector<double, 1>(1.0), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 1>(1.0), Vector<double, 1>(0.0), Vector<double, 1>(0.0)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(0.0), Vector<double, 1>(0.0)};
  }
  [[nodiscard]] static bool is_open(int, const Positions&) { return true; }
  [[nodiscard]] std::array<double, 1> account_rates(const Positions&, double, const State&,
                                                    const BareLoads&,
                                                    const Vector<double, 1>&) const {
    return {rate};
  }
  [[nodiscard]] Verdict verdict(double, const State& state) const {
    return state(0) > most ? Verdict{Status::implausible, 0} : Verdict{};
  }
  [[nodiscard]] Verdict account_verdict(double, const std::array<double, 1>& before,
                                        const std::array<double, 1>& after, double) const {
    return after[0] < before[0] ? Verdict{Status::implausible, 1} : Verdict{};
  }
};

Ending run_away(const RunawayPlant& plant, double stop) {
  Integrator<RunawayPlant, DormandPrince> integrator(plant,
                                                     {.tolerance = 1e-6, .first_step = 0.01});
  const auto recorder = [stop](const auto&) { return stop; };
  return integrator.run(0.0, Vector<double, 1>(0.0), {}, 10.0, recorder).ending;
}

constexpr double kNever = std::numeric_limits<double>::infinity();

TEST(Verdict, OfThePlantEndsTheRunAfterTheStep) {
  RunawayPlant plant;
  EXPECT_EQ(run_away(plant, kNever).status, Status::finished);
  plant.most = 2.0;  // The speed is the time.
  const Ending ending = run_away(plant, kNever);
  EXPECT_EQ(ending.status, Status::implausible);
  EXPECT_EQ(ending.part, 0);
  EXPECT_GT(ending.time, 2.0);
  EXPECT_LT(ending.time, 10.0);
}

TEST(Verdict, HoldsAtTheFinishAsWell) {
  RunawayPlant plant;
  plant.most = 0.0;
  EXPECT_EQ(run_away(plant, 0.005).status, Status::implausible);
  plant.most = 1.0;
  EXPECT_EQ(run_away(plant, 0.005).status, Status::finished);
}

TEST(Verdict, OnALossThatFallsNamesIt) {
  RunawayPlant plant;
  plant.rate = -1.0;
  const Ending ending = run_away(plant, kNever);
  EXPECT_EQ(ending.status, Status::implausible);
  EXPECT_EQ(ending.part, 1);
  EXPECT_EQ(ending.steps, 1);
}

Drivetrain::State rolling(const Drivetrain& plant) { return plant.rolling_state(10.0); }

TEST(Plausible, SpeedsBeyondWhatEngineAndGravityGiveAreNot) {
  const Drivetrain plant(trial_car());
  Drivetrain::State state = rolling(plant);
  EXPECT_EQ(plant.verdict(0.0, state).status, Status::finished);
  // Idle is 1047.2 rad/s: a stalled crank may swing back by a twentieth of it.
  state(node::crank) = -50.0;
  EXPECT_EQ(plant.verdict(0.0, state).status, Status::finished);
  state(node::crank) = -53.0;
  const Verdict back = plant.verdict(0.0, state);
  EXPECT_EQ(back.status, Status::implausible);
  EXPECT_EQ(back.part, node::crank);
  // A run starts at less than 100 m/s, and falls for a second at most 9.8 m/s faster.
  state = rolling(plant);
  state(node::car) = 100.0;
  EXPECT_EQ(plant.verdict(0.0, state).status, Status::finished);
  state(node::car) = 106.0;
  EXPECT_EQ(plant.verdict(0.0, state).part, node::car);
  EXPECT_EQ(plant.verdict(1.0, state).status, Status::finished);
  state(node::car) = -106.0;
  EXPECT_EQ(plant.verdict(0.0, state).status, Status::implausible);
}

// Pulleys so far apart that the wheels' turn at 24 m/s is the front axle's 7e5 rad/s; a bound that
// only followed the ratios let such a car "finish".
TEST(Plausible, NoRimTurnsFasterThanItsMaterialBears) {
  Car car = trial_car();
  car.belts.rear.in_teeth = 10;
  car.belts.rear.out_teeth = 97;
  car.belts.middle.in_teeth = 97;
  car.belts.middle.out_teeth = 10;
  car.belts.front.in_teeth = 60;
  car.belts.front.out_teeth = 8;
  car.belts.rear.belt_teeth = car.belts.middle.belt_teeth = car.belts.front.belt_teeth = 300;
  const Drivetrain fast(car);
  const Verdict verdict = fast.verdict(0.0, fast.rolling_state(24.0));
  EXPECT_EQ(verdict.status, Status::implausible);
  EXPECT_EQ(verdict.part, node::front);
  // sqrt(2 GPa / 1800 kg/m^3), and the tyre's radius of the trial car.
  const Drivetrain plant(trial_car());
  Drivetrain::State state = rolling(plant);
  state(node::front) = 1.06 * 1054.0 / 0.0345;
  EXPECT_EQ(plant.verdict(0.0, state).part, node::front);
}

TEST(Plausible, EveryStateThatIsNoNumberOrTooLargeIsNamed) {
  const Drivetrain plant(trial_car());
  for (const double bad : {1e6, std::numeric_limits<double>::quiet_NaN()}) {
    for (int i = 0; i < car_state::count; ++i) {
      if (i >= node::count && !is_rise(i)) continue;
      Drivetrain::State state = rolling(plant);
      state(i) = bad;
      const Verdict found = plant.verdict(0.0, state);
      EXPECT_EQ(found.status, Status::implausible) << i;
      EXPECT_EQ(found.part, i);
    }
  }
}

TEST(Plausible, NoLossFallsByMoreThanTheErrorOfItsStep) {
  const Drivetrain plant(trial_car());
  Drivetrain::Accounts before{};
  before[account::engine_work] = 100.0;
  before[account::shoe_loss] = 20.0;
  const auto verdict_on = [&](int which, double change) {
    Drivetrain::Accounts after = before;
    after[static_cast<std::size_t>(which)] += change;
    return plant.account_verdict(1.0, before, after, 1e-6);
  };
  for (int i = 0; i < account::count; ++i) {
    const Verdict found = verdict_on(i, -1e-3);
    EXPECT_EQ(found.status, is_loss(i) ? Status::implausible : Status::finished) << i;
    EXPECT_EQ(found.part, is_loss(i) ? car_state::count + i : -1) << i;
    EXPECT_EQ(verdict_on(i, -1e-12).status, Status::finished) << i;
  }
  // At most some .55 N*m at some 6400 rad/s for a second.
  EXPECT_EQ(verdict_on(account::engine_work, 3000.0).status, Status::finished);
  EXPECT_EQ(verdict_on(account::engine_work, 4000.0).status, Status::implausible);
  EXPECT_EQ(verdict_on(account::air_loss, std::nan("")).part, car_state::count + account::air_loss);
}

/// A clutch that slips on and on, its linings light and cut off: they pass 6000 K.
Car burning_car() {
  return testing::with_fields(trial_car(), {{"clutch.axial.friction", 0.05},
                                            {"clutch.axial.static_friction", 0.05},
                                            {"clutch.heat.surface_capacity", 0.1},
                                            {"clutch.heat.between_conductance", 0.0},
                                            {"clutch.heat.surface_conductance", 0.0},
                                            {"clutch.heat.surface_share", 1.0}});
}

constexpr std::string_view kBurnt =
    "a value left what is possible (temperature of the clutch lining) after ";

TEST(Plausible, ALaunchThatBurnsItsClutchAwayIsNotFinished) {
  const LaunchResult run = launch(burning_car(), {});
  EXPECT_EQ(run.ending.status, Status::implausible);
  EXPECT_EQ(run.end, LaunchEnd::early);
  EXPECT_TRUE(explain(run.ending).starts_with(kBurnt)) << explain(run.ending);
  // Not later than the step after.
  EXPECT_GT(run.state(car_state::clutch_surface), kMostRise);
  EXPECT_LT(run.state(car_state::clutch_surface), 1.2 * kMostRise);
}

TEST(Plausible, LanesEndTheSameRunsWithTheSameBits) {
  SweepPlan plan{{"clutch.heat.surface_capacity"}, {}};
  for (int i = 0; i < 21; ++i) plan.values.push_back(0.1 + 0.4 * i);
  SweepOptions options{};
  options.threads = 1;
  options.lanes = 1;
  const SweepResult alone = sweep(burning_car(), plan, options);
  EXPECT_EQ(alone.status.front(), RunStatus::early);
  EXPECT_EQ(alone.status.back(), RunStatus::finished);
  EXPECT_TRUE(alone.messages[0].starts_with(kBurnt));
  for (const std::size_t lanes : {2U, 4U, 8U}) {
    options.lanes = lanes;
    const SweepResult swept = sweep(burning_car(), plan, options);
    EXPECT_EQ(swept.status, alone.status);
    EXPECT_EQ(swept.messages, alone.messages);
  }
}

TEST(Plausible, ALapAndASimulationEndAsWell) {
  LapOptions options;
  options.standing = true;
  const LapResult run = lap(burning_car(), testing::ring(100.0), options);
  EXPECT_EQ(run.ending.status, Status::implausible);
  EXPECT_FALSE(run.complete);

  SimulationSetup setup{burning_car(), {}, {}};
  setup.options.own_driver = true;
  Simulation simulation(setup);
  simulation.step_to(60.0);
  EXPECT_LT(simulation.time(), 60.0);
  EXPECT_TRUE(simulation.failure().starts_with(kBurnt)) << simulation.failure();
}

}  // namespace
}  // namespace layshaft
