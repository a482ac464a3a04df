#include "layshaft/laws/shift_estimate.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "layshaft/number/real.hpp"

namespace layshaft {
namespace {

/// A few roundings, relative.
constexpr double kRoundOff = 1e-12;

/// Invented: 46/16 and 44/21, bell with crank, 2.55 kg at 36.5 mm over 2.5.
ShiftBodies demo_bodies() {
  return {.first_ratio = 46.0 / 16.0,
          .second_ratio = 44.0 / 21.0,
          .bell_inertia = 1.9e-5,
          .shaft_inertia = 5.5e-4,
          .engine_torque = 0.40,
          .load_torque = 0.05};
}

constexpr double kShaftSpeed = 1000.0;  // [rad/s]

TEST(ShiftEstimate, FirstGearLetsGoWhenItsOneWayBearingCarriesNothing) {
  const ShiftBodies bodies = demo_bodies();
  const double drum = hand_over_torque(bodies);
  // Bell and shaft still turn at r1: what the drum takes from the bell is all the shaft gets.
  const double shaft_rate = (drum - bodies.load_torque) / bodies.shaft_inertia;
  const double left_on_bell = bodies.engine_torque - drum / bodies.second_ratio;
  EXPECT_NEAR(bodies.bell_inertia * bodies.first_ratio * shaft_rate, left_on_bell, kRoundOff);
}

TEST(ShiftEstimate, HeavyCarTakesTheEngineTorqueThroughSecondGear) {
  ShiftBodies bodies = demo_bodies();
  bodies.shaft_inertia = std::numeric_limits<double>::infinity();
  EXPECT_NEAR(hand_over_torque(bodies), bodies.second_ratio * bodies.engine_torque, kRoundOff);
  const HandOver exact = hand_over(bodies, 1.5, kShaftSpeed);
  const HandOver heavy = heavy_car_hand_over(bodies, 1.5, kShaftSpeed);
  EXPECT_NEAR(exact.time / heavy.time, 1.0, kRoundOff);
  EXPECT_NEAR(exact.heat / heavy.heat, 1.0, kRoundOff);
}

TEST(ShiftEstimate, HandOverKeepsTheEnergy) {
  const ShiftBodies bodies = demo_bodies();
  const double drum = 1.4;
  const HandOver shift = hand_over(bodies, drum, kShaftSpeed);
  const double bell = bodies.first_ratio * kShaftSpeed;
  const double bell_end =
      bell + (bodies.engine_torque - drum / bodies.second_ratio) / bodies.bell_inertia * shift.time;
  const double shaft_end =
      kShaftSpeed + (drum - bodies.load_torque) / bodies.shaft_inertia * shift.time;
  EXPECT_NEAR(bell_end / (bodies.second_ratio * shaft_end), 1.0, kRoundOff);
  const auto kinetic = [&](double bell_speed, double shaft_speed) {
    return 0.5 *
           (bodies.bell_inertia * square(bell_speed) + bodies.shaft_inertia * square(shaft_speed));
  };
  const double work = (bodies.engine_torque * 0.5 * (bell + bell_end) -
                       bodies.load_torque * 0.5 * (kShaftSpeed + shaft_end)) *
                      shift.time;
  constexpr double kJoules = 1e-9;  // round-off of energies near 300 J
  EXPECT_NEAR(kinetic(bell, kShaftSpeed) + work, kinetic(bell_end, shaft_end) + shift.heat,
              kJoules);
}

TEST(ShiftEstimate, RisingTorqueClosesTheGapAsItsClosedForm) {
  const ShiftBodies bodies = demo_bodies();
  const double rate = 12.0;  // [N*m/s]
  const HandOver shift = rising_hand_over(bodies, rate, kShaftSpeed);
  constexpr int kSteps = 4000;
  const double step = shift.time / kSteps;
  double gap = (bodies.first_ratio - bodies.second_ratio) * kShaftSpeed;
  double heat = 0.0;
  for (int k = 0; k < kSteps; ++k) {
    // Midpoint rule: exact for the gap, whose rate is linear in time.
    const double surplus = rate * step * (k + 0.5);
    const double middle = gap - 0.25 * step * (rate * step * (2.0 * k + 0.5)) /
                                    (bodies.second_ratio * bodies.bell_inertia);
    const double drum = bodies.second_ratio * bodies.engine_torque + surplus;
    heat += drum * middle / bodies.second_ratio * step;
    gap -= surplus * step / (bodies.second_ratio * bodies.bell_inertia);
  }
  EXPECT_NEAR(gap, 0.0, 1e-8);
  constexpr double kQuadrature = 1e-6;  // relative; second order over 4000 steps
  EXPECT_NEAR(heat / shift.heat, 1.0, kQuadrature);
}

TEST(ShiftEstimate, DrumTorqueThatCannotCloseTheGapIsRefused) {
  const ShiftBodies bodies = demo_bodies();
  const double enough = bodies.second_ratio * bodies.engine_torque;
  EXPECT_THROW((void)heavy_car_hand_over(bodies, enough, kShaftSpeed), std::invalid_argument);
  EXPECT_NO_THROW((void)heavy_car_hand_over(bodies, enough * 1.001, kShaftSpeed));
  EXPECT_THROW((void)hand_over(bodies, 0.0, kShaftSpeed), std::invalid_argument);
  EXPECT_THROW((void)rising_hand_over(bodies, 0.0, kShaftSpeed), std::invalid_argument);
}

TEST(ShiftEstimate, EngineClutchHoldsUntilItPassesItsCapacity) {
  ShiftBodies bodies = demo_bodies();
  bodies.bell_inertia = 0.5e-5;
  const double crank = 1.4e-5;
  const double capacity = 0.9;
  const double drum = drum_torque_clutch_holds(bodies, capacity, crank);
  const double rate =
      (bodies.engine_torque - drum / bodies.second_ratio) / (crank + bodies.bell_inertia);
  EXPECT_NEAR(bodies.engine_torque - crank * rate, capacity, kRoundOff);
  // A bell without inertia passes the drum's torque straight to the clutch.
  bodies.bell_inertia = 0.0;
  EXPECT_NEAR(drum_torque_clutch_holds(bodies, capacity, crank), bodies.second_ratio * capacity,
              kRoundOff);
}

TEST(ShiftEstimate, EngineClutchHoldsADrumTorqueOfItsCapacityAndBothInertias) {
  ShiftBodies bodies = demo_bodies();
  bodies.second_ratio = 2.0;
  bodies.bell_inertia = 0.6e-5;
  bodies.engine_torque = 0.3;
  // The clutch passes .75 N m: .3 of the engine and .45 that slow a crank of 1.5e-5 by
  // .45/1.5e-5 = 30 000 rad/s^2. The bell slows as fast and gives .6e-5 * 30 000 = .18 N m more:
  // .93 N m at the bell, 1.86 at the drum. Without the 1 of 1 + I_b/I_c it would be .96.
  EXPECT_NEAR(drum_torque_clutch_holds(bodies, 0.75, 1.5e-5), 1.860, kRoundOff);
}

/// Load between 2.10 and 2.88 times the engine torque, before losses of 8 %.
HuntingLoad uphill() {
  HuntingLoad load{.bodies = demo_bodies(), .efficiency = 0.92};
  load.bodies.load_torque = 0.92 * 1.0;
  return load;
}

TEST(ShiftEstimate, LoadLiesBetweenTheGearsOrNot) {
  HuntingLoad load = uphill();  // r2 T = .838, r1 T = 1.15 N m
  EXPECT_TRUE(load_between_gears(load));
  load.bodies.load_torque = 0.92 * 0.83;
  EXPECT_FALSE(load_between_gears(load));
  load.bodies.load_torque = 0.92 * 1.16;
  EXPECT_FALSE(load_between_gears(load));
}

TEST(ShiftEstimate, AtTheHuntingLimitTheGapJustOpensWhileTheCapacityFades) {
  // Locked second gear slows down; its capacity 2 K w_off (w - w_off), taken as linear, falls
  // through what the engine gives. From there on the bell gains on the shaft until release.
  const HuntingLoad load = uphill();
  const ShiftBodies& bodies = load.bodies;
  const double release = 900.0;
  const double gain = hunting_gain(load, release);
  const double engine = bodies.second_ratio * bodies.engine_torque;
  const double resistance = bodies.load_torque / load.efficiency;
  const double slope = 2.0 * gain * release;  // [N*m*s]
  const auto fall = [&](double drum) {        // rate of the capacity [N*m/s]
    return slope * load.efficiency * (drum - resistance) / bodies.shaft_inertia;
  };
  // Midpoint rule over the capacity, from the engine's torque down to nothing.
  constexpr int kSteps = 20000;
  double gained = 0.0;
  for (int k = 0; k < kSteps; ++k) {
    const double drum = engine * (k + 0.5) / kSteps;
    const double bell_rate = (engine - drum) / (bodies.second_ratio * bodies.bell_inertia);
    gained += bell_rate * (engine / kSteps) / -fall(drum);
  }
  constexpr double kQuadrature = 1e-6;  // relative; second order over 20 000 steps
  const double gap = (bodies.first_ratio - bodies.second_ratio) * release;
  EXPECT_NEAR(gained / gap, 1.0, kQuadrature);
}

TEST(ShiftEstimate, HuntingNeedsALoadThatSecondGearCannotPull) {
  HuntingLoad load = uphill();
  load.bodies.load_torque = 0.5;
  EXPECT_THROW((void)hunting_gain(load, 900.0), std::invalid_argument);
}

TEST(ShiftEstimate, ImpossibleBodiesAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    HuntingLoad load = uphill();
    EXPECT_NO_THROW(validate(load));
    change(load);
    EXPECT_THROW(validate(load), std::invalid_argument);
  };
  refused([](HuntingLoad& l) { l.bodies.first_ratio = l.bodies.second_ratio; });
  refused([nan](HuntingLoad& l) { l.bodies.second_ratio = nan; });
  refused([](HuntingLoad& l) { l.bodies.bell_inertia = 0.0; });
  refused([nan](HuntingLoad& l) { l.bodies.shaft_inertia = nan; });
  refused([nan](HuntingLoad& l) { l.bodies.engine_torque = nan; });
  refused([nan](HuntingLoad& l) { l.bodies.load_torque = nan; });
  refused([](HuntingLoad& l) { l.efficiency = 1.01; });
  refused([](HuntingLoad& l) { l.efficiency = 0.0; });
}

}  // namespace
}  // namespace layshaft
