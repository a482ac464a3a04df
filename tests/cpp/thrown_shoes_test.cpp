#include "layshaft/laws/thrown_shoes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <utility>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::record_left_out;
using testing::Seen;

constexpr double kRpm = kPi / 30.0;  // [rad/s]

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-13;

/// Speeds near 1500 rad/s, differences of square roots: a few roundings.
constexpr double kSpeedRoundOff = 1e-9;

/// Large industrial clutch of the textbook problems: lining and springs as given there.
ThrownShoes industrial(double mass, double radius, double drum_radius, double friction) {
  return {.shoe_count = 4.0,
          .shoe_mass = mass,
          .radius_at_rest = radius,
          .drum_radius = drum_radius,
          .spring_force_at_rest = 0.0,
          .spring_rate = 0.0,
          .clearance = 0.0,
          .wear = 0.0,
          .friction = friction,
          .static_friction = friction};
}

/// Invented clutch of the demo car: 28 N at contact, 11 mm radius at contact.
ThrownShoes small_clutch(double force_at_contact) {
  return {.shoe_count = 3.0,
          .shoe_mass = 1.6e-3,
          .radius_at_rest = 10.5e-3,
          .drum_radius = 14.5e-3,
          .spring_force_at_rest = force_at_contact - 5.0,
          .spring_rate = 10e3,
          .clearance = 0.5e-3,
          .wear = 0.0,
          .friction = 0.30,
          .static_friction = 0.33};
}

double power_at(const ThrownShoes& clutch, double speed) {
  return clutch_capacity(make_clutch_law(clutch), speed, 1.0) * speed;
}

TEST(ThrownShoes, CarryFifteenKilowattWithTheMassOfTheTextbook) {
  const std::string source = "Khurmi & Gupta, Theory of Machines, 14th ed., Ex 10.35";
  ThrownShoes clutch = industrial(1.0, 0.12, 0.15, 0.25);
  const double speed = 900.0 * kRpm;
  const double torque = 15e3 / speed;
  clutch.shoe_mass = shoe_mass_for(clutch, torque, speed, 0.75 * speed);
  check_published({"C1", "mass of a shoe [kg]", source, Seen::kCompanion, "shoe_mass_for"}, 2.28,
                  clutch.shoe_mass, 0.005);
  // By hand: N = 15e3/(30 pi)/(4 * .25 * .15) = 1061.03 N = m (1 - .75^2) (30 pi)^2 .12.
  check_published({"C1", "mass of a shoe, exact [kg]", source, Seen::kDerived, "shoe_mass_for"},
                  15e3 / (30.0 * kPi) / 0.15 / (0.4375 * 900.0 * kPi * kPi * 0.12),
                  clutch.shoe_mass, kRoundOff);
  record_left_out({"C1", "width of the lining [mm]", source, "67.5",
                   "normal force over arc and given pressure; no law here has the lining's width"});
  // Back: with the springs that belong to it the clutch carries the power.
  clutch.spring_force_at_rest = spring_force_for(clutch, 0.75 * speed);
  EXPECT_NEAR(power_at(clutch, speed), 15e3, 15e3 * kRoundOff);
}

TEST(ThrownShoes, TravelToTheDrumStiffensTheSpringsAndLengthensTheRadius) {
  ThrownShoes clutch = industrial(8.0, 0.16, 0.2, 0.3);
  clutch.spring_force_at_rest = 500.0;
  clutch.spring_rate = 50e3;
  clutch.clearance = 5e-3;
  const double speed = 500.0 * kRpm;
  check_published({"C2", "power [kW]", "Khurmi & Gupta, Theory of Machines, 14th ed., Ex 10.36",
                   Seen::kCompanion, "clutch_capacity; times speed"},
                  36.1, power_at(clutch, speed) * 1e-3, 0.05);
  // By hand: 4 * .3 * .2 [8 * .165 w^2 - (500 + 50e3 * .005)] w.
  EXPECT_NEAR(power_at(clutch, speed), 0.24 * (1.32 * speed * speed - 750.0) * speed, 1e-8);
}

