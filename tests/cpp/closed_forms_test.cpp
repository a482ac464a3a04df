// Closed forms of shifts, launches and pulls against the network's integrator, on plants of a few
// bodies built from the network alone.

#include <gtest/gtest.h>

#include <boost/math/tools/minima.hpp>
#include <cmath>
#include <functional>
#include <string>
#include <utility>

#include "layshaft/laws/engine_clutch.hpp"
#include "layshaft/laws/shift_estimate.hpp"
#include "layshaft/network/dormand_prince.hpp"
#include "layshaft/network/integrate.hpp"
#include "published_check.hpp"
#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::BarePlant;
using testing::check_published;
using testing::lossless;
using testing::run_plant;
using testing::Seen;
using testing::ShiftingShafts;

constexpr IntegrationOptions kTight{1e-12, 1e-5, 200'000};
// Global error of a smooth stretch at that tolerance, relative.
constexpr double kSolverError = 1e-9;

// Invented: bell with crank, car seen at the shaft, gears 46/16 and 44/21.
constexpr ShiftBodies kShift{.first_ratio = 46.0 / 16.0,
                             .second_ratio = 44.0 / 21.0,
                             .bell_inertia = 2e-5,
                             .shaft_inertia = 5e-4,
                             .engine_torque = 0.4,
                             .load_torque = 0.3};
constexpr double kShaftSpeed = 1000.0;  // [rad/s]

Integration<ShiftingShafts> shift(const ShiftBodies& bodies, double drum, double rate, double end) {
  const ShiftingShafts plant(bodies.first_ratio, bodies.second_ratio, bodies.bell_inertia,
                             bodies.shaft_inertia, bodies.engine_torque, bodies.load_torque, drum,
                             rate);
  const StateOf<ShiftingShafts> start(bodies.first_ratio * kShaftSpeed, kShaftSpeed, 0.0);
  ModesOf<ShiftingShafts> modes;
  modes.couplings = {CouplingMode::stuck, CouplingMode::slip_positive};
  return run_plant(plant, start, end, kTight, modes);
}

TEST(ShiftInTheNetwork, FirstGearCarriesUntilTheDrumTakesTheHandOverTorque) {
  // A drum torque rising from zero at 100 N m/s lets first gear go at T*/100.
  const double expected = hand_over_torque(kShift) / 100.0;
  const auto run = shift(kShift, 0.0, 100.0, 0.02);
  ASSERT_FALSE(run.changes.empty());
  EXPECT_EQ(run.changes[0].index, 0);
  EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::slip_negative));
  EXPECT_NEAR(run.changes[0].time, expected, kSolverError * expected);
}

TEST(ShiftInTheNetwork, ShaftTorqueFallsThroughTheTorquePhase) {
  // The bell slows down against the drum, so what reaches the car falls to T* although both gears
  // pull: its acceleration goes from (r1 T_e - T_L)/(J + r1^2 I_b) to (T* - T_L)/J.
  const ShiftingShafts plant(kShift.first_ratio, kShift.second_ratio, kShift.bell_inertia,
                             kShift.shaft_inertia, kShift.engine_torque, kShift.load_torque, 0.0,
                             100.0);
  Integrator<ShiftingShafts, DormandPrince> integrator(plant, kTight);
  const double lets_go = hand_over_torque(kShift) / 100.0;
  double first = 0.0;
  double last = 0.0;
  const auto watch = [&](const auto& segment) {
    const auto pull_at = [&](double time) { return segment.rates(time, segment.state(time))(1); };
    if (segment.begin == 0.0) first = pull_at(0.0);
    if (segment.end <= lets_go * (1.0 + kSolverError)) last = pull_at(segment.end);
    return std::numeric_limits<double>::infinity();
  };
  ModesOf<ShiftingShafts> modes;
  modes.couplings = {CouplingMode::stuck, CouplingMode::slip_positive};
  const StateOf<ShiftingShafts> start(kShift.first_ratio * kShaftSpeed, kShaftSpeed, 0.0);
  const auto run = integrator.run(0.0, start, modes, lets_go * 1.01, watch);
  const double locked = (kShift.first_ratio * kShift.engine_torque - kShift.load_torque) /
                        (kShift.shaft_inertia + square(kShift.first_ratio) * kShift.bell_inertia);
  EXPECT_NEAR(first, locked, kSolverError * locked);
  const double handed_over = (hand_over_torque(kShift) - kShift.load_torque) / kShift.shaft_inertia;
  EXPECT_NEAR(last, handed_over, 1e-7 * locked);  // 1e-9 of the time moves it by T* 1e-7.
  EXPECT_LT(last, first);
}

