#include "layshaft/car/drivetrain.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <stdexcept>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// A few roundings, relative.
constexpr double kRoundOff = 1e-12;

using State = StateOf<Drivetrain>;

CouplingMode mode_of(const ModesOf<Drivetrain>& modes, int which) {
  return modes.couplings[static_cast<std::size_t>(which)];
}

TEST(Drivetrain, SlipVanishesWhereSpeedsFitTheRatios) {
  const Drivetrain plant(trial_car());
  const State state = plant.rolling_state(7.0);
  const Vector<double, coupling::count> slips = plant.network().slip * state.head<node::count>();
  for (const int which : {coupling::first, coupling::rear_belt, coupling::front_belt}) {
    EXPECT_NEAR(slips(which), 0.0, kRoundOff * state(node::shaft));
  }
  // The drum turns faster than the shaft in first gear.
  EXPECT_GT(slips(coupling::second), 0.0);
  EXPECT_EQ(slips(coupling::rolling), 7.0);
  EXPECT_EQ(slips(coupling::brake), state(node::shaft));
}

TEST(Drivetrain, EachMeshTakesAsMuchPowerAsItGivesPlusItsLoss) {
  const Drivetrain plant(trial_car());
  const auto& network = plant.network();
  const auto& law = plant.law();
  struct Row {
    int coupling, in, out;
    double ratio, efficiency;
  };
  for (const Row& row :
       {Row{coupling::first, node::bell, node::shaft, law.first_ratio, law.first_efficiency},
        Row{coupling::second, node::bell, node::shaft, law.second_ratio, law.second_efficiency},
        Row{coupling::rear_belt, node::shaft, node::rear, law.rear_ratio, law.rear_efficiency},
        Row{coupling::front_belt, node::shaft, node::front, law.front_ratio,
            law.front_efficiency}}) {
    // One unit of torque out at speed 1 takes torque_in at `ratio` in.
    EXPECT_NEAR(network.forward(row.coupling, row.in) * row.ratio, 1.0 / row.efficiency, kRoundOff);
    EXPECT_NEAR(network.backward(row.coupling, row.in) * row.ratio, row.efficiency, kRoundOff);
    EXPECT_EQ(network.forward(row.coupling, row.out), -1.0);
    EXPECT_EQ(network.backward(row.coupling, row.out), -1.0);
    EXPECT_LT(row.efficiency, 1.0);
  }
}

TEST(Drivetrain, InertiaOfTheBellHoldsWhatTurnsWithItThroughTheMeshes) {
  const Car car = trial_car();
  const double expected = car.clutch.bell_inertia +
                          car.shafts.first_spur_inertia / square(ratio(car.first)) +
                          car.shafts.drum_inertia / square(ratio(car.second));
  const Drivetrain plant(car);
  EXPECT_DOUBLE_EQ(plant.network().inertia(node::bell), expected);
  EXPECT_EQ(plant.network().inertia(node::crank), car.engine.inertia);
  EXPECT_EQ(plant.network().inertia(node::car), car.body.mass);
}

TEST(Drivetrain, GradeTiltsTheWeight) {
  const Car car = trial_car();
  const double weight = car.body.mass * kStandardGravity;
  const Drivetrain up(car, {Pedals{}, 0.75});  // A 3-4-5 triangle.
  EXPECT_NEAR(up.law().grade_force, 0.6 * weight, kRoundOff * weight);
  EXPECT_NEAR(up.law().loading.weight, 0.8 * weight, kRoundOff * weight);
  const Drivetrain down(car, {Pedals{}, -0.75});
  EXPECT_EQ(down.law().grade_force, -up.law().grade_force);
  EXPECT_THROW(Drivetrain(car, {Pedals{}, 1.5}), std::invalid_argument);
  EXPECT_THROW(Drivetrain(car, {Pedals{}, std::nan("")}), std::invalid_argument);
}

TEST(Drivetrain, StartsInFirstBelowTheContactSpeedAndInSecondAbove) {
  const Drivetrain plant(trial_car());
  const auto& shoe = plant.law().shoes[0];
  const double per_shaft = plant.law().rear_tyre.radius / plant.law().rear_ratio;
  const double contact = std::sqrt(shoe.contact_speed_squared) * per_shaft;  // Without growth.
  const State below = plant.rolling_state(0.95 * contact);
  EXPECT_EQ(plant.rolling_switches(below)[plant_switch::shoes], 0);
  EXPECT_NEAR(below(node::bell), below(node::shaft) * plant.law().first_ratio,
              kRoundOff * below(node::bell));
  const State above = plant.rolling_state(1.1 * contact);
  EXPECT_EQ(plant.rolling_switches(above)[plant_switch::shoes], 1);
  EXPECT_EQ(plant.rolling_switches(above)[plant_switch::shoes + 1], 1);
  EXPECT_NEAR(above(node::bell), above(node::shaft) * plant.law().second_ratio,
              kRoundOff * above(node::bell));
}

TEST(Drivetrain, StandsStillAtIdle) {
  const Car car = trial_car();
  const Drivetrain plant(car);
  const State state = plant.rolling_state(0.0);
  EXPECT_EQ(state(node::crank), car.engine.idle_speed);
  EXPECT_EQ(state.segment<node::count - 1>(1).norm(), 0.0);
  EXPECT_EQ(plant.car_energy(state), 0.0);
  EXPECT_DOUBLE_EQ(plant.rotating_energy(state),
                   0.5 * car.engine.inertia * square(car.engine.idle_speed));
}