TEST(ThrownShoes, CarryFortyKilowattWithTheMassOfTheTextbook) {
  const std::string source = "Jindal, Machine Design, 2010, Ex 22-10";
  ThrownShoes clutch = industrial(1.0, 0.13, 0.16, 0.22);
  const double speed = 1400.0 * kRpm;
  const double torque = 40e3 / speed;
  clutch.shoe_mass = shoe_mass_for(clutch, torque, speed, 0.8 * speed);
  clutch.spring_force_at_rest = spring_force_for(clutch, 0.8 * speed);
  check_published({"C3", "mass of a shoe [kg]", source, Seen::kCompanion, "shoe_mass_for"}, 1.93,
                  clutch.shoe_mass, 0.005);
  // Back: with the springs that belong to it the clutch carries the torque.
  EXPECT_NEAR(clutch_capacity(make_clutch_law(clutch), speed, 1.0), torque, torque * kRoundOff);
  // The printed mass has three digits: 272.8 * .005/1.93 = .71 N m.
  clutch.shoe_mass = 1.93;
  clutch.spring_force_at_rest = spring_force_for(clutch, 0.8 * speed);
  check_published({"C3", "torque with the printed mass [N m]", source, Seen::kCompanion,
                   "spring_force_for, clutch_capacity"},
                  272.8, clutch_capacity(make_clutch_law(clutch), speed, 1.0), 0.76);
}

TEST(ThrownShoes, CarryTwentyKilowattWithTheMassOfTheTextbook) {
  const ThrownShoes clutch = industrial(1.0, 0.14, 0.165, 0.3);
  const double speed = 750.0 * kRpm;
  check_published({"C4", "mass of a shoe [kg]", "Bhandari, Design of Machine Elements, Ex 11.12",
                   Seen::kCompanion, "shoe_mass_for"},
                  2.680647, shoe_mass_for(clutch, 20e3 / speed, speed, 500.0 * kRpm), 5e-7);
}

TEST(ThrownShoes, PressWithCentrifugalForceLessSpringForce) {
  const std::string source = "solved problem after Khurmi & Gupta, Theory of Machines, ch. 10";
  ThrownShoes clutch = industrial(6.0, 0.15, 0.25, 0.35);
  clutch.spring_force_at_rest = 700.0;
  clutch.spring_rate = 75e3;
  clutch.clearance = 10e-3;
  const double speed = 400.0 * kRpm;
  // What presses is the torque over n mu R; the spring takes the rest of what the mass is thrown
  // by.
  const auto centrifugal = [&](double at) {
    return clutch_capacity(make_clutch_law(clutch), at, 1.0) / (4.0 * 0.35 * 0.25) +
           spring_force_at_contact(clutch);
  };
  check_published({"C6", "centrifugal force, exact [N]", source, Seen::kDerived,
                   "clutch_capacity, spring_force_at_contact; torque over n mu R, plus spring"},
                  1684.41, centrifugal(speed), 0.005);
  check_published({"C6", "spring force [N]", source, Seen::kPrinted, "spring_force_at_contact"},
                  1450.0, spring_force_at_contact(clutch), kSpeedRoundOff);
  check_published(
      {"C6", "power, exact [kW]", source, Seen::kDerived, "clutch_capacity; times speed"}, 3.4367,
      power_at(clutch, speed) * 1e-3, 5e-5);
  // The source rounds 400 rpm to 41.89 rad/s before it squares.
  constexpr double kSourceSpeed = 41.89;
  check_published({"C6", "centrifugal force at 41.89 rad/s [N]", source, Seen::kPrinted,
                   "clutch_capacity, spring_force_at_contact; torque over n mu R, plus spring"},
                  1684.58, centrifugal(kSourceSpeed), 0.005);
  check_published(
      {"C6", "power at 41.89 rad/s [kW]", source, Seen::kPrinted, "clutch_capacity; times speed"},
      3.439, power_at(clutch, kSourceSpeed) * 1e-3, 5e-4);
}

TEST(ThrownShoes, WornLiningCarriesLess) {
  const std::string source = "closed form";
  ThrownShoes clutch = industrial(1.0, 0.16, 0.2, 0.25);
  clutch.spring_rate = 150e3;
  const double speed = 750.0 * kRpm;
  clutch.shoe_mass = shoe_mass_for(clutch, 20e3 / speed, speed, 0.7 * speed);
  clutch.spring_force_at_rest = spring_force_for(clutch, 0.7 * speed);
  check_published({"C9", "mass of a shoe [kg]", source, Seen::kDerived, "shoe_mass_for"}, 2.5295,
                  clutch.shoe_mass, 5e-5);
  check_published({"C9", "spring force [N]", source, Seen::kDerived, "spring_force_for"}, 1223.3,
                  spring_force_at_contact(clutch), 0.05);
  clutch.wear = 2e-3;
  check_published(
      {"C9", "power, worn by 2 mm [kW]", source, Seen::kDerived, "clutch_capacity; times speed"},
      15.778, power_at(clutch, speed) * 1e-3, 5e-4);
  // From mass and spring force as given, whose digits are 5e-5 * .16 * 78.54^2 = .05 and .05 N.
  clutch.wear = 0.0;
  clutch.shoe_mass = 2.5295;
  clutch.spring_force_at_rest = 1223.3;
  check_published({"C9", "normal force with mass and spring of these digits [N]", source,
                   Seen::kDerived, "clutch_capacity; over n mu R"},
                  1273.2, power_at(clutch, speed) / speed / (4.0 * 0.25 * 0.2), 0.1);
}