TEST(ShiftInTheNetwork, ConstantDrumTorqueTakesTheTimeAndHeatOfTheClosedForm) {
  for (const double drum : {1.5, 2.5, 5.0}) {
    for (const double bell : {1e-5, 2e-5, 6e-5}) {
      ShiftBodies bodies = kShift;
      bodies.bell_inertia = bell;
      const HandOver expected = hand_over(bodies, drum, kShaftSpeed);
      const auto run = shift(bodies, drum, 0.0, 2.0 * expected.time);
      // First gear lets go at once, before the first step; the drum locks once.
      ASSERT_EQ(run.changes.size(), 1U);
      EXPECT_EQ(run.first_modes.couplings[0], CouplingMode::slip_negative);
      EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::stuck));
      EXPECT_NEAR(run.changes[0].time, expected.time, kSolverError * expected.time);
      EXPECT_NEAR(run.state(2), expected.heat, kSolverError * expected.heat);
    }
  }
}

TEST(ShiftInTheNetwork, HeavyCarFormIsTheLimitOfAGreatInertia) {
  ShiftBodies bodies = kShift;
  bodies.shaft_inertia = 1e6;  // The rest is of the order I_b r^2 / J = 1e-10.
  const HandOver expected = heavy_car_hand_over(bodies, 2.5, kShaftSpeed);
  const auto run = shift(bodies, 2.5, 0.0, 2.0 * expected.time);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, expected.time, kSolverError * expected.time);
  EXPECT_NEAR(run.state(2), expected.heat, kSolverError * expected.heat);
}

TEST(ShiftInTheNetwork, RisingDrumTorqueTakesTheTimeAndHeatOfTheRampForm) {
  ShiftBodies bodies = kShift;
  bodies.shaft_inertia = 1e7;
  const double rate = 8.0;  // [N m/s]
  const HandOver expected = rising_hand_over(bodies, rate, kShaftSpeed);
  const auto run = shift(bodies, hand_over_torque(bodies), rate, 2.0 * expected.time);
  const double locks = run.changes.back().time;
  EXPECT_EQ(run.changes.back().index, 1);
  EXPECT_NEAR(locks, expected.time, kSolverError * expected.time);
  EXPECT_NEAR(run.state(2), expected.heat, kSolverError * expected.heat);
}

/// Crank and bell with a centrifugal clutch K (w^2 - w_e^2); the auxiliary state is its heat [J].
struct LaunchingClutch : BarePlant<2, 1, 1, 0> {
  ClutchLaw<double> law;
  double engine_torque;
  double load_torque;