TEST(Drivetrain, LoadsOfTheAxlesAddUpToTheWeightAndTheDownforce) {
  const Drivetrain plant(trial_car());
  State state = plant.rolling_state(20.0);
  state(car_state::load_transfer) = 3.0;
  const auto loads = plant.loads(plant.activate({}), 0.0, state);
  const auto of = [&](int signal) { return loads.signals[static_cast<std::size_t>(signal)]; };
  const LoadingLaw<double>& law = plant.law().loading;
  const double pressed = law.weight + law.downforce * 400.0;
  EXPECT_NEAR(of(car_signal::rear_load) + of(car_signal::front_load), pressed, kRoundOff * pressed);
  // What balance asks, with the rounding w^2/4 (1/front - 1/rear) of w = .02 weight, some 3 mN; the
  // next term is w^4/16/front^3, 4 uN.
  const double asked = law.front_share * pressed - 3.0;
  const double rounding = square(0.02 * law.weight) / 4.0;
  EXPECT_NEAR(of(car_signal::front_load),
              asked + rounding * (1.0 / asked - 1.0 / (pressed - asked)), 5e-6);
  EXPECT_EQ(of(car_signal::rear_force), 0.0);  // No slip yet.
}

TEST(Drivetrain, OneWayFrontAxleCannotBeHeldBack) {
  const Drivetrain solid(trial_car());
  const Drivetrain one_way(with_field(trial_car(), "front_axle", 1.0));
  const State state = solid.rolling_state(10.0);
  const auto limits = [&](const Drivetrain& plant) {
    const auto active = plant.activate({});
    return plant.hold_limits(active, plant.loads(active, 0.0, state), 0.0, state);
  };
  EXPECT_LT(limits(solid).low(coupling::front_belt), 0.0);
  EXPECT_EQ(limits(one_way).low(coupling::front_belt), 0.0);
  EXPECT_EQ(limits(one_way).high(coupling::front_belt), limits(solid).high(coupling::front_belt));
}

TEST(Drivetrain, LimitsAtRestAreAtLeastTheSlidingOnes) {
  constexpr std::array<std::array<double, 3>, 1> kPressed{{{0.0, 0.0, 0.7}}};
  const Drivetrain plant(trial_car(), {make_pedals(kPressed), 0.0});
  for (const double speed : {0.0, 10.0, 25.0}) {
    const State state = plant.rolling_state(speed);
    const auto active = plant.activate(plant.rolling_switches(state));
    const auto sliding = plant.loads(active, 0.0, state);
    const auto hold = plant.hold_limits(active, plant.loads(active, 0.0, state), 0.0, state);
    for (int i = coupling::first; i < coupling::count; ++i) {
      EXPECT_GE(hold.high(i), sliding.high(i)) << kCouplingNames[static_cast<std::size_t>(i)];
      EXPECT_LE(hold.low(i), sliding.low(i)) << kCouplingNames[static_cast<std::size_t>(i)];
    }
  }
}

// A run from rest with the pedals held where they are.
LaunchResult stand(double grade, double brake, double time) {
  const std::array<std::array<double, 3>, 1> rows{{{0.0, 0.0, brake}}};
  LaunchOptions options;
  options.pedals = make_pedals(rows);
  options.grade = grade;
  options.longest_time = time;
  return launch(trial_car(), options);
}

TEST(Standstill, CarOnTheFlatStaysWhereItIsWithAndWithoutBrake) {
  for (const double brake : {0.0, 1.0}) {
    const LaunchResult run = stand(0.0, brake, 2.0);
    EXPECT_EQ(run.ending.status, Status::finished);
    EXPECT_TRUE(run.changes.empty());
    EXPECT_EQ(run.accounts[account::distance], 0.0);
    EXPECT_EQ(run.state(node::car), 0.0);
  }
}

TEST(Standstill, BrakedCarOnAGradeSettlesIntoItsTyresAndStays) {
  // The tyres give until they carry the weight less what the rolling drag can hold: at most
  // weight sin / (stiffness factor * weight cos) = .2/28 of the relaxation length, and as far again
  // on the first swing.
  const Car car = trial_car();
  const double give = 0.2 / car.rear_tyre.stiffness_factor * car.rear_tyre.relaxation;
  for (const double grade : {-0.2, 0.2}) {
    const LaunchResult settled = stand(grade, 1.0, 0.5);
    const double moved = settled.accounts[account::distance];
    EXPECT_LT(std::abs(moved), 2.1 * give);
    EXPECT_LT(moved * grade, 0.0);  // Downhill.
    // A stuck row leaves round-off of its acceleration, 1e-16 of what the forces could do.
    EXPECT_NEAR(settled.state(node::car), 0.0, kRoundOff);
    const LaunchResult later = stand(grade, 1.0, 5.0);
    EXPECT_NEAR(later.accounts[account::distance], moved, kRoundOff);
    EXPECT_EQ(later.changes, settled.changes);
    EXPECT_EQ(mode_of(settled.first_modes, coupling::brake), CouplingMode::stuck);
  }
}

TEST(Standstill, RollingDragHoldsTheCarOnAGradeBelowItsCoefficient) {
  // .03 of the load; the two tyres of the demo car are alike in it. Bearing drag comes on top.
  for (const double grade : {-0.025, 0.025}) {
    const LaunchResult run = stand(grade, 0.0, 2.0);
    EXPECT_TRUE(run.changes.empty());
    EXPECT_EQ(run.accounts[account::distance], 0.0);
  }
}

TEST(Standstill, UnbrakedCarRollsDownASteepGradeEitherWay) {
  EXPECT_LT(stand(0.2, 0.0, 1.0).state(node::car), -0.5);
  EXPECT_GT(stand(-0.2, 0.0, 1.0).state(node::car), 0.5);
}

}  // namespace
}  // namespace layshaft