TEST(ThrownShoes, LeaveTheirSeatWhenCentrifugalForceEqualsThePreload) {
  ThrownShoes clutch = industrial(5.0, 0.2, 0.3, 0.25);
  clutch.spring_force_at_rest = 200.0;
  check_published({"C10", "speed of first motion [rad/s]", "closed form sqrt(S/(m r))",
                   Seen::kPrinted, "first_motion_speed"},
                  14.14, first_motion_speed(clutch), 0.005);
  EXPECT_NEAR(first_motion_speed(clutch), std::sqrt(200.0), kRoundOff * 100.0);
}

TEST(ThrownShoes, InventedClutchEngagesWhereItsSpringsSay) {
  const std::string source = "invented demo car, m r w^2 = S";
  constexpr double kDigits = 0.05;  // quoted to .1 krpm
  for (const auto& [force, krpm] : {std::pair{28.0, 12.0}, {38.0, 14.0}, {48.0, 15.8}}) {
    const double engagement = engagement_speed(make_clutch_law(small_clutch(force)));
    check_published({"D-thrown", "engagement at " + std::to_string(force) + " N [krpm]", source,
                     Seen::kDerived, "make_clutch_law, engagement_speed"},
                    krpm, engagement / kRpm * 1e-3, kDigits);
  }
}

TEST(ThrownShoes, SpringForceForIsTheInverseOfEngagement) {
  ThrownShoes clutch = small_clutch(28.0);
  clutch.wear = 0.2e-3;
  clutch.spring_force_at_rest = spring_force_for(clutch, 1400.0);
  EXPECT_NEAR(engagement_speed(make_clutch_law(clutch)), 1400.0, kSpeedRoundOff);
}

TEST(ThrownShoes, SmallChangesMoveTheEngagementByTheirDerivatives) {
  // d ln w = dS/(2 S) - dm/(2 m) + (k/(2 S) - 1/(2 r)) d(clearance), at first order.
  const ThrownShoes clutch = small_clutch(38.0);
  const ThrownShoesEffects effects = effects_of_changes(clutch, 0.4);
  const double engagement = engagement_speed(make_clutch_law(clutch));
  constexpr double kSecondOrder = 0.05;  // steps of a few per cent: the next term is half of that
  const double by_spring = engagement / (2.0 * 38.0);
  EXPECT_NEAR(effects.newton_of_spring.engagement_change / by_spring, 1.0, kSecondOrder);
  const double by_mass = -engagement * 0.1 / (2.0 * 1.6);
  EXPECT_NEAR(effects.tenth_gram.engagement_change / by_mass, 1.0, kSecondOrder);
  const double by_clearance = engagement * (1.0 / (2.0 * 38.0) - 0.1 / (2.0 * 11.0));
  EXPECT_NEAR(effects.tenth_millimetre.engagement_change / by_clearance, 1.0, kSecondOrder);
  // More spring raises both speeds, the stall less than the engagement: w dw is the same.
  EXPECT_LT(effects.newton_of_spring.stall_change, effects.newton_of_spring.engagement_change);
  EXPECT_GT(effects.newton_of_spring.stall_change, 0.0);
}

TEST(ThrownShoes, ImpossibleClutchesAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    ThrownShoes clutch = small_clutch(28.0);
    EXPECT_NO_THROW(validate(clutch));
    change(clutch);
    EXPECT_THROW(validate(clutch), std::invalid_argument);
  };
  refused([](ThrownShoes& c) { c.shoe_count = 2.5; });
  refused([](ThrownShoes& c) { c.shoe_count = 0.0; });
  refused([nan](ThrownShoes& c) { c.shoe_count = nan; });
  refused([](ThrownShoes& c) { c.shoe_mass = 0.0; });
  refused([nan](ThrownShoes& c) { c.radius_at_rest = nan; });
  refused([](ThrownShoes& c) { c.drum_radius = -0.01; });
  refused([](ThrownShoes& c) { c.spring_force_at_rest = -1.0; });
  refused([nan](ThrownShoes& c) { c.spring_rate = nan; });
  refused([](ThrownShoes& c) { c.clearance = -1e-4; });
  refused([](ThrownShoes& c) { c.wear = -1e-4; });
  refused([nan](ThrownShoes& c) { c.friction = nan; });
  refused([](ThrownShoes& c) { c.static_friction = 0.29; });
  EXPECT_THROW((void)shoe_mass_for(small_clutch(28.0), 1.0, 100.0, 100.0), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