  LaunchingClutch(const ClutchLaw<double>& clutch, double crank_inertia, double bell_inertia,
                  double engine, double load)
      : law(clutch), engine_torque(engine), load_torque(load) {
    network_data = lossless<2, 1>(Vector<double, 2>(crank_inertia, bell_inertia),
                                  Eigen::Matrix<double, 1, 2>(1.0, -1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State& y) const {
    const double capacity = law.gain * clutch_excess(law, y(0));
    return {Vector<double, 2>(engine_torque, -load_torque), Vector<double, 1>(-capacity),
            Vector<double, 1>(capacity)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions& active, const BareLoads&, double time,
                                          const State& y) const {
    const BareLoads sliding = loads(active, time, y);
    return {sliding.low, sliding.high};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 1>& torques, const Vector<double, 2>&,
                       State& rates) const {
    rates(2) = torques(0) * (y(0) - y(1));
  }
};

constexpr ClutchLaw<double> kClutch{
    .gain = 4e-7, .engagement_speed_squared = 1.7e6, .static_ratio = 1.0};

TEST(LaunchInTheNetwork, SlippingCrankRisesToItsStallSpeedAsATanh) {
  const double inertia = 1.4e-5;
  const LaunchingClutch plant(kClutch, inertia, 1.0, 0.4, 0.0);
  const double start = engagement_speed(kClutch);
  for (const double time : {0.005, 0.02, 0.1}) {
    const auto run = run_plant(plant, StateOf<LaunchingClutch>(start, 0.0, 0.0), time, kTight);
    const double expected = slipping_crank_speed(kClutch, 0.4, inertia, start, time);
    EXPECT_NEAR(run.state(0), expected, kSolverError * expected);
    EXPECT_TRUE(run.changes.empty());
  }
}

TEST(LaunchInTheNetwork, ClutchLocksAndHeatsAsInTheClosedForm) {
  const double bell = 6e-4;  // The car, seen at the bell.
  const LaunchingClutch plant(kClutch, 1.4e-5, bell, 0.4, 0.1);
  const ClutchLaunch expected = estimate_launch(kClutch, 0.4, 0.1, bell);
  const StateOf<LaunchingClutch> start(expected.stall_speed, 0.0, 0.0);
  const auto run = run_plant(plant, start, 1.5 * expected.lock_time, kTight);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, expected.lock_time, kSolverError * expected.lock_time);
  EXPECT_NEAR(run.state(2), expected.heat, kSolverError * expected.heat);
}

/// An engine pulling a vehicle through a mesh with a loss: node 0 turns, node 1 moves.
struct GearedVehicle : BarePlant<2, 1, 0, 0> {
  double engine_torque;
  double resistance;
  GearedVehicle(double mass, double engine_inertia, double gear, double efficiency, double torque,
                double force_against = 0.0)
      : engine_torque(torque), resistance(force_against) {
    network_data = lossless<2, 1>(Vector<double, 2>(engine_inertia, mass),
                                  Eigen::Matrix<double, 1, 2>(1.0 / gear, -1.0));
    network_data.forward(0, 0) /= efficiency;
    network_data.backward(0, 0) *= efficiency;
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 2>(engine_torque, -resistance), Vector<double, 1>(-kNoLimit),
            Vector<double, 1>(kNoLimit)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(-kNoLimit), Vector<double, 1>(kNoLimit)};
  }
};

// Acceleration of the vehicle: its speed after one second of steady pull.
double acceleration(const GearedVehicle& plant) {
  return run_plant(plant, StateOf<GearedVehicle>(0.0, 0.0), 1.0, kTight).state(1);
}

TEST(PullInTheNetwork, GearByGearAccelerationMatchesATextbookExample) {
  // F = 29.5 eff G lbf, effective mass 1648 + 4.54 eff G^2 lb, g = 32.2 ft/s^2.
  struct Row {
    double gear, efficiency, acceleration;  // [ft/s^2]
  };
  for (const Row& row :
       {Row{22.5, 0.82, 4.96}, Row{12.5, 0.82, 4.37}, Row{7.3, 0.82, 3.08}, Row{5.4, 0.90, 2.61}}) {
    const GearedVehicle plant(1648.0, 4.54, row.gear, row.efficiency, 29.5 * 32.2);
    const double computed = acceleration(plant);
    check_published(
        {"V1", "acceleration in gear " + std::to_string(row.gear) + " [ft/s2]",
         "Bevan, The Theory of Machines, 3rd ed., Ex 2.11", Seen::kCompanion, "Integrator"},
        row.acceleration, computed, 0.005);
    const double pull = 29.5 * 32.2 * row.efficiency * row.gear;
    const double mass = 1648.0 + 4.54 * row.efficiency * square(row.gear);
    EXPECT_NEAR(computed, pull / mass, kSolverError);
  }
}

TEST(PullInTheNetwork, HoistMatchesATextbookExample) {
  // 150 lb on a drum of 8 in, 200 lb ft^2, that turns 15 lb ft^2 five times as fast; node 0 is the
  // load with its drum, node 1 what it turns.
  constexpr double kRadius = 8.0 / 12.0;
  constexpr double kLoad = 150.0;
  const std::string book = "Bevan, The Theory of Machines, 3rd ed., Ex 2.10";
  const auto fall = [](double efficiency) {
    const double gear = kRadius / 5.0;
    return gear * acceleration(GearedVehicle(15.0, kLoad + 200.0 / square(kRadius), gear,
                                             efficiency, kLoad * 32.2));
  };
  check_published({"V2", "acceleration, no loss [ft/s2]", book, Seen::kCompanion, "Integrator"},
                  3.35, fall(1.0), 0.005);
  check_published(
      {"V2", "acceleration, efficiency 0.9 [ft/s2]", book, Seen::kCompanion, "Integrator"}, 3.14,
      fall(0.9), 0.005);
}

// Ratio of the greatest acceleration, and that: an optimum is sharp to the root of round-off.
std::pair<double, double> best_gear(const std::function<GearedVehicle(double)>& vehicle) {
  const auto [ratio, loss] = boost::math::tools::brent_find_minima(
      [&](double gear) { return -acceleration(vehicle(gear)); }, 1.0, 60.0, 30);
  return {ratio, -loss};
}

TEST(PullInTheNetwork, BestRatioBetweenTwoInertiasMatchesAWorkedExample) {
  const std::string book = "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex 3.14";
  const auto [ratio, most] =
      best_gear([](double gear) { return GearedVehicle(32.0, 2.0, gear, 1.0, 100.0); });
  check_published({"V4", "best ratio [-]", book, Seen::kCompanion, "Integrator; Brent's search"},
                  4.0, ratio, 1e-6);
  check_published({"V4", "acceleration of B [rad/s2]", book, Seen::kCompanion, "Integrator"}, 6.25,
                  most, kSolverError * 6.25);
  check_published(
      {"V4", "acceleration of A [rad/s2]", book, Seen::kCompanion, "Integrator; times the ratio"},
      25.0, ratio * most, 1e-5);
}

TEST(PullInTheNetwork, BestRatioOnAGradeMatchesAWorkedExample) {
  // 1500 kg, wheels of .3 m and 8 kg m^2, engine 1 kg m^2 and 200 N m, efficiency .85, 300 N, 1
  // in 4.
  constexpr double kRadius = 0.3;
  const std::string book = "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex 3.15";
  const auto [ratio, most] = best_gear([](double gear) {
    return GearedVehicle(1500.0 + 8.0 / square(kRadius), 1.0, gear / kRadius, 0.85, 200.0,
                         300.0 + 1500.0 * 9.81 * 0.25);
  });
  check_published({"V5", "best ratio [-]", book, Seen::kCompanion, "Integrator; Brent's search"},
                  22.0, ratio, 0.5);
  check_published({"V5", "acceleration [m/s2]", book, Seen::kCompanion, "Integrator"}, 1.38, most,
                  0.005);
  EXPECT_NEAR(ratio, 21.77, 0.005);
  EXPECT_NEAR(most, 1.378, 5e-4);
}

/// A car that coasts against rolling drag, a friction row to ground, and air.
struct CoastingCar : BarePlant<1, 1, 1, 0> {
  double rolling;
  double drag;
  CoastingCar(double mass, double rolling_force, double drag_factor)
      : rolling(rolling_force), drag(drag_factor) {
    network_data = lossless<1, 1>(Vector<double, 1>(mass), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State& y) const {
    return {Vector<double, 1>(-drag * y(0) * std::abs(y(0))), Vector<double, 1>(-rolling),
            Vector<double, 1>(rolling)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(-rolling), Vector<double, 1>(rolling)};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 1>&, const Vector<double, 1>&, State& rates) const {
    rates(1) = y(0);
  }
};

TEST(PullInTheNetwork, CoastDownEndsAtTheClosedFormAndStays) {
  // 8 kg, rolling .015, drag area .02 m^2, air 1.2 kg/m^3, from 20 m/s.
  const double constant = .015 * kStandardGravity;
  const double quadratic = .5 * 1.2 * .02 / 8.0;
  const CoastingCar plant(8.0, 8.0 * constant, 8.0 * quadratic);
  // dv/dt = -(a + b v^2), written out: t = atan(sqrt(b/a) v0)/sqrt(a b), x = ln(1 + b v0^2/a)/(2
  // b).
  const double stops =
      std::atan(std::sqrt(quadratic / constant) * 20.0) / std::sqrt(constant * quadratic);
  const auto run = run_plant(plant, StateOf<CoastingCar>(20.0, 0.0), 2.0 * stops, kTight);
  ASSERT_EQ(run.changes.size(), 1U);
  check_published({"V7", "time to rest through the network [s]",
                   "closed form atan(sqrt(b/a) v0)/sqrt(ab)", Seen::kDerived, "Integrator"},
                  stops, run.changes[0].time, kSolverError * stops);
  EXPECT_EQ(run.state(0), 0.0);
  const double distance = std::log(1.0 + quadratic * 400.0 / constant) / (2.0 * quadratic);
  EXPECT_NEAR(run.state(1), distance, kSolverError * distance);
}

/// A load hung from a winch through a mesh with a loss: node 0 turns, node 1 moves up. Row 1 is the
/// shaft's bearing, whose sign is the way of travel; at rest the mesh's loss holds it.
struct Winch : BarePlant<2, 2, 1, 0> {
  static constexpr double kInertia = 0.02;    // [kg*m^2]
  static constexpr double kRadius = 0.05;     // Drum over gear ratio [m].
  static constexpr double kEfficiency = 0.7;  // [-]
  static constexpr double kMass = 12.0;       // [kg]
  double winding_torque;
  explicit Winch(double torque) : winding_torque(torque) {
    Eigen::Matrix<double, 2, 2> rows;
    rows << kRadius, -1.0, 1.0, 0.0;
    network_data = lossless<2, 2>(Vector<double, 2>(kInertia, kMass), rows);
    network_data.forward(0, 0) /= kEfficiency;
    network_data.backward(0, 0) *= kEfficiency;
    network_data.travel = 1;
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 2>(winding_torque, -kMass * kStandardGravity),
            Vector<double, 2>(-kNoLimit, 0.0), Vector<double, 2>(kNoLimit, 0.0)};
  }
  [[nodiscard]] HoldLimits<2> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 2>(-kNoLimit, 0.0), Vector<double, 2>(kNoLimit, 0.0)};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 2>&, const Vector<double, 2>&, State& rates) const {
    rates(2) = y(1);
  }
  // Acceleration of the load while the mesh passes on this share of the shaft's torque.
  [[nodiscard]] double acceleration(double share) const {
    return (winding_torque * share - kRadius * kMass * kStandardGravity) /
           (kInertia * share / kRadius + kRadius * kMass);
  }
};

