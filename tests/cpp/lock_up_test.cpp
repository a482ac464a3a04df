// Lock-ups of books, computed through the network's integrator: two bodies and a clutch of constant
// torque. Closed form: t = I1 I2 dw/[T (I1 + I2)], heat = I1 I2 dw^2/[2 (I1 + I2)].

#include <gtest/gtest.h>

#include <string>

#include "layshaft/laws/axial_clutch.hpp"
#include "layshaft/number/real.hpp"
#include "published_check.hpp"
#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::BarePlant;
using testing::check_published;
using testing::lossless;
using testing::record_left_out;
using testing::run_plant;
using testing::Seen;

constexpr double kRpm = kPi / 30.0;  // [rad/s]
// Global error of a smooth stretch at the tolerance below, relative.
constexpr double kSolverError = 1e-9;
constexpr IntegrationOptions kTight{1e-12, 1e-5, 200'000};

/// One of the two bodies.
struct Body {
  double inertia;               // [kg*m^2]
  double speed;                 // At the start [rad/s].
  double outside_torque = 0.0;  // Acting on it besides the clutch [N*m].
};

/// Inertia of a body whose speed is held: the other's share of it is below the solver's error.
constexpr double kHeld = 1e12;

/// The auxiliary state is the clutch's heat [J].
struct ClutchedBodies : BarePlant<2, 1, 1, 0> {
  Vector<double, 2> outside;
  double torque;
  ClutchedBodies(const Body& fast, const Body& slow, double clutch_torque)
      : outside(fast.outside_torque, slow.outside_torque), torque(clutch_torque) {
    network_data = lossless<2, 1>(Vector<double, 2>(fast.inertia, slow.inertia),
                                  Eigen::Matrix<double, 1, 2>(1.0, -1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {outside, Vector<double, 1>(-torque), Vector<double, 1>(torque)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(-torque), Vector<double, 1>(torque)};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 1>& torques, const Vector<double, 2>&,
                       State& rates) const {
    rates(2) = torques(0) * (y(0) - y(1));
  }
};

/// How the two come together.
struct LockUp {
  double time = 0.0;          // Time of slipping [s].
  double common_speed = 0.0;  // Speed of both at its end [rad/s].
  double heat = 0.0;          // [J]
};

LockUp lock_up(const Body& fast, const Body& slow, double clutch_torque) {
  constexpr double kLongest = 1000.0;  // [s]
  const ClutchedBodies plant(fast, slow, clutch_torque);
  const StateOf<ClutchedBodies> start(fast.speed, slow.speed, 0.0);
  const auto run = run_plant(plant, start, kLongest, kTight);
  EXPECT_FALSE(run.changes.empty()) << "the two do not come together";
  if (run.changes.empty()) return {};
  EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::stuck));
  const double time = run.changes[0].time;
  const auto locked = run_plant(plant, start, time, kTight);
  return {time, locked.state(1), locked.state(2)};
}

Body free_body(double inertia, double speed) { return {inertia, speed}; }

TEST(LockUp, RotorBroughtToTheSpeedOfItsMotor) {
  const std::string source = "Khurmi & Gupta, Theory of Machines, 14th ed., Ex 10.27";
  const double radius = mean_radius(0.08, 0.11, FacingPressure::uniform_wear);
  const double torque = plate_torque(570.0, 0.35, radius, 2.0, 0.5 * kPi);
  Body motor = free_body(800.0 * 0.2 * 0.2, 1250.0 * kRpm);
  const Body rotor = free_body(1300.0 * 0.18 * 0.18, 0.0);
  const LockUp lock = lock_up(motor, rotor, torque);
  check_published({"E1", "common speed [rad/s]", source, Seen::kCompanion,
                   "Integrator, plate_torque, mean_radius"},
                  56.51, lock.common_speed, 0.005);
  check_published({"E1", "time of slipping [s]", source, Seen::kCompanion,
                   "Integrator, plate_torque, mean_radius"},
                  62.8, lock.time, 0.05);
  check_published(
      {"E1", "heat [kJ]", source, Seen::kCompanion, "Integrator, plate_torque, mean_radius"}, 156.0,
      lock.heat * 1e-3, 0.5);
  check_published(
      {"E1", "heat, exact [kJ]", source, Seen::kDerived, "Integrator, plate_torque, mean_radius"},
      155.79, lock.heat * 1e-3, 0.005);
  // The printed times belong to a torque on the motor's shaft.
  motor.outside_torque = -60.0;
  check_published({"E1", "time against 60 N m of drag [s]", source, Seen::kCompanion,
                   "Integrator, plate_torque, mean_radius"},
                  33.1, lock_up(motor, rotor, torque).time, 0.05);
  motor.outside_torque = 60.0;
  check_published({"E1", "time with 60 N m of drive, exact [s]", source, Seen::kDerived,
                   "Integrator, plate_torque, mean_radius"},
                  624.9, lock_up(motor, rotor, torque).time, 0.05);
  // Printed 624, which is 131/(0.90 - 0.69): speed and accelerations rounded on the way.
  check_published({"E1", "time with 60 N m of drive [s]", source, Seen::kCompanion,
                   "Integrator, plate_torque, mean_radius"},
                  624.0, lock_up(motor, rotor, torque).time, 1.0);
}

TEST(LockUp, FlywheelBroughtUpByACone) {
  const std::string source = "Khurmi & Gupta, Theory of Machines, 14th ed., Ex 10.34";
  const double torque = plate_torque(180.0, 0.3, 0.0375, 1.0, 15.0 * kPi / 180.0);
  check_published({"E2", "torque [N m]", source, Seen::kCompanion, "plate_torque"}, 7.8, torque,
                  0.05);
  const LockUp lock =
      lock_up(free_body(kHeld, 1000.0 * kRpm), free_body(13.5 * 0.15 * 0.15, 0.0), torque);
  check_published(
      {"E2", "time of slipping [s]", source, Seen::kCompanion, "Integrator, plate_torque"}, 4.1,
      lock.time, 0.05);
  check_published({"E2", "heat, exact [J]", source, Seen::kDerived, "Integrator"}, 1665.5,
                  lock.heat, 0.05);
  record_left_out(
      {"E2", "heat of the rounded slip [J]", source, "1674",
       "half of torque, speed and time, each rounded: 7.8 * 104.72 * 4.1 / 2; the heat is "
       "I w^2 / 2 at any torque, which is checked as exact"});
}

TEST(LockUp, TwoFlywheelsShareTheirMomentum) {
  const std::string source = "Khurmi & Gupta, Theory of Machines, 14th ed., Ex 3.12";
  const LockUp lock = lock_up(free_body(60.0 * 0.14 * 0.14, 750.0 * kRpm),
                              free_body(20.0 * 0.08 * 0.08, 0.0), 150.0);
  check_published({"E3", "common speed [rad/s]", source, Seen::kCompanion, "Integrator"}, 70.8,
                  lock.common_speed, 0.05);
  check_published({"E3", "time of slipping [s]", source, Seen::kCompanion, "Integrator"}, 0.06,
                  lock.time, 0.005);
  check_published({"E3", "heat [J]", source, Seen::kCompanion, "Integrator"}, 356.0, lock.heat,
                  0.5);
  check_published({"E3", "heat, exact [J]", source, Seen::kDerived, "Integrator"}, 356.03,
                  lock.heat, 0.005);
}

TEST(LockUp, MachineStartedThroughAWornInPlate) {
  const std::string source = "Jindal, Machine Design, 2010, Ex 22-1";
  const auto worn = FacingPressure::uniform_wear;
  const double thrust = thrust_at_pressure(0.1e6, 0.07, 0.11, worn);
  check_published({"E5", "thrust [N]", source, Seen::kCompanion, "thrust_at_pressure"}, 1759.3,
                  thrust, 0.05);
  // The printed torque and time are those of one face.
  const double torque = plate_torque(thrust, 0.28, mean_radius(0.07, 0.11, worn), 1.0, 0.5 * kPi);
  check_published(
      {"E5", "torque of one face [N m]", source, Seen::kCompanion, "plate_torque, mean_radius"},
      44.33, torque, 0.0051);
  const LockUp lock = lock_up(free_body(kHeld, 300.0 * kRpm), free_body(7.2, 0.0), torque);
  check_published(
      {"E5", "time of slipping [s]", source, Seen::kCompanion, "Integrator, plate_torque"}, 5.1,
      lock.time, 0.05);
  check_published({"E5", "heat [J]", source, Seen::kCompanion, "Integrator"}, 3553.06, lock.heat,
                  0.005);
}

TEST(LockUp, DiskStoppedByABrake) {
  const std::string source = "Bhandari, Design of Machine Elements, Ex 12.1";
  const double mass = 7200.0 * 0.2 * kPi * 0.25;
  const double inertia = 0.5 * mass * 0.25;
  const double torque = 3454.36;
  const LockUp stop = lock_up(free_body(inertia, 350.0 * kRpm), free_body(kHeld, 0.0), torque);
  check_published({"E8", "energy [J]", source, Seen::kCompanion, "Integrator"}, 94956.72, stop.heat,
                  0.005);
  // The printed torque has six digits, so the time comes back to 1.5 s within 2e-6.
  check_published(
      {"E8", "time with the printed torque [s]", source, Seen::kCompanion, "Integrator"}, 1.5,
      stop.time, 5e-6);
  EXPECT_NEAR(stop.common_speed, 0.0, kSolverError * 350.0 * kRpm);
}

TEST(LockUp, TorqueChangesTheTimeAndNeitherSpeedNorHeat) {
  const Body fast = free_body(0.02, 100.0);
  const Body slow = free_body(0.03, 0.0);
  const LockUp gentle = lock_up(fast, slow, 2.0);
  const LockUp firm = lock_up(fast, slow, 4.0);
  EXPECT_NEAR(gentle.time, 0.6, kSolverError);
  EXPECT_NEAR(gentle.common_speed, 40.0, kSolverError * 40.0);
  EXPECT_NEAR(gentle.heat, 60.0, kSolverError * 60.0);
  EXPECT_NEAR(firm.time, 0.3, kSolverError);
  EXPECT_NEAR(firm.common_speed, 40.0, kSolverError * 40.0);
  EXPECT_NEAR(firm.heat, 60.0, kSolverError * 60.0);
}

TEST(LockUp, EnergyAndMomentumAreKept) {
  const Body fast{.inertia = 0.02, .speed = 90.0, .outside_torque = 0.7};
  const Body slow{.inertia = 0.05, .speed = 20.0, .outside_torque = -0.3};
  const LockUp lock = lock_up(fast, slow, 3.0);
  // Slip 70 over the rate (3 + -.3)/.05 - (.7 - 3)/.02.
  EXPECT_NEAR(lock.time, 70.0 / 169.0, kSolverError);
  EXPECT_NEAR(0.07 * lock.common_speed, 0.02 * 90.0 + 0.05 * 20.0 + 0.4 * lock.time, kSolverError);
  // Work of the outside torques at the mean speeds = stored + lost.
  const double work =
      (0.7 * 0.5 * (90.0 + lock.common_speed) - 0.3 * 0.5 * (20.0 + lock.common_speed)) * lock.time;
  const double before = 0.5 * (0.02 * 90.0 * 90.0 + 0.05 * 20.0 * 20.0);
  const double after = 0.5 * 0.07 * lock.common_speed * lock.common_speed;
  EXPECT_NEAR(before + work, after + lock.heat, kSolverError * before);
}

}  // namespace
}  // namespace layshaft