TEST(LossInTheNetwork, ALoadThrownUpFallsBackSlowerByTheLossOfBothWays) {
  const Winch plant(1.0);
  const double up = -plant.acceleration(Winch::kEfficiency);
  const double down = -plant.acceleration(1.0 / Winch::kEfficiency);
  constexpr double kStart = 2.0;
  const double rise_time = kStart / up;
  const double height = square(kStart) / (2.0 * up);
  const double fall_time = std::sqrt(2.0 * height / down);
  const StateOf<Winch> start(kStart / Winch::kRadius, kStart, 0.0);
  const auto run = run_plant(plant, start, rise_time + fall_time, kTight);
  EXPECT_NEAR(run.state(2), 0.0, kSolverError * height);
  EXPECT_NEAR(run.state(1), -down * fall_time, kSolverError * kStart);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, rise_time, kSolverError * rise_time);
  EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::slip_negative));
}

TEST(LossInTheNetwork, ALoadThrownUpStaysWhereTheMeshHoldsIt) {
  // Just above the torque at which the load drives the winch backwards, and far below that which
  // lifts it.
  const double weight = Winch::kMass * kStandardGravity * Winch::kRadius;
  for (const double share : {1.001 * Winch::kEfficiency, 1.0, 0.999 / Winch::kEfficiency}) {
    const Winch plant(share * weight);
    const StateOf<Winch> start(0.1 / Winch::kRadius, 0.1, 0.0);
    const auto run = run_plant(plant, start, 200.0, kTight);
    ASSERT_EQ(run.changes.size(), 1U) << share;
    EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::stuck)) << share;
    EXPECT_NEAR(run.state(1), 0.0, kSolverError) << share;
  }
}

TEST(LossInTheNetwork, ALoadLetDownComesToRestWithTheLossOfLowering) {
  // Wound against its fall with 1.2 of its weight: it slows, stops and is held.
  const Winch plant(1.2 * Winch::kMass * kStandardGravity * Winch::kRadius);
  const double slows = plant.acceleration(1.0 / Winch::kEfficiency);
  const StateOf<Winch> start(-1.0 / Winch::kRadius, -1.0, 0.0);
  const auto run = run_plant(plant, start, 2.0 / slows, kTight);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 1.0 / slows, kSolverError / slows);
  EXPECT_NEAR(run.state(2), -0.5 / slows, kSolverError / slows);
  EXPECT_NEAR(run.state(1), 0.0, kSolverError);
}

}  // namespace
}  // namespace layshaft
